"""Days of a stage for its date: tables, light, dark weeks, and what a farm's own plantings add."""

import math
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.growth import (
    NORMAL_80,
    Need,
    Place,
    Slowness,
    days_needed,
    entry_interval,
    last_entry_for,
    over_on,
    pace,
    through_stages,
)
from farmops.core.light import Cover

HERE = Place(latitude=42.0)
LETTUCE = Need(days=60, by_date=(((3, 30), 60.0), ((6, 29), 38.0), ((8, 31), 56.0)))
LIT = Place(latitude=42.0, dark_pace=1.0)
IN_THE_OPEN = Place(latitude=42.0, dark_pace=0.5, dark_first=(11, 7), dark_end=(2, 4))


@pytest.mark.case("G03")
def test_sowings_come_closer_from_july_on_for_a_harvest_a_week():
    # growingformarket.com/crop-succession-planning-even-harvests; our numbers.
    spring = entry_interval(LETTUCE, HERE, date(2026, 5, 1))
    summer = entry_interval(LETTUCE, HERE, date(2026, 7, 20))
    assert (round(spring, 1), round(summer, 1)) == (9.2, 5.4)
    assert spring == pytest.approx(7 / (1 - 22 / 91))
    assert summer == pytest.approx(7 / (1 + 18 / 63))


@pytest.mark.case("G03")
@pytest.mark.parametrize(
    ("harvest", "transplant"),
    [
        (date(2026, 9, 5), date(2026, 7, 22)),
        (date(2026, 9, 12), date(2026, 7, 27)),
        (date(2026, 9, 19), date(2026, 8, 2)),
        (date(2026, 9, 26), date(2026, 8, 7)),
        (date(2026, 10, 3), date(2026, 8, 13)),
        (date(2026, 10, 10), date(2026, 8, 18)),
    ],
)
def test_transplant_on_or_before(harvest, transplant):
    assert last_entry_for(LETTUCE, HERE, harvest, date(2026, 4, 1)) == transplant


@pytest.mark.case("G03")
def test_planting_evenly_every_week_is_ready_every_nine_days():
    ready = [over_on(LETTUCE, HERE, date(2026, 7, 6) + timedelta(weeks=number)) for number in range(6)]
    assert ready == [
        date(2026, 8, 15),
        date(2026, 8, 24),
        date(2026, 9, 2),
        date(2026, 9, 11),
        date(2026, 9, 20),
        date(2026, 9, 29),
    ]


@pytest.mark.case("G04")
def test_the_dark_weeks_put_off_the_ready_day():
    # cedarcratefarm.com 2025/10/30 "Persephone Period Approaches"; the half is ours.
    need = Need(days=50)
    planted = date(2026, 10, 1)
    assert (date(2026, 11, 7) - planted).days == 37
    assert over_on(need, IN_THE_OPEN, planted) == date(2026, 12, 3)
    lit = Place(latitude=42.0, dark_pace=1.0, dark_first=(11, 7), dark_end=(2, 4))
    assert over_on(need, lit, planted) == date(2026, 11, 20)


@pytest.mark.case("G04")
def test_a_second_cutting_in_the_dark_weeks_is_slowed_too():
    regrowth = Need(days=14)
    assert over_on(regrowth, IN_THE_OPEN, date(2026, 12, 3)) == date(2026, 12, 31)
    assert over_on(regrowth, IN_THE_OPEN, date(2026, 10, 1)) == date(2026, 10, 15)
    # 3 February is still dark and counts half, the 4th counts whole.
    assert over_on(Need(days=1.5), IN_THE_OPEN, date(2027, 2, 3)) == date(2027, 2, 5)


def test_without_days_of_its_own_a_place_is_dark_under_ten_hours():
    assert [HERE.is_dark(day) for day in (date(2025, 11, 8), date(2025, 12, 1), date(2026, 2, 3))] == [
        False,
        True,
        False,
    ]
    assert not Place(latitude=30.0).is_dark(date(2025, 12, 21))


def sun_of_the_day(latitude, day):
    """Sun above the air over one day, added up minute by minute with pvlib. [MJ m⁻² d⁻¹]"""
    minutes = pd.date_range(day, periods=1440, freq="min", tz="UTC")
    height = np.cos(np.radians(pvlib.solarposition.get_solarposition(minutes, latitude, 0.0)["zenith"])).clip(lower=0)
    return float((height * pvlib.irradiance.get_extra_radiation(minutes)).sum() * 60e-6)


