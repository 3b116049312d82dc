"""The small farm with three Saturdays behind it: what to sow follows from when it sold out. Invented."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from farmops.core.sizing import solve
from farmops.growing.models import Space, SpaceKind, SpaceSpell
from farmops.planning.sowing_list import work_out_sowings
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_market, a_place, a_variety, an_item

TODAY = date(2026, 5, 4)
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
MONDAY = TODAY


def quick(problem, settings):
    """In this process, without looking for causes."""
    return solve(problem, replace(settings, explain=False))


def a_sown_farm(days=((48, 700, None), (55, 770, None), (60, None, 8))):
    """Lettuce, the Quay on Saturdays 8 to 13; days as (brought, sold out at, came back), the last on 2 May."""
    a_place()
    more = Space.objects.create(name="N-3", kind=SpaceKind.objects.get(name="channel"))
    SpaceSpell.objects.create(space=more, places=144)
    variety = a_variety()
    item = an_item(variety)
    market = a_market()
    for weeks, (brought, out, back) in enumerate(reversed(days)):
        a_market_day(market, item, date(2026, 5, 2) - timedelta(weeks=weeks), brought, out, back)
    return variety, item


def a_market_day(market, item, held_on, brought, out=None, back=None):
    day = MarketDay.objects.create(
        outlet=market,
        held_on=held_on,
        opens_minute=480,
        closes_minute=780,
        status="took place",
        entry=an_entry(f"market {market.pk} {held_on}", job="plan"),
    )
    return a_line(day, item, brought, out, back)


def a_line(day, item, brought, out=None, back=None):
    line = MarketLine.objects.create(
        market_day=day,
        item=item,
        unit=item.unit,
        price_cents=350,
        entry=an_entry(f"line {day.pk} {item.pk}", job="plan"),
    )
    a_fact(line, "brought", amount=brought)
    if out is not None:
        a_fact(line, "sold out", minute=out)
    a_fact(line, "home", amount=back or 0)
    return line


def a_fact(line, kind, **what):
    entry = an_entry(f"{kind} {line.pk} {what}", job="stall")
    return MarketFact.objects.create(line=line, kind=kind, entry=entry, **what)


def worked_out(today=TODAY, now=NOW):
    return work_out_sowings(today, now, solver=quick)


def the_quay():
    return Outlet.objects.get(name="Quay")
