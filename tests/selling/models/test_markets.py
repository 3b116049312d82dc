"""Rules of market days and what is known of them hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Item
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
SATURDAY = date(2026, 5, 2)


@pytest.fixture
def line():
    outlet = Outlet.objects.create(name="Quillby Green", kind="market", weekday=5)
    day = MarketDay.objects.create(
        outlet=outlet, held_on=SATURDAY, opens_minute=480, closes_minute=780, entry=an_entry()
    )
    item = Item.objects.create(name="sweet basil", unit="bunch", keeps_days=4)
    return MarketLine.objects.create(market_day=day, item=item, unit="bunch", price_cents=300, entry=day.entry)


@pytest.mark.parametrize(
    "wrong",
    [{"held_on": SATURDAY}, {"closes_minute": 480}, {"closes_minute": 1441}],
    ids=["held twice", "closes as it opens", "closes tomorrow"],
)
def test_a_market_day_that_breaks_a_rule_is_not_stored(line, wrong):
    facts = {"outlet": line.market_day.outlet, "held_on": date(2026, 5, 9), "opens_minute": 480, "closes_minute": 780}
    with pytest.raises(IntegrityError):
        MarketDay.objects.bulk_create([MarketDay(entry=line.entry, **{**facts, **wrong})])


def test_an_item_stands_once_on_a_market_days_list(line):
    with pytest.raises(IntegrityError):
        MarketLine.objects.bulk_create(
            [MarketLine(market_day=line.market_day, item=line.item, unit="bunch", entry=line.entry)]
        )


def test_what_one_costs_is_money_or_a_share_of_the_price(line):
    other = Item.objects.create(name="purple basil", unit="bunch", keeps_days=4)
    both = {"unit_cost_cents": 90, "unit_cost_percent": 30}
    with pytest.raises(IntegrityError, match="market_line_cost_one_way"):
        MarketLine.objects.bulk_create(
            [MarketLine(market_day=line.market_day, item=other, unit="bunch", entry=line.entry, **both)]
        )


@pytest.mark.parametrize(
    ("fact", "rule"),
    [
        ({"kind": "brought"}, "market_fact_amount_where_it_counts"),
        ({"kind": "compost", "amount": -1}, "market_fact_amount_where_it_counts"),
        ({"kind": "sold out", "amount": 48}, "market_fact_amount_where_it_counts"),
        ({"kind": "price"}, "market_fact_price_where_it_changes"),
        ({"kind": "home", "amount": 3, "price_cents": 300}, "market_fact_price_where_it_changes"),
    ],
)
def test_a_fact_that_breaks_a_rule_is_not_stored(line, fact, rule):
    with pytest.raises(IntegrityError, match=rule):
        MarketFact.objects.bulk_create([MarketFact(line=line, entry=line.entry, **fact)])


def test_none_came_back_and_unknown_are_told_apart(line):
    assert list(line.facts.live()) == []
    MarketFact.objects.bulk_create([MarketFact(line=line, entry=line.entry, kind="home", amount=0)])
    assert list(line.facts.live().values_list("kind", "amount")) == [("home", 0)]
