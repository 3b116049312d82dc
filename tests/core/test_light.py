"""Day length and light against FAO-56, the Naval Observatory, NREL's algorithm and a reference library."""

import math
from datetime import date, timedelta

import pandas as pd
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.light import (
    Cover,
    dark_weeks,
    day_length,
    declination,
    geometric_daylight,
    inverse_distance,
    lamp_sum,
    light_above_air,
    light_at_ground,
    light_under,
    on_day,
    photons,
    sun_times,
    sunset_angle,
)

GOLDEN = (39.742476, -105.1786)


def seconds(clock):
    hours, minutes, rest = (int(part) for part in clock.split(":"))
    return hours * 3600 + minutes * 60 + rest


@pytest.mark.check("L20", "L21", "L22", "L23", "L24")
def test_fao_56_example_8_and_9():
    # Allen et al. 1998, FAO-56, examples 8 (p. 80) and 9 (p. 83), read in a public transcription.
    assert declination(246) == pytest.approx(0.120, abs=0.001)
    assert sunset_angle(math.radians(-20), 0.120) == pytest.approx(1.527, abs=0.001)
    assert geometric_daylight(-20, 246) == pytest.approx(11.7, abs=0.05)
    assert inverse_distance(246) == pytest.approx(0.985, abs=0.001)
    assert light_above_air(-20, 246) == pytest.approx(32.2, abs=0.1)


@pytest.mark.check("L25", "L26")
def test_fao_56_example_10():
    # FAO-56 example 10 (p. 84), read in a public transcription.
    assert light_at_ground(25.1, 7.1, 10.9) == pytest.approx(14.45, abs=0.05)
    assert geometric_daylight(-22.9, 135) == pytest.approx(10.9, abs=0.05)


@pytest.mark.check("L11")
def test_photons_of_a_megajoule():
    # McCree 1972, Thimijan and Heins 1983 (memory): about 2.04, within 5 %.
    assert photons(1.0) == pytest.approx(2.04, rel=0.05)


@pytest.mark.parametrize(
    ("place", "day", "hours_from_utc", "rise", "sets", "long"),
    [
        pytest.param(
            GOLDEN, date(2015, 1, 2), -7, "07:21:55", "16:47:43", "09:25:48", marks=pytest.mark.check("L30"), id="L30"
        ),
        pytest.param(
            (-35.0, 0.0),
            date(1996, 7, 5),
            0,
            "07:08:15",
            "17:01:04",
            "09:52:49",
            marks=pytest.mark.check("L33"),
            id="L33",
        ),
        pytest.param(
            (-35.0, 0.0),
            date(2004, 12, 4),
            0,
            "04:38:57",
            "19:02:03",
            "14:23:06",
            marks=pytest.mark.check("L34"),
            id="L34",
        ),
    ],
)
def test_sunrise_and_sunset_as_nrel_reckons_them(place, day, hours_from_utc, rise, sets, long):
    # NREL SPA web calculator, as quoted in pvlib's tests.
    sun = sun_times(place[0], day, place[1])
    assert (sun.rise + hours_from_utc) * 3600 == pytest.approx(seconds(rise), abs=2)
    assert (sun.set + hours_from_utc) * 3600 == pytest.approx(seconds(sets), abs=2)
    assert sun.day_length * 3600 == pytest.approx(seconds(long), abs=2)


def test_an_august_sunset_whose_printed_value_is_the_evening_before():
    # pvlib's tests give rise 05:00:27 and set 19:13:58 for 2 August 2015 (MST): the set of that day by UTC is
    # the evening of 1 August; the Naval Observatory has 19:13 for the 2nd, which is 19:12:55.
    second, first = sun_times(GOLDEN[0], date(2015, 8, 2), GOLDEN[1]), sun_times(GOLDEN[0], date(2015, 8, 1), GOLDEN[1])
    assert (second.rise - 7) * 3600 == pytest.approx(seconds("05:00:27"), abs=2)
    assert (first.set - 7) * 3600 == pytest.approx(seconds("19:13:58"), abs=2)
    assert (second.set - 7) * 3600 == pytest.approx(seconds("19:12:55"), abs=2)


@pytest.mark.check("L32")
@pytest.mark.parametrize(
    ("day", "rise", "sets"),
    [
        (date(2015, 1, 1), "07:22:00", "16:47:00"),
        (date(2015, 1, 2), "07:22:00", "16:48:00"),
        (date(2015, 1, 3), "07:22:00", "16:49:00"),
        (date(2015, 8, 2), "05:00:00", "19:13:00"),
    ],
)
def test_sunrise_and_sunset_to_the_minute(day, rise, sets):
    # U.S. Naval Observatory, as quoted in pvlib's tests.
    sun = sun_times(GOLDEN[0], day, GOLDEN[1])
    assert (sun.rise - 7) * 3600 == pytest.approx(seconds(rise), abs=60)
    assert (sun.set - 7) * 3600 == pytest.approx(seconds(sets), abs=60)


