"""Prices, outlets and closed days: noted with old and new, and taken back so that they never count."""

from datetime import date

import pytest

from farmops.journal.models import Change
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.selling.market_dates import market_dates
from farmops.selling.models import Outlet, Price
from farmops.selling.prices import prices_on
from farmops.selling.set_price import add_outlet, change_outlet, close_outlet, set_price
from tests.selling.market import an_item, saying, the_market

pytestmark = pytest.mark.django_db
MAY, JUNE = date(2026, 5, 2), date(2026, 6, 6)


def cost(day=MAY, outlet=None):
    return list(prices_on([an_item()], outlet or the_market(), day).values())


def put(key, typed, outlet=None, from_on=None):
    return set_price(saying=saying(key), item=an_item(), outlet=outlet, typed=typed, from_on=from_on).entry


def test_the_outlets_own_price_counts_before_the_one_for_all_and_the_latest_begun_before_both():
    assert cost() == [400]
    put("own", "4.25", the_market())
    put("june", "4.50", the_market(), date(2026, 6, 1))
    assert (cost(), cost(JUNE), cost(outlet=the_market("Pond Street"))) == ([425], [450], [400])


def test_a_price_taken_back_never_counts_and_the_next_one_does():
    for number in range(2):
        undo(saying(f"undo {number}", corrects=put(f"own {number}", "9", the_market())))
        assert cost() == [400]
    put("third", "5", the_market())
    assert cost() == [500]


def test_the_same_price_put_right_is_altered_with_old_and_new_noted():
    first = put("own", "45", the_market())
    put("right", "4.50", the_market())
    assert (cost(), Price.objects.filter(outlet=the_market()).count()) == ([450], 1)
    assert list(Change.objects.exclude(entry=first).values_list("column", "old", "new")) == [("price_cents", 4500, 450)]


@pytest.mark.parametrize("typed", ["", "lots", "4.505", "4 lb"])
def test_what_is_no_price_is_refused(typed):
    with pytest.raises(Refused):
        put("wrong", typed)


def test_an_outlet_is_added_once_and_again_after_it_was_taken_back():
    the_market()
    facts = {"name": "Pond Street", "kind": "market", "weekday": 2}
    added = add_outlet(saying=saying("add"), **facts).entry
    assert added.said == "Pond Street is sold to from now on"
    with pytest.raises(Refused, match=r"^There is an outlet of that name already"):
        add_outlet(saying=saying("twice"), **{**facts, "name": "pond street"})
    wednesdays = [day for day, outlet in market_dates(MAY, JUNE) if outlet.name == "Pond Street"]
    assert wednesdays[0] == date(2026, 5, 6)
    undo(saying("undo", corrects=added))
    assert [outlet.name for _day, outlet in market_dates(MAY, date(2026, 5, 8))] == ["Quillby Green"]
    add_outlet(saying=saying("again"), **facts)
    assert Outlet.objects.filter(name="Pond Street").count() == 1


def test_hours_and_season_change_and_what_cannot_be_is_refused():
    facts = {"weekday": 5, "opens_minute": 420, "closes_minute": 720, "first_on": date(2026, 5, 9), "last_on": None}
    change_outlet(saying=saying("change"), outlet=the_market(), **facts)
    assert [day for day, _outlet in market_dates(MAY, date(2026, 5, 16))] == [date(2026, 5, 9), date(2026, 5, 16)]
    with pytest.raises(Refused, match=r"^A market closes after it opens"):
        change_outlet(saying=saying("wrong"), outlet=the_market(), **{**facts, "closes_minute": 400})
    assert the_market().closes_minute == 720


def test_closed_days_are_left_out_until_taken_back():
    facts = {"outlet": the_market(), "first_on": date(2026, 5, 9), "last_on": date(2026, 5, 10)}
    entry = close_outlet(saying=saying("close"), reason="fair", **facts).entry
    saturdays = [day for day, _outlet in market_dates(MAY, date(2026, 5, 16))]
    assert saturdays == [MAY, date(2026, 5, 16)]
    undo(saying("undo", corrects=entry))
    assert len(market_dates(MAY, date(2026, 5, 16))) == 3
    with pytest.raises(Refused, match=r"^The last closed day must not come before the first"):
        close_outlet(saying=saying("wrong"), **{**facts, "last_on": MAY})
