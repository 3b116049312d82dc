"""What of a year can be copied into the next, on the same weekday, and what is named instead."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.calendar import week_of
from farmops.farm.models import ClosedDays, Farm
from farmops.planning.copy_year import FIRST, LAST, Rest, copy_of, day_a_year_on, runs_of, span_of
from farmops.selling.call_off import call_off
from farmops.selling.models import MarketDay, Outlet, OutletClosedDays
from tests.selling.market import a_line, an_item, saying, the_market
from tests.selling.orders import a_buyer, a_count, an_order

pytestmark = pytest.mark.django_db
DECEMBER = date(2026, 12, 27)  # a Sunday: no Saturday is left of the year but 2 January


def held(*days, outlet=None):
    for day in days:
        a_line(held_on=day, outlet=outlet)


def copied(year=2027, today=DECEMBER, week_53=LAST):
    return [(one.from_on, one.held_on) for one in copy_of(year, today, week_53).days]


@pytest.mark.case("G12")
def test_a_copy_by_52_weeks_keeps_the_weekday_also_from_the_leap_day():
    # "Tue 29 Feb 2028 → Tue 27 Feb 2029, no crash"
    held(date(2028, 2, 29), outlet=the_market("Tuesday square", weekday=1))
    assert copied(2029, date(2028, 12, 31)) == [(date(2028, 2, 29), date(2029, 2, 27))]
    assert (date(2029, 2, 27).weekday(), str(week_of(date(2029, 2, 27)))) == (1, "2029-W09")


@pytest.mark.case("G12")
@pytest.mark.parametrize(
    ("choice", "thursday", "friday", "week"),
    [
        (LAST, date(2027, 12, 30), date(2027, 12, 31), "2027-W52"),
        (FIRST, date(2028, 1, 6), date(2028, 1, 7), "2028-W01"),
    ],
)
def test_week_53_goes_where_it_is_chosen_to(choice, thursday, friday, week):
    # "31 Dec and 1 Jan are both 2026-W53 ... 2027 has no week 53: its plan goes to 2027-W52 or 2028-W01 by a choice"
    held(date(2026, 12, 31), outlet=the_market("Thursday square", weekday=3))
    held(date(2027, 1, 1), outlet=the_market("Friday square", weekday=4))
    a_count(date(2026, 12, 28), date(2027, 1, 3), boxes=24)
    found = copy_of(2027, date(2027, 1, 3), choice)
    assert found.has_week_53
    assert [(one.from_on, one.held_on) for one in found.days] == [
        (date(2026, 12, 31), thursday),
        (date(2027, 1, 1), friday),
    ]
    assert {str(week_of(one.held_on)) for one in found.days} == {week}
    assert [(str(week_of(one.first_week)), str(week_of(one.last_week))) for one in found.boxes] == [(week, week)]


@pytest.mark.case("G12")
def test_of_53_weeks_the_second_becomes_the_first():
    # 2026 has 53 weeks: 52 weeks after its week 1 comes its week 53, which is no part of 2027.
    held(date(2026, 1, 3), date(2026, 1, 10))
    found = copy_of(2027, DECEMBER)
    assert [(one.from_on, one.held_on) for one in found.days if one.from_on < date(2026, 6, 1)] == [
        (date(2026, 1, 10), date(2027, 1, 9))
    ]
    assert [(one.from_on, one.to_on, one.why) for one in found.left_out] == [
        (date(2026, 1, 3), None, "52 weeks on is week 53 of 2026 still")
    ]


@given(number=st.integers(0, 363), year=st.integers(2001, 2098), choice=st.sampled_from([LAST, FIRST]))
def test_every_copied_day_keeps_its_weekday_and_no_two_fall_on_one(number, year, choice):
    first, last = span_of(year - 1)
    days = [first + timedelta(days=one) for one in range((last - first).days + 1)]
    there = [day_a_year_on(day, year, choice) for day in days]
    found = [one for one in there if one is not None]
    assert len(set(found)) == len(found) == 364
    day, to = days[number], there[number]
    assert to is None or (to.weekday() == day.weekday() and to - day in {timedelta(weeks=52), timedelta(weeks=53)})


def test_the_year_ends_with_its_last_iso_week():
    assert span_of(2026) == (date(2025, 12, 29), date(2027, 1, 3))
    assert span_of(2027) == (date(2027, 1, 4), date(2028, 1, 2))


def test_days_that_are_planned_gone_by_or_called_off_are_not_planned_again():
    held(date(2025, 4, 26), date(2025, 5, 3), date(2025, 5, 10), date(2025, 5, 17))
    held(date(2026, 5, 9))
    off = MarketDay.objects.get(held_on=date(2025, 5, 17))
    call_off(saying=saying("off"), market_day=off)
    found = copy_of(2026, date(2026, 5, 4))
    assert (found.days, found.there, found.gone) == ((), 1, 2)
    assert [(one.from_on, one.to_on, one.why) for one in found.left_out] == [
        (date(2025, 5, 17), date(2026, 5, 16), "called off")
    ]


def test_what_is_left_of_the_year_counts_by_the_markets_weekday():
    held(date(2026, 12, 5))
    quay = the_market()
    OutletClosedDays.objects.create(outlet=quay, first_on=date(2026, 12, 26), last_on=date(2026, 12, 26))
    found = copy_of(2027, date(2026, 12, 8))
    assert [(one.from_on, one.held_on, one.source is None) for one in found.days] == [
        (date(2026, 12, 5), date(2027, 12, 4), False),
        (date(2026, 12, 12), date(2027, 12, 11), True),
        (date(2026, 12, 19), date(2027, 12, 18), True),
        (date(2027, 1, 2), date(2028, 1, 1), True),
    ]
    assert found.holidays == (Rest(quay, date(2027, 12, 25), date(2027, 12, 25), ""),)


def test_a_day_that_falls_on_a_closed_one_is_named_with_its_reason():
    held(date(2026, 5, 2), date(2026, 7, 3 + 1), date(2026, 12, 26))
    ClosedDays.objects.create(first_on=date(2027, 7, 3), last_on=date(2027, 7, 3), reason="wedding")
    OutletClosedDays.objects.create(outlet=the_market(), first_on=date(2027, 12, 25), last_on=date(2027, 12, 25))
    found = copy_of(2027, date(2027, 1, 3))
    assert [(one.from_on, one.held_on) for one in found.days] == [(date(2026, 5, 2), date(2027, 5, 1))]
    assert [(one.name, one.from_on, one.to_on, one.why) for one in found.left_out] == [
        ("Quillby Green", date(2026, 7, 4), date(2027, 7, 3), "closed: wedding"),
        ("Quillby Green", date(2026, 12, 26), date(2027, 12, 25), "closed"),
    ]


def test_a_holiday_is_named_once_and_not_again_when_it_is_closed():
    held(date(2026, 5, 2))
    ClosedDays.objects.create(first_on=date(2026, 12, 24), last_on=date(2026, 12, 26), reason="Christmas")
    assert copy_of(2027, DECEMBER).holidays == (Rest(None, date(2027, 12, 23), date(2027, 12, 25), "Christmas"),)
    ClosedDays.objects.create(first_on=date(2027, 12, 24), last_on=date(2027, 12, 26))
    assert copy_of(2027, DECEMBER).holidays == (Rest(None, date(2027, 12, 23), date(2027, 12, 23), "Christmas"),)


@pytest.mark.case("G10")
def test_a_season_goes_on_and_between_two_it_is_closed():
    # "season 9 May-19 Dec" of 2026, on Saturdays: 8 May to 18 December 2027.
    held(date(2026, 5, 9), date(2026, 12, 19))
    Farm.objects.update(season_first_on=date(2026, 5, 9), season_last_on=date(2026, 12, 19))
    found = copy_of(2027, DECEMBER)
    assert [(one.outlet, one.was, one.last_on) for one in found.seasons] == [
        (None, date(2026, 12, 19), date(2027, 12, 18))
    ]
    assert found.rests == (Rest(None, DECEMBER, date(2027, 5, 7), "between two seasons"),)
    assert [one.held_on for one in found.days] == [date(2027, 5, 8), date(2027, 12, 18)]


def test_an_outlets_own_season_goes_on_and_one_that_ended_for_good_does_not():
    held(date(2026, 5, 9))
    held(date(2026, 6, 6), outlet=the_market("Fair"))
    Outlet.objects.filter(name="Quillby Green").update(first_on=date(2026, 5, 9), last_on=date(2026, 12, 19))
    Outlet.objects.filter(name="Fair").update(last_on=date(2026, 6, 6))
    found = copy_of(2027, DECEMBER)
    assert [(one.outlet.name, one.last_on) for one in found.seasons] == [("Quillby Green", date(2027, 12, 18))]
    assert [one.held_on for one in found.days] == [date(2027, 5, 8)]
    assert [(one.name, one.why) for one in found.left_out] == [("Fair", "out of season")]


def test_a_rest_is_carried_on_where_nothing_is_closed_yet():
    held(date(2026, 5, 9))
    ClosedDays.objects.create(first_on=date(2025, 12, 21), last_on=date(2026, 4, 3), reason="winter rest")
    ClosedDays.objects.create(first_on=date(2027, 1, 4), last_on=date(2027, 1, 10))
    found = copy_of(2027, DECEMBER)
    assert found.rests == (
        Rest(None, DECEMBER, date(2027, 1, 3), "winter rest"),
        Rest(None, date(2027, 1, 11), date(2027, 4, 2), "winter rest"),
    )


def test_boxes_are_copied_in_runs_around_weeks_that_are_planned_or_closed():
    a_count(date(2026, 6, 1), date(2026, 7, 12), boxes=24, size="full")
    a_count(date(2027, 6, 7), None, boxes=30, size="full", item=an_item("kale"))
    a_count(date(2027, 6, 7), None, boxes=9, size="half", item=an_item("kale"))
    ClosedDays.objects.create(first_on=date(2027, 6, 24), last_on=date(2027, 6, 24), reason="fair")
    found = copy_of(2027, DECEMBER)
    # Six weeks: 31 May, [7 June is planned], 14 June, [24 June, a Thursday, is closed], 28 June, 5 July.
    assert [(one.first_week, one.last_week) for one in found.boxes] == [
        (date(2027, 5, 31), date(2027, 5, 31)),
        (date(2027, 6, 14), date(2027, 6, 14)),
        (date(2027, 6, 28), date(2027, 7, 5)),
    ]
    assert found.boxes_there == 1
    assert [(one.from_on, one.to_on, one.why) for one in found.left_out] == [
        (date(2026, 6, 25), date(2027, 6, 24), "closed: fair")
    ]


def test_standing_orders_that_end_and_that_nothing_follows_are_named():
    an_order(a_buyer("Inn"), first_on=date(2026, 5, 1), last_on=date(2026, 12, 18))
    an_order(a_buyer("Old inn"), first_on=date(2025, 5, 2), last_on=date(2026, 12, 18))
    an_order(a_buyer("Cafe"), first_on=date(2026, 5, 1))
    an_order(a_buyer("Shop"), first_on=date(2026, 5, 1), last_on=date(2026, 12, 18))
    an_order(a_buyer("Shop"), first_on=date(2027, 5, 7), last_on=date(2027, 12, 17), typed="20")
    an_order(a_buyer("Gone"), first_on=date(2025, 5, 2), last_on=date(2025, 5, 9))
    assert [(one.order.buyer.name, one.words, one.first_on, one.last_on) for one in copy_of(2027, DECEMBER).ending] == [
        ("Inn", "12 bunches", date(2027, 4, 30), date(2027, 12, 17)),
        ("Old inn", "12 bunches", date(2026, 12, 19), date(2027, 12, 17)),
    ]


def test_runs_of_days():
    days = [date(2026, 5, 4), date(2026, 5, 5), date(2026, 5, 7)]
    assert runs_of(days, timedelta(days=1)) == [days[:2], days[2:]]
    assert runs_of([], timedelta(days=1)) == []


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(django_assert_num_queries, number):
    line = a_line(held_on=date(2026, 5, 2))
    MarketDay.objects.bulk_create(
        MarketDay(
            outlet=line.market_day.outlet,
            held_on=date(2026, 1, 5) + timedelta(days=one),
            opens_minute=480,
            closes_minute=780,
            entry=line.entry,
        )
        for one in range(number)
        if date(2026, 1, 5) + timedelta(days=one) != date(2026, 5, 2)
    )
    with django_assert_num_queries(7):
        assert len(copy_of(2027, date(2027, 1, 3)).days) >= min(number, 300) - 1