@pytest.mark.check("L36")
def test_days_at_quito_and_abu_dhabi():
    # vevovi.blogspot.com/2011/02 (seen); within 2 minutes.
    expected = {(-0.25, 6): "12:06:32", (-0.25, 12): "12:08:18", (24.8, 6): "13:39:11", (24.8, 12): "10:37:23"}
    for (latitude, month), long in expected.items():
        assert day_length(latitude, date(2011, month, 21)) * 3600 == pytest.approx(seconds(long), abs=120)


@pytest.mark.check("L37")
def test_beyond_the_polar_circle():
    # Tromsø, as for Quito.
    assert (day_length(69.7, date(2011, 6, 21)), day_length(69.7, date(2011, 12, 22))) == (24.0, 0.0)
    assert light_above_air(69.7, 356) == 0.0
    assert day_length(90.0, date(2011, 6, 21)) == 24.0


@pytest.mark.check("L39", "L40")
def test_the_seen_day_is_longer_than_the_geometric_one():
    # Naval Observatory notes: centre at -0.833 degrees; 40 N on 21 December 9.16 h against 9:20.
    assert geometric_daylight(40, 355) == pytest.approx(9.16, abs=0.01)
    assert day_length(40, date(2025, 12, 21)) * 3600 == pytest.approx(seconds("09:20:00"), abs=60)


GRID = [
    date(2025, 1, 15),
    date(2025, 2, 10),
    date(2025, 3, 20),
    date(2025, 6, 21),
    date(2025, 9, 22),
    date(2025, 11, 5),
]
GRID.append(date(2025, 12, 21))


@pytest.mark.parametrize(
    ("latitude", "lengths"),
    [
        pytest.param(30, "10:26 11:01 12:08 14:05 12:08 10:53 10:13", marks=pytest.mark.check("L41"), id="30N"),
        pytest.param(40, "9:39 10:31 12:09 15:01 12:09 10:19 9:20", marks=pytest.mark.check("L42"), id="40N"),
        pytest.param(45, "9:10 10:13 12:10 15:37 12:10 9:58 8:46", marks=pytest.mark.check("L43"), id="45N"),
        pytest.param(50, "8:34 9:51 12:11 16:22 12:11 9:33 8:04", marks=pytest.mark.check("L44"), id="50N"),
        pytest.param(55, "7:49 9:24 12:12 17:23 12:13 9:02 7:10", marks=pytest.mark.check("L45"), id="55N"),
    ],
)
def test_day_lengths_over_a_year(latitude, lengths):
    # Computed with pvlib 0.16.1 (NREL SPA), longitude 0.
    for day, long in zip(GRID, lengths.split(), strict=True):
        assert day_length(latitude, day) * 60 == pytest.approx(seconds(f"{long}:00") / 60, abs=1)


@pytest.mark.check("L50")
def test_ten_hours_of_day_at_38_north():
    # Coleman's rule, quoted at miriamiwashige.blogspot.com/2022/11: below 10 h from 21 Nov to 21 Jan; SPA has 20 Nov.
    first, last = dark_weeks(38, 2025)
    assert abs(first - date(2025, 11, 21)) <= timedelta(days=1)
    assert last == date(2026, 1, 21)


@pytest.mark.check("L52")
@pytest.mark.parametrize(
    ("latitude", "first", "last", "days"),
    [
        (35, (11, 30), (1, 11), 43),
        (38, (11, 20), (1, 21), 63),
        (40, (11, 15), (1, 26), 73),
        (42, (11, 10), (1, 31), 83),
        (44, (11, 7), (2, 3), 89),
        (46, (11, 3), (2, 7), 97),
        (48, (10, 31), (2, 10), 103),
        (50, (10, 29), (2, 12), 107),
        (52, (10, 26), (2, 15), 113),
        (55, (10, 23), (2, 18), 119),
    ],
)
def test_the_dark_weeks_of_2025_26(latitude, first, last, days):
    # Computed with pvlib (SPA), longitude 0, within a day.
    found = dark_weeks(latitude, 2025)
    assert abs(found[0] - date(2025, *first)) <= timedelta(days=1)
    assert abs(found[1] - date(2026, *last)) <= timedelta(days=1)
    assert abs((found[1] - found[0]).days + 1 - days) <= 1


@pytest.mark.check("L53")
def test_at_32_north_no_day_is_under_ten_hours():
    # Computed; the popular "above 30 degrees" is wrong for the day as seen.
    assert dark_weeks(32, 2025) is None
    assert day_length(32, date(2025, 12, 21)) * 3600 == pytest.approx(seconds("10:03:00"), abs=60)


def test_a_southern_winter_lies_in_the_middle_of_the_year():
    first, last = dark_weeks(-42, 2026)
    assert (first.month, last.month, first.year, last.year) == (5, 8, 2026, 2026)


