"""Taking back an entry."""

from datetime import UTC, date, datetime

import pytest

from farmops.farm.models import ClosedDays
from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.models import Leaving, Planting, Space, SpaceKind, Stay, Variety
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.journal.deed import Saying, change, do_once, save
from farmops.journal.models import Change, Entry, Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import turn_back, undo
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 9, 11, 10, 0, tzinfo=UTC)
DAY = date(2026, 9, 11)


def saying(key, **other):
    return Saying(**{"key": key, "body": {"key": key}, "day": DAY, "said_at": NOW, "now": NOW, **other})


def sown():
    """A planting of 120 in N-1."""

    def write(entry):
        kind = SpaceKind.objects.create(name="nursery channel")
        variety = Variety.objects.create(name="green butterhead", crop="lettuce")
        planting = Planting(code="P-1", variety=variety, state="done", sown_on=DAY, plants=120, entry=entry)
        save(planting)
        save(
            Stay(
                planting=planting,
                space=Space.objects.create(name="N-1", kind=kind),
                plants=120,
                from_on=DAY,
                entry=entry,
            )
        )
        return "sowed P-1", {}

    return do_once(saying("sow"), Job.SOW, write).entry


def lose(plants, key="lose"):
    def write(entry):
        stay = Stay.objects.get()
        save(Leaving(planting=stay.planting, stay=stay, how="lost", plants=plants, left_on=DAY, entry=entry))
        return f"lost {plants} of P-1", {}

    return do_once(saying(key), Job.LOSE, write).entry


def note(reason, key):
    return do_once(
        saying(key), Job.SET, lambda entry: (change(entry, ClosedDays.objects.get(), reason=reason), (reason, {}))[1]
    ).entry


def test_rows_of_an_undone_entry_stay_and_count_no_more():
    sown()
    lost = lose(5)
    done = undo(saying("undo", corrects=lost))
    assert done.entry.said == "Taken back: lost 5 of P-1"
    assert (Leaving.objects.count(), Leaving.objects.live().count()) == (1, 0)


def test_changes_are_turned_round_and_both_are_kept():
    ClosedDays.objects.create(first_on=DAY, last_on=DAY, reason="holiday")
    undo(saying("undo", corrects=note("frost", "frost")))
    assert ClosedDays.objects.get().reason == "holiday"
    assert list(Change.objects.order_by("pk").values_list("old", "new")) == [("holiday", "frost"), ("frost", "holiday")]


def test_what_later_entries_rest_on_is_not_taken_back_before_them():
    sowing = sown()
    lost = lose(5)
    with pytest.raises(Refused, match=r"^Later entries rest on this one: lost 5 of P-1\. Take those back first\.$"):
        undo(saying("undo", corrects=sowing))
    undo(saying("undo-2", corrects=lost))
    undo(saying("undo-3", corrects=sowing))
    assert Stay.objects.live().count() == 0


def test_a_change_is_not_turned_round_under_a_later_one():
    ClosedDays.objects.create(first_on=DAY, last_on=DAY, reason="holiday")
    first = note("frost", "frost")
    second = note("snow", "snow")
    with pytest.raises(Refused, match=r"^“snow” came after it\. Take that back first\.$"):
        undo(saying("undo", corrects=first))
    undo(saying("undo-2", corrects=second))
    undo(saying("undo-3", corrects=first))
    assert ClosedDays.objects.get().reason == "holiday"


def test_an_undo_is_not_undone():
    sown()
    taken_back = undo(saying("undo", corrects=lose(5))).entry
    with pytest.raises(Refused, match=r"^That cannot be taken back here\. Enter what is right instead\.$"):
        undo(saying("undo-2", corrects=taken_back))
    assert Entry.objects.filter(job=Job.UNDO).count() == 1


def test_the_same_undo_sent_twice_is_one():
    sown()
    lost = lose(5)
    undo(saying("undo", corrects=lost))
    assert undo(saying("undo", corrects=lost)).was_there is True


def test_columns_that_hold_each_other_go_back_together():
    ClosedDays.objects.create(first_on=DAY, last_on=DAY)

    def move(entry):
        change(entry, ClosedDays.objects.get(), first_on=date(2026, 12, 24), last_on=date(2026, 12, 26))
        return "moved", {}

    moved = do_once(saying("move"), Job.SET, move).entry
    undo(saying("undo", corrects=moved))
    assert ClosedDays.objects.values_list("first_on", "last_on").get() == (DAY, DAY)


def test_undoing_a_correction_goes_back_to_before_both_for_what_it_corrected_counts_no_more():
    ClosedDays.objects.create(first_on=DAY, last_on=DAY, reason="holiday")
    first = note("frost", "frost")

    def write(entry):
        turn_back(first, entry)
        change(entry, ClosedDays.objects.get(), reason="hail")
        return "hail", {}

    second = do_once(saying("hail", corrects=first), Job.SET, write).entry
    assert ClosedDays.objects.get().reason == "hail"
    undo(saying("undo", corrects=second))
    assert ClosedDays.objects.get().reason == "holiday"


def picked(key, stay, heads, **other):
    return pick_crop(
        saying=saying(key, **other),
        cut_from=[CutFrom(planting=Planting.objects.get(), stay=stay)],
        cut=TypedCut(count=str(heads), count_unit="head"),
    ).entry


def test_a_stay_that_a_corrected_pick_had_emptied_is_open_after_the_next_correction():
    """12 and 1 in N-1: 13 were noted, then 6, then 5; the one plant stands there all the time from then on."""
    sown()
    stay = Stay.objects.get()
    Planting.objects.update(plants=13)
    Stay.objects.update(plants=12)
    alone = Stay.objects.create(
        planting=stay.planting, space=stay.space, plants=1, from_on=DAY, entry=an_entry("placed later")
    )
    first = picked("13", stay, 13)
    second = picked("6", stay, 6, corrects=first)
    third = picked("5", stay, 5, corrects=second)
    stay.refresh_from_db()
    alone.refresh_from_db()
    assert (stay.is_over, alone.is_over, balance_of(stay.planting).in_stays) == (False, False, 8)
    undo(saying("undo", corrects=third))
    assert list(Stay.objects.values_list("is_over", flat=True)) == [False, False]


def test_a_pick_put_right_after_all_was_cleared_is_not_taken_back_under_the_clearing():
    sown()
    stay = Stay.objects.get()
    first = picked("20", stay, 20)
    clear_planting(saying=saying("clear"), planting=stay.planting)
    second = picked("12", stay, 12, corrects=first)
    with pytest.raises(Refused, match=r"^“Cleared P-1 .*” came after it\. Take that back first\.$"):
        undo(saying("undo", corrects=second))
    assert balance_of(Planting.objects.get()).in_stays == 0