def test_half_the_light_takes_twice_the_days_at_full_response():
    lit, june = Place(42.0, 1.0), date(2026, 6, 21)
    ratio = sun_of_the_day(42.0, june) / sun_of_the_day(42.0, date(2026, 3, 20))
    assert ratio == pytest.approx(1.5, abs=0.1)
    assert pace(Need(days=10, response=1.0), lit, june) == pytest.approx(ratio, rel=0.02)
    assert pace(Need(days=10, response=0.5), lit, june) == pytest.approx(ratio**0.5, rel=0.01)
    assert pace(Need(days=10, response=0.0), lit, june) == 1.0
    assert pace(Need(days=10, response=1.0), lit, date(2026, 3, 20)) == pytest.approx(1.0, abs=1e-12)


def test_days_noted_for_a_date_hold_for_entering_on_it():
    steady = Need(days=28, noted_at=(5, 15), response=0.0)
    assert over_on(steady, HERE, date(2026, 5, 15)) == date(2026, 6, 12)


@given(
    days=st.floats(3, 90),
    response=st.floats(0, 1),
    latitude=st.floats(-58, 58),
    entered=st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    more=st.floats(1.0, 1.5),
)
def test_needing_more_never_ends_sooner_and_a_darker_pace_never_helps(days, response, latitude, entered, more):
    need = Need(days=days, response=response)
    usual = days_needed(need, Place(latitude), entered)
    assert days_needed(need, Place(latitude), entered, more) >= usual
    assert days_needed(need, Place(latitude, dark_pace=0.25), entered) >= usual
    assert days_needed(need, Place(latitude, dark_pace=1.0), entered) <= usual


@given(st.dates(date(2024, 1, 1), date(2030, 12, 30)))
def test_what_enters_later_is_never_over_earlier(entered):
    need = Need(days=30, response=0.6)
    assert over_on(need, HERE, entered) <= over_on(need, HERE, entered + timedelta(days=1))


def test_own_records_shift_and_narrow_the_range():
    late = Slowness((0.14,), (0.05,), 4)
    before = through_stages([Need(14), Need(21)], HERE, date(2026, 5, 4))
    after = through_stages([Need(14), Need(21)], HERE, date(2026, 5, 4), late)
    assert before[-1].usual == date(2026, 6, 8)
    # 14 and 21 days times exp(0.14), each begun anew: 17 and 25.
    assert [span.usual for span in after] == [date(2026, 5, 21), date(2026, 6, 15)]
    assert (after[-1].high - after[-1].low) < (before[-1].high - before[-1].low)
    assert all(span.low <= span.usual <= span.high for span in before + after)


def test_the_middle_80_percent_of_a_stage_ends_within_its_range():
    # 1000 even draws of a planting's own luck, in whole days, against the range; a day of 28 is 3.6 %.
    own = Slowness((0.0,), (0.05,), 4, 0.10)
    spread = math.hypot(0.05, 0.10)
    inside = []
    for start in range(0, 360, 30):
        entered = date(2026, 1, 1) + timedelta(days=start)
        need = Need(28, response=0.5)
        (span,) = through_stages([need], HERE, entered, own)
        luck = [math.exp(spread * at) for at in np.linspace(-3, 3, 201)]
        weight = np.exp(-(np.linspace(-3, 3, 201) ** 2) / 2)
        ends = [over_on(need, HERE, entered, factor) for factor in luck]
        inside.append(np.average([span.low <= end <= span.high for end in ends], weights=weight))
    assert np.mean(inside) == pytest.approx(0.8, abs=0.03)


def test_stages_before_the_last_go_by_their_own_pace():
    own = Slowness((0.0,), (0.05,), 4, before=Slowness((math.log(1.5),)))
    moved, ready = through_stages([Need(14), Need(21)], HERE, date(2026, 5, 4), own)
    assert (moved.usual, ready.usual) == (date(2026, 5, 25), date(2026, 6, 15))


