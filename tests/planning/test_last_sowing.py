"""The last day to sow: backwards from the last selling day and from the dark weeks."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.growth import Need, Place, through_stages
from farmops.planning import rows
from farmops.planning.last_sowing import dark_begins, last_entry_through, last_selling_day, last_sowings

PLACE = Place(42.4)
SATURDAYS = rows.Outlet(outlet="Quay", kind="market", weekday=5)


def a_farm(**season):
    """Lettuce, 21 days on the lit shelf and 35 in the lit channel; the Quay on Saturdays."""
    stage = {"variety": "lettuce", "light_response": Decimal(0), "survive": Decimal(1)}
    return rows.FarmRows(
        farm=(rows.Farm(latitude=Decimal("42.4"), dark_pace=Decimal(1), **season),),
        varieties=(rows.Variety(variety="lettuce", crop="lettuce"),),
        schedules=(
            rows.ScheduleStage(
                stage=1, stage_name="shelf", kind="shelf", days=Decimal(21), plants_per_place=Decimal(72), **stage
            ),
            rows.ScheduleStage(
                stage=2,
                stage_name="channel",
                kind="channel",
                days=Decimal(35),
                plants_per_place=Decimal(1),
                harvest="head",
                unit="head",
                units_per_plant=Decimal(1),
                **stage,
            ),
        ),
        outlets=(SATURDAYS,),
    )


@pytest.mark.case("G12")
@pytest.mark.parametrize(
    ("ready", "days", "sown"),
    [
        # "sow 20 Feb 2028 + 21 days; sow 10 Feb 2028 + 19 days": 12 Mar 2028 (2027: 13 Mar) and 29 Feb 2028, backwards.
        (date(2028, 3, 12), 21, date(2028, 2, 20)),
        (date(2027, 3, 13), 21, date(2027, 2, 20)),
        (date(2028, 2, 29), 19, date(2028, 2, 10)),
    ],
)
def test_through_a_leap_day(ready, days, sown):
    assert last_entry_through([Need(days)], PLACE, ready, sown - timedelta(days=400)) == sown


@given(
    days=st.lists(st.floats(1, 40), min_size=1, max_size=3),
    response=st.floats(0, 1),
    number=st.integers(0, 364),
)
def test_the_day_found_is_ready_in_time_and_the_next_is_not(days, response, number):
    needs = [Need(one, response=response) for one in days]
    wanted = date(2027, 1, 1) + timedelta(days=number)
    sown = last_entry_through(needs, PLACE, wanted, wanted - timedelta(days=729))
    if sown is None:
        return

    def ready(day):
        return through_stages(needs, PLACE, day)[-1].usual

    assert ready(sown) <= wanted < ready(sown + timedelta(days=1))


def test_too_late_already():
    assert last_entry_through([Need(21)], PLACE, date(2026, 5, 20), date(2026, 5, 4)) is None


@pytest.mark.case("G10")
def test_nothing_is_sown_for_after_the_last_selling_day():
    # "market Saturdays 8-13, closed 26 Dec 2026; season 9 May-19 Dec": the last selling day is Saturday 19 December.
    season = {"season_first_day": date(2026, 5, 9), "season_last_day": date(2026, 12, 19)}
    closed = (rows.ClosedDay(first_day=date(2026, 12, 26), outlet="Quay"),)
    farm = a_farm(**season)
    farm = rows.FarmRows(
        **{name: getattr(farm, name) for name in farm.__slots__ if name != "closed_days"}, closed_days=closed
    )
    today = date(2026, 9, 1)
    assert last_selling_day(farm, today) == date(2026, 12, 19)
    # By hand: 56 days before 19 December is 24 October. One planting in ten takes exp(1.2816 x hypot(.15, .10)) = 1.26
    # times its days, 26.5 and 44.1: 27 and 45 whole ones, 72 before 19 December.
    (line,) = last_sowings(farm, today)["lines"]
    assert line["sold"] == {"usual": "2026-10-24", "sure": "2026-10-08"}


def test_a_closed_week_is_no_end_of_selling_and_no_season_has_none():
    assert last_selling_day(a_farm(), date(2026, 9, 1)) is None
    ends = rows.FarmRows(outlets=(rows.Outlet(outlet="Quay", kind="market", weekday=5, last_day=date(2026, 10, 31)),))
    assert last_selling_day(ends, date(2026, 9, 1)) == date(2026, 10, 31)
    assert last_selling_day(ends, date(2026, 11, 1)) is None


def test_the_dark_weeks_begin_with_the_first_day_under_ten_hours():
    table = Place(42.4, 0.5, (11, 5), (2, 3))
    assert [dark_begins(table, date(2026, 9, 1)), dark_begins(table, date(2026, 11, 5))] == [
        date(2026, 11, 5),
        date(2026, 11, 5),
    ]
    assert dark_begins(table, date(2026, 11, 6)) == date(2027, 11, 5)
    assert dark_begins(Place(42.4, 1.0), date(2026, 9, 1)) is None


def test_the_season_of_the_variety_may_end_before():
    farm = a_farm(season_last_day=date(2026, 12, 19))
    early = rows.Variety(variety="lettuce", crop="lettuce", sow_first_day=(3, 1), sow_last_day=(9, 10))
    farm = rows.FarmRows(
        **{name: getattr(farm, name) for name in farm.__slots__ if name != "varieties"}, varieties=(early,)
    )
    (line,) = last_sowings(farm, date(2026, 9, 1))["lines"]
    assert line["sold"] == {"usual": "2026-09-10", "sure": "2026-09-10"}
    (over,) = last_sowings(farm, date(2026, 9, 11))["lines"]
    assert over["sold"] == {"usual": None, "sure": None}
