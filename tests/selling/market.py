"""A Saturday market, what it sells, and sayings about it, for the tests of selling. The clock is New York's."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from farmops.core.quantities import nanograms
from farmops.farm.models import Farm
from farmops.growing.models import Item, ItemPart, Variety
from farmops.harvest.models import Lot, StockMove
from farmops.journal.deed import Saying
from farmops.selling.came_back import CameBack, came_back
from farmops.selling.load_van import load
from farmops.selling.market_facts import facts_of
from farmops.selling.models import MarketDay, MarketLine, Outlet, Price
from farmops.selling.plan_market_day import plan_market_day
from tests.journal.entries import an_entry

SATURDAY = date(2026, 5, 2)
NOON = datetime(2026, 5, 2, 16, 0, tzinfo=UTC)  # 12:00 on the farm's clock


def at(hour, minute=0):
    """A minute of the day; 8:00 is 480."""
    return hour * 60 + minute


def lb(pounds):
    return nanograms(Decimal(pounds), "lb")


def saying(key, **other):
    return Saying(**{"key": key, "body": {"form": key}, "day": SATURDAY, "said_at": NOON, "now": NOON, **other})


def the_market(name="Quillby Green", weekday=5):
    Farm.objects.get_or_create(defaults={"name": "Two Brooks", "latitude": 42, "time_zone": "America/New_York"})
    return Outlet.objects.get_or_create(name=name, defaults={"kind": "market", "weekday": weekday})[0]


def an_item(name="sweet basil", unit="bunch", cents=400, **other):
    item, _ = Item.objects.get_or_create(name=name, defaults={"unit": unit, "keeps_days": 6, **other})
    if cents is not None and not item.prices.exists():
        Price.objects.create(item=item, price_cents=cents)
    return item


def a_line(item=None, held_on=SATURDAY, outlet=None):
    """An item on the list of a market day; the day is planned where it is not yet."""
    outlet, item = outlet or the_market(), item or an_item()
    day = MarketDay.objects.filter(outlet=outlet, held_on=held_on).first()
    if day is None:
        key = f"plan {outlet.name} {held_on}"
        plan_market_day(saying=saying(key, day=held_on), outlet=outlet, held_on=held_on, items=[item])
        day = MarketDay.objects.get(outlet=outlet, held_on=held_on)
    line = day.lines.filter(item=item).first()
    if line is None:
        line = MarketLine.objects.create(
            market_day=day, item=item, unit=item.unit, price_cents=400, entry=an_entry(f"line {day.pk} {item.name}")
        )
    line.market_day, line.item = day, item
    return line


def loaded(line, typed, key=None, **other):
    """Loaded though the cold room may not hold so much."""
    when = line.market_day.held_on
    key = key or f"load {line.pk} {typed}"
    return load(
        saying=saying(key, day=when, **other),
        market_day=line.market_day,
        typed={line.pk: typed},
        yes=frozenset({"more_than_lies"}),
    )


def back(line, key=None, seen=None, yes=(), said=None, **amounts):
    """What came back of one line, by where it went."""
    when = line.market_day.held_on
    later = max(NOON, NOON + timedelta(days=(when - SATURDAY).days))
    key = key or f"back {line.pk} {amounts}"
    return came_back(
        saying=saying(key, **{"day": when, "said_at": later, "now": later, **(said or {})}),
        market_day=line.market_day,
        said={line.pk: CameBack(amounts, seen or {})},
        yes=frozenset(yes),
    )


def known(line):
    """What is known of a line, its day as it stands now."""
    fresh = MarketLine.objects.select_related("item", "market_day__outlet").get(pk=line.pk)
    return facts_of(fresh)


def in_stock(item, amount, *, days_ago=1, code="A-1", variety=None, stopped=False):
    """So much in the cold room, packed; or as cut, of a variety."""
    entry = an_entry(f"stock {code} {amount}", "stock")
    cut_on = SATURDAY - timedelta(days=days_ago)
    lot, _ = Lot.objects.get_or_create(code=code, defaults={"kind": "received", "made_on": cut_on, "entry": entry})
    if stopped:
        lot.stopped_at = NOON
        lot.save()
    what = {"variety": variety} if variety else {"item": item}
    StockMove.objects.create(
        lot=lot, moved_on=cut_on, amount=amount, unit=item.unit, why="picked", cut_on=cut_on, entry=entry, **what
    )
    return lot


def made_of(item, name="green butterhead"):
    """The item's one variety."""
    variety, _ = Variety.objects.get_or_create(name=name, defaults={"crop": "lettuce"})
    ItemPart.objects.create(item=item, variety=variety, share_percent=100)
    return variety


def many_lines(number):
    """So many items on one market day's list; the first line of them."""
    line = a_line(an_item("item 0", cents=None))
    facts = {"unit": "bunch", "keeps_days": 6}
    items = Item.objects.bulk_create(Item(name=f"item {one}", **facts) for one in range(1, number))
    MarketLine.objects.bulk_create(
        MarketLine(market_day=line.market_day, item=item, unit="bunch", price_cents=400, entry=line.entry)
        for item in items
    )
    return line
