"""Who wants what of the small farm, and lettuce that stands ready: for the tests of tonight's pick list.

The list is for Tuesday 5 May 2026; the farm cuts on Tuesdays and Fridays.
"""

from datetime import date, timedelta

from farmops.growing.models import Space, SpaceKind, SpaceSpell
from farmops.harvest.models import Lot, StockMove
from farmops.selling.models import MarketDay, MarketLine, Outlet, StandingOrder
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_planting, moved

TUESDAY = date(2026, 5, 5)


def a_channel(*names):
    for name in names:
        space = Space.objects.create(name=name, kind=SpaceKind.objects.get(name="channel"))
        SpaceSpell.objects.create(space=space, places=100)


def ready(variety, code, *places, plants=20, sown=date(2026, 3, 9)):
    """21 days on the shelf and 35 in the channels: ready on 4 May; of 100 plants there 95 live to be cut."""
    planting = a_planting(variety, code, sown=sown, plants=plants * len(places))
    first = planting.stays.get()
    for place in places:
        moved(first, place, plants, sown + timedelta(days=21))
    return planting


def a_buyer(name, turn=1, weekday=1):
    return Outlet.objects.create(name=name, kind="buyer", weekday=weekday, turn=turn)


def an_order(buyer, item, amount):
    entry = an_entry(f"order {buyer} {item} {amount}")
    return StandingOrder.objects.create(buyer=buyer, item=item, weekday=buyer.weekday, amount=amount, entry=entry)


def a_market_day(outlet, on, **numbers):
    """A market to come with the grower's own figures for items."""
    entry = an_entry(f"market {outlet} {on}")
    day = MarketDay.objects.create(outlet=outlet, held_on=on, opens_minute=480, closes_minute=780, entry=entry)
    for item, own_number in numbers.values():
        facts = {"unit": item.unit, "price_cents": 350, "own_number": own_number, "entry": entry}
        MarketLine.objects.create(market_day=day, item=item, **facts)
    return day


def a_lot(planting, amount, on, code="2F-P5J8", unit="head", **of):
    """So much of it in the cold room, picked on that day."""
    entry = an_entry(f"pick {code}", job="pick")
    lot = Lot.objects.create(code=code, kind="harvest", planting=planting, made_on=on, entry=entry)
    facts = {"moved_on": on, "cut_on": on, "unit": unit, "why": "picked", "entry": entry}
    StockMove.objects.create(lot=lot, **(of or {"variety": planting.variety}), amount=amount, **facts)
    return lot
