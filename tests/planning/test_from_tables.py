"""The farm's tables as rows."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.farm.models import ClosedDays
from farmops.planning import rows
from farmops.planning.from_tables import farm_rows, growing_rows
from farmops.planning.standing import growing_of
from farmops.planning.wants import promises
from farmops.selling.models import BoxCount, Outlet, OutletClosedDays, StandingOrder, Want
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_market, a_place, a_planting, a_variety, an_item, moved

pytestmark = pytest.mark.django_db


@pytest.fixture
def item():
    a_place()
    return an_item(a_variety())


def test_a_place_without_a_farm_has_no_rows():
    assert farm_rows() == rows.FarmRows()


def test_the_farm_its_spaces_and_its_schedules(item):
    found = farm_rows()
    assert found.farm == (rows.Farm(name="Two Brooks (invented)", latitude=Decimal("42.4"), harvest_days=(1, 4)),)
    assert found.varieties == (rows.Variety(variety="green butterhead", crop="lettuce", category="lettuce"),)
    assert [(space.space, space.kind, space.places) for space in found.spaces] == [
        ("S-1", "shelf", 4),
        ("N-10", "channel", 36),
        ("N-2", "channel", 36),
        ("N-1", "channel", 36),
    ]
    stage = {"variety": "green butterhead", "light_response": Decimal(0), "days_at": (3, 20)}
    assert found.schedules == (
        rows.ScheduleStage(
            stage=1, stage_name="shelf", kind="shelf", days=21, plants_per_place=72, survive=Decimal("0.9"), **stage
        ),
        rows.ScheduleStage(
            stage=2,
            stage_name="channel",
            kind="channel",
            days=35,
            plants_per_place=1,
            survive=Decimal("0.95"),
            harvest="head",
            unit="head",
            units_per_plant=1,
            stands_good_days=10,
            **stage,
        ),
    )


def test_what_is_sold_where_and_for_how_much(item):
    a_market()
    found = farm_rows()
    assert found.items == (rows.Item(item="butterhead lettuce", unit="head", keeps_days=7, category="lettuce"),)
    assert found.item_parts == (
        rows.ItemPart(item="butterhead lettuce", variety="green butterhead", share=Decimal(1)),
    )  # fmt: skip
    assert found.outlets == (rows.Outlet(outlet="Quay", kind="market", weekday=5),)
    assert found.prices == (rows.Price(item="butterhead lettuce", price=Decimal("3.5")),)


def test_orders_boxes_and_closed_days(item):
    cook = Outlet.objects.create(name="The Anchor", kind="buyer", weekday=1)
    box = Outlet.objects.create(name="Box", kind="box", weekday=3)
    StandingOrder.objects.create(buyer=cook, item=item, weekday=1, amount=18, entry=an_entry("an order"))
    BoxCount.objects.create(
        box=box, first_week=date(2026, 5, 4), boxes=24, item=item, amount=1, value_cents=300, entry=an_entry("boxes")
    )
    ClosedDays.objects.create(first_on=date(2026, 12, 24), last_on=date(2026, 12, 26), reason="holidays")
    OutletClosedDays.objects.create(outlet=cook, first_on=TODAY, last_on=TODAY)
    found = farm_rows()
    assert found.standing_orders == (
        rows.StandingOrder(buyer="The Anchor", item="butterhead lettuce", weekday=1, amount=Decimal(18)),
    )
    assert found.box_counts == (
        rows.BoxCount(
            box="Box",
            week=date(2026, 5, 4),
            boxes=24,
            item="butterhead lettuce",
            amount=Decimal(1),
            value=Decimal(3),
        ),
    )
    assert found.closed_days == (
        rows.ClosedDay(first_day=date(2026, 12, 24), last_day=date(2026, 12, 26), reason="holidays"),
        rows.ClosedDay(first_day=TODAY, last_day=TODAY, outlet="The Anchor"),
    )


def test_a_single_order_is_added_or_stands_in_place_of_the_usual_one(item):
    cook = Outlet.objects.create(name="The Anchor", kind="buyer", weekday=1)
    StandingOrder.objects.create(buyer=cook, item=item, weekday=1, amount=18, entry=an_entry("an order"))
    tuesdays = [date(2026, 5, 5), date(2026, 5, 12), date(2026, 5, 19)]
    Want.objects.create(outlet=cook, item=item, wanted_on=tuesdays[0], amount=6, entry=an_entry("six more"))
    instead = {"outlet": cook, "item": item, "replaces_standing": True}
    Want.objects.create(wanted_on=tuesdays[1], amount=0, entry=an_entry("not this time"), **instead)
    Want.objects.create(wanted_on=tuesdays[2], amount=10, entry=an_entry("ten only"), **instead)
    Want.objects.create(wanted_on=tuesdays[2], amount=12, entry=an_entry("twelve after all"), **instead)
    wanted = promises(farm_rows(), TODAY, date(2026, 5, 26))
    assert [(want.day, want.amount) for want in wanted] == [
        (tuesdays[0], 18),
        (tuesdays[0], 6),
        (tuesdays[2], 12),
    ]


def test_plants_in_tables_are_followed_like_plants_in_sheets(item):
    planting = a_planting(item.parts.get().variety)
    moved(planting.stays.get(), "N-1", 36, date(2026, 3, 30))
    moved(planting.stays.first(), "N-2", 36, date(2026, 3, 30))
    (standing,) = growing_of(growing_rows(), TODAY).outlooks
    # By hand: sown on 9 March, 21 days on the shelf, 35 in the channel; 72 moved x .95 are left.
    assert [(one.first, round(one.amount, 1)) for one in standing.coming] == [(TODAY, 68.4)]


@pytest.mark.parametrize("more", [0, 12])
def test_as_many_queries_for_many_as_for_few(item, django_assert_num_queries, more):
    for number in range(more):
        an_item(a_variety(f"variety {number}"), f"item {number}")
        a_planting(item.parts.get().variety, f"P26-9{number}")
    with django_assert_num_queries(24):
        farm_rows()
    with django_assert_num_queries(12):
        growing_rows()
