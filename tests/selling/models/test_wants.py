"""Rules of orders, box counts and wants hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Item
from farmops.selling.models import BoxCount, Outlet, StandingOrder, Want
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 5, 4)


@pytest.fixture
def facts():
    outlet = Outlet.objects.create(name="Lantern Street grocer", kind="buyer", weekday=4)
    item = Item.objects.create(name="sweet basil", unit="bunch", keeps_days=4)
    return {"item": item, "amount": 12, "entry": an_entry()}, outlet


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"amount": 0}, "standing_order_of_something"),
        ({"every_weeks": 0}, "standing_order_has_rhythm"),
        ({"every_weeks": 2}, "standing_order_has_rhythm"),
        ({"first_on": MONDAY, "last_on": date(2026, 5, 3)}, "standing_order_in_order"),
    ],
)
def test_a_standing_order_that_breaks_a_rule_is_not_stored(facts, wrong, rule):
    usual, outlet = facts
    with pytest.raises(IntegrityError, match=rule):
        StandingOrder.objects.bulk_create([StandingOrder(**{**usual, "buyer": outlet, "weekday": 4, **wrong})])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [({"amount": 0}, "box_count_of_something"), ({"last_week": date(2026, 4, 27)}, "box_count_in_order")],
)
def test_a_box_count_that_breaks_a_rule_is_not_stored(facts, wrong, rule):
    usual, outlet = facts
    with pytest.raises(IntegrityError, match=rule):
        BoxCount.objects.bulk_create([BoxCount(**{**usual, "box": outlet, "first_week": MONDAY, "boxes": 40, **wrong})])


def test_a_want_is_of_something_unless_it_says_not_this_time(facts):
    usual, outlet = facts
    with pytest.raises(IntegrityError, match="want_of_something"):
        Want.objects.bulk_create([Want(**{**usual, "outlet": outlet, "wanted_on": MONDAY, "amount": 0})])


def test_not_this_time_is_a_want_of_nothing(facts):
    usual, outlet = facts
    not_now = {**usual, "outlet": outlet, "wanted_on": MONDAY, "amount": 0, "replaces_standing": True}
    Want.objects.bulk_create([Want(**not_now)])
    assert Want.objects.get().amount == 0
