"""Loading: what goes to a market leaves the cold room, oldest lots first, and is brought."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Sum
from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass, unit_name
from farmops.farm.days import day_in_words
from farmops.growing.models import Item, ItemPart
from farmops.harvest.models import StockMove
from farmops.harvest.stock import BY_WEIGHT, Lying, LyingLot, in_the_cold_room
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.line_troubles import AT_LINES, each_line, few_of
from farmops.selling.locked_day import check_not_called_off, locked_day
from farmops.selling.market_facts import LOADED, Kind, known_lines
from farmops.selling.models import MarketDay, MarketFact, MarketLine
from farmops.selling.prices import prices_on
from farmops.selling.typed_stock import in_figures, stored_amount, with_unit

LotKey = tuple[int | None, int | None, str, int | None]  # item, variety as cut, unit, lot
Used = dict[LotKey, int]
STILL_CARRIED = timedelta(days=30)  # what came back longer ago is no longer reckoned as carried in


@dataclass(frozen=True, slots=True)
class Taken:
    """So much of one lot for the van.

    Attributes
    ----------
    lot : int or None
        None: lot not known.
    variety : int or None
        Taken from what lies there as cut, of this variety; None: packed already, or not known to lie there.
    """

    amount: int
    lot: int | None = None
    cut_on: date | None = None
    variety: int | None = None


def load(*, saying: Saying, market_day: MarketDay, typed: Mapping[int, str], yes: frozenset[str] = frozenset()) -> Done:
    """Load what was typed for each line (by its key); 0 says that none is brought, an empty text says nothing.

    Raises
    ------
    Refused
        If the day was called off, none was typed, or some cannot be read.
    NeedsYes
        "load_more": some of it is loaded already; "more_than_lies": more than lies in the cold room.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        check_not_called_off(day)
        lines = [known.line for known in known_lines(day) if typed.get(known.line.pk, "").strip()]
        if not lines:
            raise Refused(_("Type how much of what is loaded."))
        amounts = each_line(
            lines,
            lambda line: stored_amount(typed[line.pk], line.unit, field=f"load-{line.pk}", yes=yes, may_be_zero=True),
        )
        _check_not_loaded(day, lines, yes)
        taken = taken_for(saying, lines, amounts, yes)
        _note_prices(entry, day, lines)
        carried = still_carried([line.item_id for line in lines], saying.day)
        for line in lines:
            write_loaded(entry, saying, day, line, taken[line.pk], carried.get(line.item_id, 0))
        what = ", ".join(f"{line.item.name} {with_unit(amounts[line.pk], line.unit)}" for line in lines)
        words = {"market": day.outlet.name, "day": day_in_words(day.held_on), "what": what}
        return _("Loaded for %(market)s, %(day)s: %(what)s") % words, {"market_day": day.pk}

    return do_once(saying, Job.LOAD, write)


def loaded_moves(day: MarketDay) -> list[StockMove]:
    """Out-moves of everything that was loaded for a day and not taken back, oldest lots first."""
    entries = MarketFact.objects.live().filter(line__market_day=day, kind__in=LOADED).values("entry")
    return list(
        StockMove.objects.live().filter(entry__in=entries, why=StockMove.Why.LOADED, item__isnull=False).order_by("pk")
    )


def take_from(
    lying: Sequence[Lying], item: Item, parts: Sequence[ItemPart], amount: int, used: Used | None = None
) -> list[Taken]:
    """Oldest lots first, what is packed before what lies there as cut; the rest is of no known lot.

    `used` is what others take of the same lots; what is taken here is added to it.
    """
    used = {} if used is None else used
    found: list[Taken] = []
    for key, lot in _lots(lying, item, parts):
        some = min(amount, lot.amount - used.get(key, 0))
        if some <= 0:
            continue
        found.append(Taken(some, lot.lot, lot.cut_on, key[1]))
        used[key] = used.get(key, 0) + some
        amount -= some
    return [*found, Taken(amount)] if amount else found


def lies_there(lying: Sequence[Lying], item: Item, parts: Sequence[ItemPart], used: Used | None = None) -> int:
    """How much of an item may be loaded, packed or as cut, less what others take of it. [as stored]"""
    return sum(max(0, lot.amount - (used or {}).get(key, 0)) for key, lot in _lots(lying, item, parts))


def parts_of(items: Sequence[int]) -> dict[int, list[ItemPart]]:
    """What items are made of. One query."""
    found: dict[int, list[ItemPart]] = {}
    for part in ItemPart.objects.filter(item__in=items).order_by("pk"):
        found.setdefault(part.item_id, []).append(part)
    return found


