"""Answers that are kept, and what came since."""

import pytest

from farmops.growing.models import Variety
from farmops.planning.models import StoredAnswer
from farmops.planning.sowing_list_choice import choose_sowing
from farmops.planning.stored_answers import BeingWorkedOut, kept_answer, newest_entry, stored, work_out
from tests.growing.beds import saying
from tests.journal.entries import an_entry
from tests.planning.sown_farm import MONDAY, NOW, TODAY

pytestmark = pytest.mark.django_db
KIND = StoredAnswer.Kind.BRING


def kept(answer=1, **other):
    return work_out(KIND, lambda: {"answer": answer}, as_of=TODAY, now=NOW, **other)


def test_nothing_is_worked_out_by_asking():
    assert (stored(KIND), kept_answer(KIND)) == (None, None)


def test_an_answer_says_what_came_since():
    an_entry("before")
    assert kept() == stored(KIND)
    assert kept_answer(KIND) == stored(KIND).answer
    assert (stored(KIND).since, stored(KIND).age_in_words) == (0, "Nothing was written down since.")
    an_entry("one")
    assert stored(KIND).age_in_words == "1 entry since: work it out again."
    an_entry("two")
    assert stored(KIND).age_in_words == "2 entries since: work it out again."
    assert [stored(KIND).is_old(TODAY), kept().is_old(TODAY), kept().is_old(TODAY.replace(day=5))] == [
        True,
        False,
        True,
    ]


def test_what_was_chosen_on_the_list_makes_no_answer_old():
    variety = Variety.objects.create(name="mizuna", crop="mizuna")
    kept()
    choose_sowing(saying=saying("two"), variety=variety, week=MONDAY, parts=2)
    assert stored(KIND).since == 0


def test_the_newer_answer_stands_in_the_place_of_the_older_one():
    kept(1), kept(2), kept(3, about="Quay")
    assert [(one.about, one.answer) for one in StoredAnswer.objects.order_by("about")] == [
        ("", {"answer": 2}),
        ("Quay", {"answer": 3}),
    ]


def test_an_entry_made_meanwhile_counts_as_made_since():
    def slowly():
        an_entry("meanwhile")
        return {}

    work_out(KIND, slowly, as_of=TODAY, now=NOW)
    assert (stored(KIND).since, stored(KIND).last_entry < newest_entry()) == (1, True)


def test_two_do_not_work_out_the_same_at_once_and_a_failure_leaves_what_was_there():
    kept(1)

    def fails():
        with pytest.raises(BeingWorkedOut):
            kept(2)
        raise ArithmeticError

    with pytest.raises(ArithmeticError):
        work_out(KIND, fails, as_of=TODAY, now=NOW)
    assert stored(KIND).answer == {"answer": 1}
    assert kept(3).answer == {"answer": 3}