def test_a_factor_by_day_of_the_year_slows_only_its_days():
    autumn = tuple(1.25 if 244 <= number <= 334 else 1.0 for number in range(1, 367))
    assert days_needed(Need(20), LIT, date(2026, 5, 4), autumn) == pytest.approx(20.0)
    assert days_needed(Need(20), LIT, date(2026, 10, 1), autumn) == pytest.approx(25.0)
    # Ten days up to 31 August, then ten days of 1.25 each: 1 September is day 244 of 2026.
    assert days_needed(Need(20), LIT, date(2026, 8, 22), autumn) == pytest.approx(10 + 12.5)
    table = Need(20, by_date=(((1, 1), 30.0),))
    assert days_needed(table, LIT, date(2026, 10, 1), autumn) == pytest.approx(37.5)
    # Over the new year the count goes on from 1 January, in a leap year and after it.
    assert days_needed(Need(20), LIT, date(2028, 12, 21), (1.0,) * 366) == pytest.approx(20.0)


def test_a_course_is_read_between_its_knots_and_around_the_year():
    own = Slowness((0.0, math.log(2.0)), (0.0, 0.0), spread=0.1)
    assert own.factor_on(date(2026, 1, 1)) == 1.0
    assert own.factor_on(date(2026, 7, 3)) == pytest.approx(2.0)
    assert own.factor_on(date(2026, 4, 2)) == pytest.approx(2**0.5, rel=0.01)
    assert own.factor_on(date(2026, 10, 2)) == pytest.approx(2**0.5, rel=0.01)
    one = Slowness((0.0,), (0.0,), spread=0.1)
    assert (one.at(NORMAL_80), one.at(-NORMAL_80)) == (math.exp(0.1 * NORMAL_80), math.exp(-0.1 * NORMAL_80))


@pytest.mark.parametrize("broken", [{"days": 0}, {"days": -1}, {"days": math.inf}, {"days": 5, "response": 1.5}])
def test_a_stage_that_cannot_be_is_refused(broken):
    with pytest.raises(ValueError, match="must be"):
        Need(**broken)


def test_a_pace_of_nothing_is_refused():
    with pytest.raises(ValueError, match="pace in the dark weeks"):
        Place(42.0, dark_pace=0.0)
    with pytest.raises(ValueError, match="factor"):
        days_needed(Need(5), HERE, date(2026, 1, 1), 0.0)


def test_a_stage_takes_as_long_as_ever_at_its_noted_date_whatever_stands_over_it():
    shaded = Cover((((1, 1), 0.5),), (((1, 1), 4.0),), 80.0)
    for cover in (None, Cover(), shaded):
        assert pace(Need(20, (3, 20), 0.5, cover=cover), LIT, date(2026, 3, 20)) == 1.0


def test_an_open_sky_and_a_roof_that_is_there_all_year_make_the_same_days():
    open_sky, roof = Need(28, response=0.5), Need(28, response=0.5, cover=Cover((((1, 1), 0.35),)))
    for month in range(1, 13):
        day = date(2026, month, 10)
        assert days_needed(roof, LIT, day) == pytest.approx(days_needed(open_sky, LIT, day), rel=1e-9)


def test_shade_in_summer_slows_and_lamps_in_winter_quicken():
    summer = Need(28, response=0.5, cover=Cover((((5, 15), 0.5), ((9, 1), 0.0))))
    # Half the light, to the power of a half: a day counts for 0.7071 of what it would.
    bare = Need(28, response=0.5)
    assert pace(summer, LIT, date(2026, 7, 1)) == pytest.approx(0.5**0.5 * pace(bare, LIT, date(2026, 7, 1)), rel=1e-9)
    winter = Need(28, response=0.5, cover=Cover((), (((11, 1), 6.0), ((2, 15), 0.0)), 150.0))
    assert days_needed(winter, LIT, date(2026, 11, 20)) < 0.9 * days_needed(bare, LIT, date(2026, 11, 20))
    assert days_needed(winter, LIT, date(2026, 4, 1)) == pytest.approx(days_needed(bare, LIT, date(2026, 4, 1)))


def test_dark_weeks_end_where_lamps_make_ten_hours_of_day():
    day = date(2026, 12, 21)  # 9:11 at 42 degrees north
    for hours, counts in ((0.5, 0.5), (2.0, 1.0)):
        need = Need(28, cover=Cover((), (((11, 1), hours), ((2, 15), 0.0)), 100.0))
        assert pace(need, IN_THE_OPEN, day) == counts
    unlit = Need(28, cover=Cover((((1, 1), 0.3),)))
    assert pace(unlit, IN_THE_OPEN, day) == 0.5
