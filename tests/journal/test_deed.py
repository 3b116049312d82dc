"""Doing a job exactly once."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction

from farmops.farm.models import ClosedDays
from farmops.journal.deed import Saying, change, do_once, hash_of, save
from farmops.journal.models import Change, Entry, Job
from farmops.journal.refusal import Refused

NOW = datetime(2026, 9, 11, 10, 0, tzinfo=UTC)
DAY = date(2026, 9, 11)


def saying(key="k-1", **other):
    return Saying(**{"key": key, "body": {"amount": "12.0"}, "day": DAY, "said_at": NOW, "now": NOW, **other})


def close_a_day(entry):
    save(ClosedDays(first_on=DAY, last_on=DAY, reason=f"entry {entry.once_key}"))
    return "Closed on 11 Sep", {"day": "2026-09-11"}


@pytest.mark.case("H05")
@pytest.mark.django_db
def test_the_same_form_sent_again_is_answered_as_the_first_time():
    first = do_once(saying(), Job.SET, close_a_day)
    later = do_once(saying(now=NOW + timedelta(hours=2)), Job.SET, close_a_day)
    assert (first.was_there, later.was_there) == (False, True)
    assert (later.entry, later.answer) == (first.entry, {"day": "2026-09-11"})
    assert (Entry.objects.count(), ClosedDays.objects.count()) == (1, 1)


@pytest.mark.case("H05")
@pytest.mark.django_db
def test_two_true_entries_alike_from_two_forms_are_two_rows():
    do_once(saying("k-1"), Job.SET, close_a_day)
    do_once(saying("k-2", now=NOW + timedelta(seconds=40)), Job.SET, close_a_day)
    assert (Entry.objects.count(), ClosedDays.objects.count()) == (2, 2)


@pytest.mark.django_db
def test_the_same_key_with_other_figures_is_refused():
    do_once(saying(), Job.SET, close_a_day)
    words = "That form was sent before with other figures: “Closed on 11 Sep”. Open it again to add another."
    with pytest.raises(Refused) as refused:
        do_once(saying(body={"amount": "13.0"}), Job.SET, close_a_day)
    assert str(refused.value) == words
    assert ClosedDays.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize("error", [Refused("No."), ValidationError("No.")], ids=["refused", "a rule broken"])
def test_what_is_refused_leaves_nothing_behind(error):
    def refuse(entry):
        close_a_day(entry)
        raise error

    with pytest.raises(Refused, match=r"^No\.$"):
        do_once(saying(), Job.SET, refuse)
    assert (Entry.objects.count(), ClosedDays.objects.count()) == (0, 0)


@pytest.mark.django_db
def test_a_broken_rule_is_said_in_its_own_words():
    def wrong(entry):
        save(ClosedDays(first_on=DAY, last_on=DAY - timedelta(days=1)))
        return "", {}

    with pytest.raises(Refused, match=r"^The last closed day must not come before the first\.$"):
        do_once(saying(), Job.SET, wrong)


@pytest.mark.django_db
def test_a_row_is_held_against_its_rules_by_storing_it(django_assert_num_queries):
    with django_assert_num_queries(3):  # a savepoint, the row, the savepoint let go
        save(ClosedDays(first_on=DAY, last_on=DAY))
    with transaction.atomic():
        with pytest.raises(ValidationError, match="must not come before the first"):
            save(ClosedDays(first_on=DAY, last_on=DAY - timedelta(days=1)))
        save(ClosedDays(first_on=DAY, last_on=DAY, reason="what came before it did not spoil"))
    assert ClosedDays.objects.count() == 2


@pytest.mark.django_db
def test_of_several_rows_the_one_that_breaks_a_rule_is_named_and_nothing_stays(django_assert_num_queries):
    with django_assert_num_queries(4):  # one savepoint for both
        save(ClosedDays(first_on=DAY, last_on=DAY), ClosedDays(first_on=DAY, last_on=DAY))

    def wrong(entry):
        save(ClosedDays(first_on=DAY, last_on=DAY), ClosedDays(first_on=DAY, last_on=DAY - timedelta(days=1)))
        return "", {}

    with pytest.raises(Refused, match=r"^The last closed day must not come before the first\.$"):
        do_once(saying(), Job.SET, wrong)
    assert (Entry.objects.count(), ClosedDays.objects.count()) == (0, 2)


@pytest.mark.django_db
def test_an_entry_is_corrected_once():
    first = do_once(saying(), Job.SET, close_a_day).entry
    do_once(saying("k-2", corrects=first), Job.SET, close_a_day)
    with pytest.raises(Refused, match=r"^Somebody has just corrected this entry\. Look at it again before"):
        do_once(saying("k-3", corrects=first), Job.SET, close_a_day)
    assert [entry.once_key for entry in Entry.objects.live()] == ["k-2"]


@pytest.mark.django_db
def test_a_phone_whose_clock_is_ahead_did_not_say_it_in_the_future():
    entry = do_once(saying(said_at=NOW + timedelta(hours=3)), Job.SET, close_a_day).entry
    assert (entry.said_at, entry.received_at) == (NOW, NOW)


@pytest.mark.django_db
def test_a_change_keeps_old_and_new_and_what_stayed_is_not_noted():
    def alter(entry):
        closed = ClosedDays.objects.create(first_on=DAY, last_on=DAY, reason="holiday")
        change(entry, closed, reason="frost", last_on=DAY)
        return "changed", {}

    do_once(saying(), Job.SET, alter)
    assert list(Change.objects.values_list("table", "column", "old", "new")) == [
        ("farm.closeddays", "reason", "holiday", "frost")
    ]
    assert ClosedDays.objects.get().reason == "frost"


def test_what_was_typed_has_one_hash_whatever_its_order():
    one, other = {"a": "1", "b": "½"}, {"b": "½", "a": "1"}
    assert hash_of(one) == hash_of(other)
    assert hash_of(one) != hash_of({**one, "a": "2"})
    assert replace(saying(), body=one).body == other