@given(st.floats(-60, 60), st.dates(date(2000, 1, 1), date(2035, 12, 31)))
def test_day_length_agrees_with_a_full_ephemeris(latitude, day):
    noon = pd.DatetimeIndex([pd.Timestamp(day, tz="UTC") + pd.Timedelta(hours=12)])
    sun = pvlib.solarposition.sun_rise_set_transit_spa(noon, latitude, 0.0)
    reference = (sun["sunset"].iloc[0] - sun["sunrise"].iloc[0]).total_seconds()
    assert day_length(latitude, day) * 3600 == pytest.approx(reference, abs=15)


@pytest.mark.parametrize("latitude", [-91.0, 90.5, math.nan])
def test_there_is_no_light_off_the_globe(latitude):
    with pytest.raises(ValueError, match="latitude"):
        light_above_air(latitude, 100)


@pytest.mark.check("L01", "L02", "L03", "L04", "L05", "L06", "L09")
@pytest.mark.parametrize(
    ("light", "hours", "sum_of_day", "within"),
    [
        # Apogee Instruments, "Conversion - PPFD to DLI": continuous, 16 and 12 hours.
        (10, 24, 0.864, 1e-9),
        (100, 24, 8.64, 1e-9),
        (200, 24, 17.28, 1e-9),
        (300, 24, 25.92, 1e-9),
        (600, 24, 51.84, 1e-9),
        (1000, 24, 86.40, 1e-9),
        (2000, 24, 172.80, 1e-9),
        (200, 16, 11.52, 1e-9),
        (300, 16, 17.28, 1e-9),
        (1000, 16, 57.60, 1e-9),
        (2000, 16, 115.20, 1e-9),
        (10, 16, 0.576, 1e-9),  # the older page; the newer prints 0.567 and 5.67, a misprint
        (100, 16, 5.76, 1e-9),
        (10, 12, 0.432, 1e-9),
        (100, 12, 4.32, 1e-9),
        (2000, 12, 86.40, 1e-9),
        # Spectrum Technologies' knowledge base 102, after Faust: about 1.6.
        (38.1, 12, 1.6, 0.05),
        # The light for 17 mol a day: computed; 295 at 16 hours is also in a citation of the Cornell handbook.
        (295.1, 16, 17.0, 0.005),
        (262.3, 18, 17.0, 0.005),
        (196.8, 24, 17.0, 0.005),
    ],
)
def test_lamps_add_up_to_a_daily_light(light, hours, sum_of_day, within):
    assert lamp_sum(light, hours) == pytest.approx(sum_of_day, abs=within)


@pytest.mark.check("L07")
def test_a_usual_summer_day_outside_stays_below_the_brightest_that_is_measured():
    # 50 to 60 mol on a clear summer day, 5 to 60 through the year in the United States: Apogee; Korczynski et al. 2002.
    through = [
        light_under(latitude, Cover(), date(2026, 1, 1) + timedelta(days=day))
        for latitude in (30, 42, 48)
        for day in range(365)
    ]
    assert 5 < min(through) < max(through) < 60


def test_light_where_plants_stand_is_what_shade_leaves_of_a_usual_sky_and_the_lamps():
    june, december = date(2026, 6, 21), date(2026, 12, 21)
    # FAO-56 equation 35 with half the day's hours sunny leaves (0.25 + 0.50 x 0.5) of the light above the air.
    outside = [0.5 * 2.04 * light_above_air(42.0, day.timetuple().tm_yday) for day in (june, december)]
    cover = Cover((((5, 15), 0.4), ((9, 1), 0.0)), (((11, 1), 6.0), ((2, 15), 0.0)), 100.0)
    assert light_under(42.0, Cover(), june) == pytest.approx(outside[0])
    assert light_under(42.0, cover, june) == pytest.approx(0.6 * outside[0])
    assert light_under(42.0, cover, december) == pytest.approx(outside[1] + 100 * 6 * 0.0036)


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        (date(2026, 11, 1), 6.0),
        (date(2026, 12, 31), 6.0),
        (date(2027, 1, 1), 6.0),
        (date(2027, 2, 14), 6.0),
        (date(2027, 2, 15), 0.0),
        (date(2028, 2, 29), 0.0),
        (date(2026, 10, 31), 0.0),
    ],
)
def test_a_table_by_dates_holds_until_the_next_around_the_year(day, holds):
    assert on_day((((11, 1), 6.0), ((2, 15), 0.0)), day) == holds
    assert on_day((), day) == 0.0


@pytest.mark.parametrize(
    "broken",
    [
        {"shade": (((1, 1), 1.0),)},
        {"shade": (((1, 1), -0.1),)},
        {"lamp_hours": (((1, 1), 24.5),)},
        {"lamp_light": -1.0},
        {"lamp_light": math.inf},
    ],
)
def test_light_that_cannot_be_is_refused(broken):
    with pytest.raises(ValueError, match=r"share kept out|lamps burn|light of lamps"):
        Cover(**broken)
