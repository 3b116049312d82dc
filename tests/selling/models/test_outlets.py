"""Rules of outlets, their closed days and prices hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Item
from farmops.selling.models import Outlet, OutletClosedDays, Price

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": "quillby green"},
        {"weekday": 7},
        {"opens_minute": 780, "closes_minute": 480},
        {"closes_minute": 1441},
        {"first_on": DAY, "last_on": date(2026, 5, 3)},
    ],
    ids=["named twice", "eighth day", "closes first", "closes tomorrow", "season backwards"],
)
def test_an_outlet_that_breaks_a_rule_is_not_stored(wrong):
    Outlet.objects.create(name="Quillby Green", kind="market", weekday=5)
    with pytest.raises(IntegrityError):
        Outlet.objects.bulk_create([Outlet(**{"name": "Mill Yard", "kind": "market", "weekday": 2, **wrong})])


def test_closed_days_end_after_they_begin():
    outlet = Outlet.objects.create(name="Quillby Green", kind="market", weekday=5)
    with pytest.raises(IntegrityError, match="outlet_closed_days_in_order"):
        OutletClosedDays.objects.bulk_create([OutletClosedDays(outlet=outlet, first_on=DAY, last_on=date(2026, 5, 3))])


@pytest.mark.parametrize("day", [DAY, None], ids=["from a day", "from the beginning"])
@pytest.mark.parametrize("has_outlet", [True, False], ids=["at one outlet", "everywhere"])
def test_a_price_begins_once(day, has_outlet):
    item = Item.objects.create(name="sweet basil", unit="bunch", keeps_days=4)
    outlet = Outlet.objects.create(name="Quillby Green", kind="market", weekday=5) if has_outlet else None
    twice = [Price(item=item, outlet=outlet, from_on=day, price_cents=cents) for cents in (300, 350)]
    with pytest.raises(IntegrityError):
        Price.objects.bulk_create(twice)


def test_an_outlet_has_its_own_price_beside_that_of_all():
    item = Item.objects.create(name="sweet basil", unit="bunch", keeps_days=4)
    outlet = Outlet.objects.create(name="Quillby Green", kind="market", weekday=5)
    Price.objects.bulk_create([Price(item=item, price_cents=300), Price(item=item, outlet=outlet, price_cents=350)])
    assert sorted(Price.objects.values_list("price_cents", flat=True)) == [300, 350]