def _lots(lying: Sequence[Lying], item: Item, parts: Sequence[ItemPart]) -> list[tuple[LotKey, LyingLot]]:
    """Lots that may go out as this item; and as cut, where one variety counted alike is all that it is made of."""
    unit = BY_WEIGHT if is_mass(item.unit) else unit_name(item.unit)
    piles = [pile for pile in lying if pile.item == item.pk and pile.unit == unit]
    if len(parts) == 1 and item.contains is None:
        variety = parts[0].variety_id
        piles += [pile for pile in lying if pile.item is None and pile.variety == variety and pile.unit == unit]
    return [
        ((pile.item, None if pile.item else pile.variety, unit, lot.lot), lot)
        for pile in piles
        for lot in pile.lots
        if lot.amount > 0 and not lot.is_stopped
    ]


def _note_prices(entry: Entry, day: MarketDay, lines: Sequence[MarketLine]) -> None:
    """A price set since the day went on the list counts; one that came with a sheet is the one it was."""
    prices = prices_on([line.item for line in lines], day.outlet, day.held_on)
    for line in lines:
        if line.item_id in prices and line.entry.job != Job.READ:
            change(entry, line, price_cents=prices[line.item_id])


def _check_not_loaded(day: MarketDay, lines: Sequence[MarketLine], yes: frozenset[str]) -> None:
    wanted = {line.pk for line in lines}
    there = [
        f"{known.line.item.name} {with_unit(known.loaded, known.line.unit)}"
        for known in known_lines(day, only=wanted)
        if known.loaded is not None
    ]
    if there and "load_more" not in yes:
        raise NeedsYes(
            _("Loaded already: %(what)s. Is this more besides?") % {"what": ", ".join(there)}, question="load_more"
        )


def taken_for(
    saying: Saying,
    lines: Sequence[MarketLine],
    amounts: Mapping[int, int],
    yes: frozenset[str],
    *,
    field: str = "",
) -> dict[int, list[Taken]]:
    """From which lots each line comes; items are locked, so that two vans do not take the same heads.

    Raises
    ------
    NeedsYes
        "more_than_lies", with what lies there told at each line.
    """
    keys = sorted(line.item_id for line in lines)
    list(Item.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk"))
    lying, parts = in_the_cold_room(saying.day), parts_of(keys)
    found: dict[int, list[Taken]] = {}
    short: dict[MarketLine, dict[str, str]] = {}
    used: Used = {}
    for line in lines:
        amount = amounts[line.pk]
        there = lies_there(lying, line.item, parts.get(line.item_id, ()), used)
        if amount > there:
            short[line] = {"amount": in_figures(amount, line.unit), "there": with_unit(there, line.unit)}
        found[line.pk] = take_from(lying, line.item, parts.get(line.item_id, ()), amount, used)
    if short and "more_than_lies" not in yes:
        what = few_of({line.item.name: _("%(amount)s of %(there)s") % words for line, words in short.items()})
        at_lines = {
            line.pk: _("More than lies in the cold room: %(amount)s of %(there)s.") % words
            for line, words in short.items()
        }
        raise NeedsYes(
            _("More than lies in the cold room: %(what)s. Load it all the same?") % {"what": what},
            question="more_than_lies",
            field=field,
            offer={AT_LINES: at_lines},
        )
    return found


def write_loaded(
    entry: Entry, saying: Saying, day: MarketDay, line: MarketLine, taken: Sequence[Taken], carried: int
) -> None:
    """Note what was brought, and that it left the cold room; `carried` of it was left from an earlier market."""
    total = sum(one.amount for one in taken)
    old = min(carried, total)
    save(MarketFact(line=line, kind=Kind.BROUGHT, amount=total - old, entry=entry))
    if old:
        save(MarketFact(line=line, kind=Kind.CARRIED_IN, amount=old, entry=entry))
    for one in taken:
        facts = {"lot_id": one.lot, "moved_on": saying.day, "unit": line.unit, "cut_on": one.cut_on, "entry": entry}
        if one.variety is not None:
            packed = {**facts, "why": StockMove.Why.PACKED}
            save(StockMove(variety_id=one.variety, amount=-one.amount, **packed))
            save(StockMove(item=line.item, amount=one.amount, **packed))
        where_to = day.outlet.name
        save(StockMove(item=line.item, amount=-one.amount, why=StockMove.Why.LOADED, where_to=where_to, **facts))


def still_carried(items: Sequence[int], today: date) -> dict[int, int]:
    """What was taken home from markets lately and not loaded since, by item."""
    since = today - STILL_CARRIED
    home = StockMove.objects.live().filter(
        item__in=items, why=StockMove.Why.CAME_BACK, entry__job=Job.CAME_BACK, moved_on__gte=since
    )
    again = MarketFact.objects.live().filter(
        line__item__in=items, kind=Kind.CARRIED_IN, line__market_day__held_on__gte=since
    )
    left = {row["item"]: int(row["sum"]) for row in home.order_by().values("item").annotate(sum=Sum("amount"))}
    for row in again.order_by().values("line__item").annotate(sum=Sum("amount")):
        left[row["line__item"]] = left.get(row["line__item"], 0) - int(row["sum"])
    return {item: amount for item, amount in left.items() if amount > 0}
