"""Harvests still to come, from plants in their last stage and from what was picked."""

from datetime import date, timedelta

import pytest

from farmops.core.coming import Arrival, Basis, Note, Outlook
from farmops.core.growth import Need, Place
from farmops.core.harvests import Round, cuts, cutting_rounds, heads, picking
from farmops.core.schedule import Picked, Schedule, Stage, Walked, Way

LIT = Place(42.0, dark_pace=1.0)
MONDAY = date(2026, 6, 1)
BED = Stage("bed", "bed", Need(21), 1.0, 1.0)
HEADS = Schedule((BED,), Way.HEAD, "head", 1.0, stands_days=7)
LEAVES = Schedule((BED,), Way.CUT, "lb", 0.1, cuttings=(1.0, 0.8, 0.6), regrowth=Need(14), stands_days=7)
KALE = Schedule((BED,), Way.PICKED, "lb", 0.3, pick_weeks=6)


def arrival(plants, ready=MONDAY):
    return Arrival(ready - timedelta(days=21), ready, plants, "bed", plants, ())


def amounts(found):
    return [(one.cutting, one.first, one.last, pytest.approx(one.amount), one.basis) for one in found.coming]


def test_heads_picked_come_off_the_first_that_were_ready():
    found = Outlook("P-1")
    later = MONDAY + timedelta(days=7)
    heads([arrival(40), arrival(30, later)], HEADS, [Picked(MONDAY, 50)], None, MONDAY, found)
    assert amounts(found) == [(1, later, date(2026, 6, 14), 20.0, Basis.PLAN)]


def test_heads_past_their_best_are_noted_and_not_counted():
    found = Outlook("P-1")
    heads([arrival(40)], HEADS, [], None, date(2026, 6, 8), found)
    assert (found.coming, found.notes) == ([], [(Note.PAST_ITS_BEST, 40.0)])


def test_what_was_seen_ready_stands_in_place_of_the_plan():
    found = Outlook("P-1")
    day = date(2026, 6, 3)
    heads([arrival(40)], HEADS, [], Walked(day, ready=31.0), day, found)
    assert amounts(found) == [(1, day, date(2026, 6, 9), 31.0, Basis.WALK)]


def test_picks_close_together_are_one_cutting_and_a_noted_number_counts():
    days = [MONDAY + timedelta(days=number) for number in (0, 4, 20, 22)]
    picks = [Picked(day, 2.0) for day in days]
    assert cutting_rounds(picks, LEAVES) == [Round(1, days[0], days[1], 4.0), Round(2, days[2], days[3], 4.0)]
    noted = [Picked(days[0], 2.0, 1), Picked(days[1], 3.0, 2), Picked(days[3], 1.0, 2)]
    assert cutting_rounds(noted, LEAVES) == [Round(1, days[0], days[0], 2.0), Round(2, days[1], days[3], 4.0)]


def test_cuttings_to_come_go_by_what_the_first_really_gave():
    found = Outlook("P-1")
    cuts([arrival(100)], LEAVES, LIT, [Picked(MONDAY, 9.5)], None, MONDAY, 1.0, found)
    # 9.5 lb of 10: the next ones give 95 % of 8 and of 6 lb, a fortnight apart.
    assert amounts(found) == [
        (2, date(2026, 6, 15), date(2026, 6, 21), 7.6, Basis.RECORDS),
        (3, date(2026, 6, 29), date(2026, 7, 5), 5.7, Basis.RECORDS),
    ]


def test_the_rest_of_a_cutting_that_was_begun_is_still_there():
    found = Outlook("P-1")
    cuts([arrival(100)], LEAVES, LIT, [Picked(MONDAY, 4.0)], None, MONDAY, 1.0, found)
    assert amounts(found)[0] == (1, MONDAY, date(2026, 6, 7), 6.0, Basis.PLAN)


def test_a_picked_crop_goes_by_its_own_weeks_from_two_on():
    picks = [Picked(MONDAY + timedelta(days=4), 20.0), Picked(MONDAY + timedelta(days=11), 30.0)]
    as_of = MONDAY + timedelta(weeks=2)
    found = Outlook("P-1")
    picking([arrival(100)], KALE, picks[:1], None, as_of, found)
    assert [(one.amount, one.basis) for one in found.coming] == [(pytest.approx(30.0), Basis.PLAN)] * 4
    found = Outlook("P-1")
    picking([arrival(100)], KALE, picks, None, as_of, found)
    assert amounts(found) == [
        (number, MONDAY + timedelta(weeks=number - 1), MONDAY + timedelta(weeks=number, days=-1), 25.0, Basis.RECORDS)
        for number in (3, 4, 5, 6)
    ]
