"""How far off ready dates were: against days counted by hand, and against hidden days of a farm made up."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from farmops.core.growth import Need, Place, Span
from farmops.core.schedule import Schedule, Stage, Walked, Way
from farmops.planning.own_pace import Told, told_by
from farmops.planning.ready_dates import LEAN, PastDate, by_day, errors_of, past_dates
from farmops.planning.standing import place_of, plantings_of
from tests.planning.grown_farm import HARVEST_DAYS, GrownFarm, Hidden

LIT = Place(42.4, 1.0)
TODAY = date(2026, 6, 1)
FRIDAY, TUESDAY = date(2026, 5, 8), date(2026, 5, 12)
LETTUCE = Schedule(
    (Stage("shelf", "shelf", Need(14), 72, 0.9), Stage("channel", "channel", Need(21), 1, 0.95)),
    Way.HEAD,
    "head",
    1.0,
    stands_days=10,
)


def told(key, entered, *picks):
    return Told(key, "lettuce", LETTUCE, entered - timedelta(days=14), entered, tuple((day, 1) for day in picks))


def past(first, until, said=TUESDAY, variety="lettuce", key="P-1"):
    span = Span(said - timedelta(days=4), said, said + timedelta(days=5))
    return PastDate(key, variety, date(2026, 4, 20), span, said + timedelta(days=2), first, until)


def test_what_was_said_is_what_the_schedule_says_while_nothing_is_known_and_ready_is_between_two_harvest_days():
    older = told("P-1", date(2026, 4, 6), date(2026, 4, 28), date(2026, 5, 1), date(2026, 5, 5))
    found = past_dates([older, told("P-2", date(2026, 4, 20), TUESDAY)], LIT, TODAY, HARVEST_DAYS)
    assert [one.key for one in found] == ["P-2", "P-1"]
    # 21 days after 20 April is 11 May. On Friday 8 May nothing of it was cut, and nothing older was there any more.
    ours = found[0]
    assert (ours.said.usual, ours.by_schedule) == (date(2026, 5, 11), date(2026, 5, 11))
    assert (ours.first, ours.until) == (FRIDAY + timedelta(days=1), TUESDAY)
    assert ours.days == [date(2026, 5, day) for day in (9, 10, 11, 12)]
    assert (ours.late, ours.off(ours.said.usual), ours.inside) == (-0.5, 1.0, 1.0)
    # Nothing was cut before the first of all, so nobody can tell since when it was ready.
    assert (found[1].first, found[1].is_told) == (date(2026, 4, 18) + timedelta(days=1), False)


def test_what_was_said_knows_nothing_of_its_own_month():
    # Six that took a fifth longer, all found ready in May: said of the seventh in May is still the schedule; in June
    # it is later.
    slow = []
    for day in range(7, 13):
        ready = date(2026, 4, day) + timedelta(days=25)
        looked = (Walked(ready - timedelta(days=1), ready=0),)
        slow.append(replace(told(f"P-{day}", date(2026, 4, day), ready), walks=looked))
    seventh = told("P-7", date(2026, 5, 20), date(2026, 6, 14))
    later = told("P-8", date(2026, 6, 1), date(2026, 6, 26))
    found = {one.key: one for one in past_dates([*slow, seventh, later], LIT, date(2026, 7, 1))}
    assert found["P-7"].said.usual == found["P-7"].by_schedule == date(2026, 6, 10)
    assert found["P-8"].by_schedule == date(2026, 6, 22)
    assert found["P-8"].said.usual > date(2026, 6, 22)


def test_only_the_year_up_to_today_counts():
    one = told("P-1", date(2026, 4, 20), TUESDAY)
    counted = [
        day for day in (date(2026, 5, 11), TUESDAY, date(2027, 5, 11), date(2027, 5, 12)) if past_dates([one], LIT, day)
    ]
    assert counted == [TUESDAY, date(2027, 5, 11)]


@pytest.mark.parametrize(
    ("first", "until", "late", "off", "inside"),
    [
        (date(2026, 5, 12), date(2026, 5, 12), 0.0, 0.0, 1.0),
        (date(2026, 5, 14), date(2026, 5, 16), 3.0, 3.0, 1.0),
        (date(2026, 5, 4), date(2026, 5, 7), -6.5, 6.5, 0.0),
        (date(2026, 5, 16), date(2026, 5, 19), 5.5, 5.5, 0.5),  # two of its four days are within the range
        (date(2026, 5, 11), date(2026, 5, 14), 0.5, 1.0, 1.0),
    ],
)
def test_each_day_it_may_have_been_counts_alike(first, until, late, off, inside):
    one = past(first, until)
    assert (one.late, one.off(TUESDAY), one.inside) == (late, off, inside)


@pytest.mark.parametrize("first", [None, TUESDAY - timedelta(days=6), TUESDAY - timedelta(days=7)])
def test_more_than_a_week_is_not_known(first):
    assert past(first, TUESDAY).is_told is (first == TUESDAY - timedelta(days=6))


def test_several_together():
    autumn = [
        past(day, day, day - timedelta(days=3)) for day in (date(2025, 9, 2), date(2025, 10, 7), date(2025, 11, 4))
    ]
    spring = [past(day, day, day + timedelta(days=1)) for day in (date(2026, 3, 3), date(2026, 4, 7), date(2026, 5, 5))]
    unknown = past(None, TUESDAY)
    errors = errors_of([*autumn, *spring, unknown])
    assert (errors.told, errors.not_told, errors.inside) == (6, 1, 6)
    # Off: 3 and 1; by the schedule, which says two days later here: 1 and 3. In spring a day early is no leaning.
    assert (errors.off, errors.off_by_schedule, errors.late) == (2.0, 2.0, 1.0)
    assert errors.lean == {3: 3.0}
    assert errors_of(spring[:2]).lean == errors_of(autumn[:2]).lean == {}
    assert errors_of([]).told == 0
    assert LEAN == 1.5


def test_what_it_had_told_by_a_day():
    one = replace(told("P-1", date(2026, 4, 20), FRIDAY, TUESDAY), walks=())
    assert by_day(one, date(2026, 4, 19)).entered is None
    assert by_day(one, FRIDAY).picks == ((FRIDAY, 1),)


def test_the_error_that_is_told_comes_near_the_true_one_that_nobody_can_see():
    # Farms made up by hidden rules; three seeds, six varieties, about 155 plantings found ready in a year of each.
    told_off, true_off, told_in, true_in = [], [], [], []
    for seed in range(3):
        rng = np.random.default_rng(seed + 1000)
        varieties = {f"variety {number}": math.exp(0.08 * rng.standard_normal()) for number in range(6)}
        farm = GrownFarm(Hidden(varieties, autumn=1.2), seed, date(2024, 6, 3), date(2026, 9, 12), every=14)
        rows, today = farm.rows(date(2026, 9, 12)), date(2026, 9, 12)
        plantings = [told_by(one) for one in plantings_of(rows, today)]
        found = past_dates(plantings, place_of(rows), today, HARVEST_DAYS, varieties)
        errors, ready = errors_of(found), {one.code: one.ready for one in farm.grown}
        told_off.append(errors.off)
        told_in.append(errors.inside / errors.told)
        true_off.append(np.mean([abs((ready[one.key] - one.said.usual).days) for one in found]))
        true_in.append(np.mean([one.said.low <= ready[one.key] <= one.said.high for one in found]))
        assert errors.told > 90
    assert np.mean(told_off) == pytest.approx(np.mean(true_off), abs=0.5)
    assert np.mean(told_in) == pytest.approx(np.mean(true_in), abs=0.05)
