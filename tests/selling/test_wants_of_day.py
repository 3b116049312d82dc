"""What is wanted on which day: rhythms over week 53 and 29 February, closed days, single wants over standing ones."""

from datetime import date, timedelta

import pytest

from farmops.farm.models import ClosedDays
from farmops.planning.from_tables import farm_rows
from farmops.planning.wants import promises
from farmops.selling.models import OutletClosedDays
from farmops.selling.orders import not_this_time, want_once
from farmops.selling.wants_of_day import next_due, wants_of_days
from tests.selling.market import an_item, saying
from tests.selling.orders import a_box, a_buyer, a_count, an_order

pytestmark = pytest.mark.django_db


def wanted(first, last):
    return [(one.day, one.outlet.name, one.item.name, one.amount) for one in wants_of_days(first, last)]


def days(first, last):
    return [one.day for one in wants_of_days(first, last)]


def test_alternate_weeks_go_on_over_week_53():
    """Weeks 49, 51, 53 of 2026, then week 2: 3, 17, 31 December, 14 January; by odd numbers it would be the 7th."""
    an_order(weekday=3, first_on=date(2026, 12, 3), every_weeks=2)
    an_order(a_buyer("Inn"), weekday=3, first_on=date(2026, 12, 10), every_weeks=2)
    found = wants_of_days(date(2026, 11, 1), date(2027, 1, 20))
    of = {name: [one.day for one in found if one.outlet.name == name] for name in ("Bistro", "Inn")}
    assert of["Bistro"] == [date(2026, 12, 3), date(2026, 12, 17), date(2026, 12, 31), date(2027, 1, 14)]
    assert of["Inn"] == [date(2026, 12, 10), date(2026, 12, 24), date(2027, 1, 7)]


def test_the_29th_of_february_is_a_day_like_any_other():
    an_order(weekday=1, first_on=date(2028, 2, 1), every_weeks=2)
    assert days(date(2028, 2, 1), date(2028, 3, 15)) == [
        date(2028, 2, 1),
        date(2028, 2, 15),
        date(2028, 2, 29),
        date(2028, 3, 14),
    ]


def test_a_box_of_every_week_comes_once_in_week_53_and_in_the_week_of_the_29th():
    a_count(date(2026, 12, 21), date(2027, 1, 8))
    assert days(date(2026, 12, 1), date(2027, 1, 31)) == [
        date(2026, 12, 24),
        date(2026, 12, 31),
        date(2027, 1, 7),
    ]
    a_count(date(2028, 2, 29), boxes=7, item=an_item("chard"))
    assert wanted(date(2028, 2, 1), date(2028, 4, 1)) == [(date(2028, 3, 2), "weekly box", "chard", 14)]


def test_sizes_add_and_one_week_is_one_week():
    a_count(date(2026, 5, 4), size="full", boxes=20, typed="3")
    a_count(date(2026, 5, 6), size="half", boxes=13, typed="1")
    found = wanted(date(2026, 5, 1), date(2026, 6, 1))
    assert [amount for _day, _box, _item, amount in found] == [60, 13]
    assert {day for day, *_rest in found} == {date(2026, 5, 7)}


def test_closed_days_are_left_out_and_the_rhythm_goes_on():
    an_order(first_on=date(2026, 5, 1), every_weeks=2)
    an_order(a_buyer("Inn"))
    OutletClosedDays.objects.create(outlet=a_buyer(), first_on=date(2026, 5, 15), last_on=date(2026, 5, 15))
    ClosedDays.objects.create(first_on=date(2026, 5, 22), last_on=date(2026, 5, 23))
    assert [(day, name) for day, name, *_rest in wanted(date(2026, 5, 1), date(2026, 5, 31))] == [
        (date(2026, 5, 1), "Bistro"),
        (date(2026, 5, 1), "Inn"),
        (date(2026, 5, 8), "Inn"),
        (date(2026, 5, 15), "Inn"),
        (date(2026, 5, 29), "Bistro"),
        (date(2026, 5, 29), "Inn"),
    ]


def test_not_this_time_instead_and_besides():
    an_order(typed="12")
    friday = date(2026, 5, 8)
    facts = {"outlet": a_buyer(), "item": an_item()}
    not_this_time(saying=saying("not"), day=friday, **facts)
    want_once(saying=saying("more"), wanted_on=friday + timedelta(7), typed="5", **facts)
    want_once(saying=saying("20"), wanted_on=friday + timedelta(14), typed="20", replaces_standing=True, **facts)
    want_once(saying=saying("8"), wanted_on=friday + timedelta(14), typed="8", replaces_standing=True, **facts)
    assert [(day, amount) for day, _n, _i, amount in wanted(friday, friday + timedelta(21))] == [
        (date(2026, 5, 8), 0),
        (date(2026, 5, 15), 12),
        (date(2026, 5, 15), 5),
        (date(2026, 5, 22), 8),
        (date(2026, 5, 29), 12),
    ]


def test_planning_promises_the_same():
    an_order(first_on=date(2026, 5, 8), every_weeks=2)
    a_count(date(2026, 5, 4), date(2026, 5, 29))
    not_this_time(saying=saying("not"), outlet=a_buyer(), item=an_item(), day=date(2026, 5, 22))
    want_once(saying=saying("once"), outlet=a_box(), item=an_item(), wanted_on=date(2026, 5, 14), typed="5")
    first, last = date(2026, 5, 4), date(2026, 6, 7)
    promised = promises(farm_rows(), first, last + timedelta(1))
    assert sorted((one.day, one.outlet, one.item, one.amount) for one in promised) == sorted(
        one for one in wanted(first, last) if one[3]
    )


def test_the_next_delivery_is_in_the_rhythm_and_none_when_it_is_over():
    order = an_order(first_on=date(2026, 5, 8), last_on=date(2026, 6, 5), every_weeks=2)
    found = [next_due(order, day) for day in (date(2026, 1, 1), date(2026, 5, 9), date(2026, 5, 22), date(2026, 6, 6))]
    assert found == [date(2026, 5, 8), date(2026, 5, 22), date(2026, 5, 22), None]


def test_six_questions_however_many_orders(django_assert_num_queries):
    for number in range(12):
        an_order(a_buyer(f"buyer {number}"))
    with django_assert_num_queries(6):
        assert len(wants_of_days(date(2026, 5, 4), date(2026, 5, 17))) == 24
