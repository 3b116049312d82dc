"""The pick list of a harvest day: how much of what for whom, what to cut where, and what may not be cut."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_CEILING, Decimal

from farmops.core.coming import Outlook
from farmops.core.quantities import is_mass, unit_name
from farmops.core.schedule import Planting
from farmops.planning.day_needs import DayNeeds, needs_of_day, wants_after
from farmops.planning.day_range import check_day
from farmops.planning.horizon import products_of
from farmops.planning.picking_shares import Shared, by_recipe, share_out
from farmops.planning.picking_stock import Stock, Taken, from_stock
from farmops.planning.picking_waits import Blocked, blocked_on, may_be_cut
from farmops.planning.rows import FarmRows, Item, ScheduleStage
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver
from farmops.planning.standing import growing_of
from farmops.planning.wants import DAY, Want

ZERO = Decimal(0)
HARDLY = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class ItemLine:
    """So much of an item, split by who wants it, and what each can get. [units of the item, packed]

    blocked: plants of its varieties that may not be cut.
    """

    item: Item
    total: Decimal
    wants: tuple[Want, ...]
    got: tuple[Decimal, ...]
    blocked: tuple[Blocked, ...] = ()

    @property
    def made(self) -> Decimal:
        return sum(self.got, ZERO)


@dataclass(frozen=True, slots=True)
class Source:
    """Cut so much of a planting here, of so much that could be cut. [unit of the variety, as cut]"""

    planting: str
    spaces: tuple[str, ...]
    amount: Decimal
    there: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class CutLine:
    """A variety to cut.

    Attributes
    ----------
    variety, unit : str
    wanted : Decimal
        What the recipes ask for, as cut. [unit]
    cut, packed : Decimal
        What is really cut, and what of it is packed. [unit]
    sources : tuple of Source
    short : Decimal
        Wanted and neither cut nor in the cold room; in a mix another variety may stand in for it. [unit]
    blocked : tuple of Blocked
        Its plants that may not be cut, by planting and place.
    from_stock : tuple of Taken
        What was cut before and lies in the cold room: it is packed first. [unit]
    """

    variety: str
    unit: str
    wanted: Decimal
    packed: Decimal
    cut: Decimal
    sources: tuple[Source, ...]
    short: Decimal
    blocked: tuple[Blocked, ...] = ()
    from_stock: tuple[Taken, ...] = ()


@dataclass(frozen=True, slots=True)
class PartOfMix:
    """Shares of a variety in a mix, 0 to 1: of the recipe, and as it is made this time."""

    variety: str
    recipe: Decimal
    share: Decimal


@dataclass(frozen=True, slots=True)
class MixLine:
    """A mix that is short by its recipe: how much is made, and of what. [units of the item, packed]"""

    item: Item
    wanted: Decimal
    made: Decimal
    parts: tuple[PartOfMix, ...]

    @property
    def is_changed(self) -> bool:
        return any(abs(part.share - part.recipe) > HARDLY for part in self.parts)


@dataclass(frozen=True, slots=True)
class PickList:
    needs: DayNeeds
    items: tuple[ItemLine, ...]
    cuts: tuple[CutLine, ...]
    mixes: tuple[MixLine, ...]
    blocked: tuple[Blocked, ...]
    from_stock: tuple[Taken, ...] = ()  # packed already


def pick_list(
    rows: FarmRows,
    day: date,
    wants: Sequence[Want] | None = None,
    solver: Solver = solve_apart,
    stock: Sequence[Stock] = (),
) -> PickList:
    """The pick list of a day.

    Parameters
    ----------
    rows : FarmRows
    day : date
        Records up to and including the day before count: the list is made on that evening.
    wants : sequence of Want, optional
        Instead of the farm's orders, boxes and market days.
    solver : callable
        Shares out what is short; in a child process unless told otherwise.
    stock : sequence of Stock
        What lies in the cold room and may go out.

    Raises
    ------
    FaultsFound
        If an item wanted has no price.
    SolverFailed
        If the solver hung or fell over.
    """
    check_day(day)
    needs = needs_of_day(rows, day, wants_after(rows, day) if wants is None else wants)
    growing = growing_of(rows, day - DAY)
    blocked = blocked_on(rows, day, day - DAY)
    available = _available(may_be_cut(growing, blocked, day - DAY), day)
    products, shares = products_of(rows), {variety: stage.packed for variety, stage in _last_stages(rows).items()}
    lying = from_stock(rows, products, needs.wants, stock, shares)
    there = _packed_there(rows, available)
    for variety, taken in lying.as_cut.items():
        there[variety] = there.get(variety, ZERO) + sum((one.amount for one in taken), ZERO) * shares[variety]
    rest = [
        replace(want, amount=want.amount - had)
        for want, had in zip(needs.wants, lying.got, strict=True)
        if want.amount > had
    ]
    shared, recipe = share_out(rows, rest, there, solver), by_recipe(products, rest)
    items = _item_lines(rows, needs.wants, _with_stock(needs.wants, lying.got, shared.got), blocked)
    cuts = _cut_lines(rows, recipe, shared, available, blocked, lying.as_cut)
    return PickList(needs, items, cuts, _mix_lines(rows, items, recipe, shared), blocked, lying.packed)


def _with_stock(wants: Sequence[Want], had: Sequence[Decimal], shared: Sequence[Decimal]) -> list[Decimal]:
    """What each want gets in all: from the cold room, and of what was shared out among those that wanted more."""
    more = iter(shared)
    return [
        of_stock + (next(more) if want.amount > of_stock else ZERO) for want, of_stock in zip(wants, had, strict=True)
    ]


def _item_lines(
    rows: FarmRows, wants: Sequence[Want], gets: Sequence[Decimal], blocked: Sequence[Blocked]
) -> tuple[ItemLine, ...]:
    by_item: dict[str, list[tuple[Want, Decimal]]] = defaultdict(list)
    for want, got in zip(wants, gets, strict=True):
        by_item[want.item].append((want, got))
    varieties: dict[str, set[str]] = defaultdict(set)
    for part in rows.item_parts:
        varieties[part.item].add(part.variety)
    return tuple(
        ItemLine(
            item,
            sum((want.amount for want, _got in by_item[item.item]), ZERO),
            tuple(want for want, _got in by_item[item.item]),
            tuple(got for _want, got in by_item[item.item]),
            tuple(one for one in blocked if one.variety in varieties[item.item]),
        )
        for item in rows.items
        if item.item in by_item
    )


def _available(growing: Iterable[tuple[Planting, Outlook]], day: date) -> dict[str, list[tuple[date, Planting, float]]]:
    """What can be cut on a day, by variety: since when it is ready, whose, how much."""
    found: dict[str, list[tuple[date, Planting, float]]] = defaultdict(list)
    for planting, outlook in growing:
        for coming in outlook.coming:
            amount = coming.amount if is_mass(planting.schedule.unit) else math.floor(coming.amount + 1e-6)
            if coming.first <= day <= coming.last and amount > 0:
                found[planting.variety].append((planting.sown, planting, amount))
    for of_variety in found.values():
        of_variety.sort(key=lambda ready: (ready[0], ready[1].key))
    return found


def _last_stages(rows: FarmRows) -> dict[str, ScheduleStage]:
    return {stage.variety: stage for stage in rows.schedules if stage.harvest}


def _packed_there(
    rows: FarmRows, available: Mapping[str, Sequence[tuple[date, Planting, float]]]
) -> dict[str, Decimal]:
    """What of each variety could be packed."""
    last = _last_stages(rows)
    return {
        variety: sum((_exactly(amount) for _since, _planting, amount in ready), ZERO) * last[variety].packed
        for variety, ready in available.items()
    }


def _exactly(amount: float) -> Decimal:
    return Decimal(str(round(amount, 6)))


def _cut_lines(
    rows: FarmRows,
    recipe: Shared,
    shared: Shared,
    available: Mapping[str, Sequence[tuple[date, Planting, float]]],
    blocked: Sequence[Blocked],
    lying: Mapping[str, Sequence[Taken]],
) -> tuple[CutLine, ...]:
    last, lines = _last_stages(rows), []
    for variety in sorted({*recipe.packed, *shared.packed}):
        stage = last[variety]
        wanted = recipe.packed.get(variety, ZERO) / stage.packed
        to_cut = shared.packed.get(variety, ZERO) / stage.packed
        if not is_mass(stage.unit):
            to_cut = (to_cut - HARDLY).to_integral_value(ROUND_CEILING)
        taken = _taken(lying.get(variety, ()), to_cut)
        left, sources = to_cut - sum((one.amount for one in taken), ZERO), []
        for _since, planting, amount in available.get(variety, []):
            part = min(left, _exactly(amount))
            if part > 0:
                sources.append(Source(planting.key, spaces_of(planting), part, _exactly(amount)))
                left -= part
        used = to_cut - max(ZERO, left)
        cut = used - sum((one.amount for one in taken), ZERO)
        own = tuple(one for one in blocked if one.variety == variety)
        lines.append(
            CutLine(
                variety,
                unit_name(stage.unit),
                wanted,
                cut * stage.packed,
                cut,
                tuple(sources),
                max(ZERO, wanted - used),
                own,
                taken,
            )
        )
    return tuple(line for line in lines if line.wanted > 0 or line.cut > 0)


def _taken(lying: Sequence[Taken], at_most: Decimal) -> tuple[Taken, ...]:
    """Of the lots in the cold room what is really packed, oldest first."""
    found = []
    for one in lying:
        amount = min(one.amount, at_most)
        if amount > 0:
            found.append(replace(one, amount=amount))
            at_most -= amount
    return tuple(found)


def _mix_lines(rows: FarmRows, items: Sequence[ItemLine], recipe: Shared, shared: Shared) -> tuple[MixLine, ...]:
    """Mixes whose exact recipe cannot be had in full, as they are made instead."""
    in_one = {item: dict(parts) for item, parts in products_of(rows).parts.items()}
    found = []
    for line in items:
        name = line.item.item
        parts = [part for part in rows.item_parts if part.item == name and part.share > 0]
        if len(parts) < 2 or not shared.mixed:
            continue
        mixed = shared.mixed.get(name, {})
        shares = tuple(
            PartOfMix(
                part.variety,
                part.share,
                part.share * mixed[part.variety] / _exactly(in_one[name][part.variety]) if mixed else part.share,
            )
            for part in parts
        )
        mix = MixLine(line.item, line.total, line.made, shares)
        if mix.is_changed or mix.made < mix.wanted:
            found.append(mix)
    return tuple(found)


def spaces_of(planting: Planting) -> tuple[str, ...]:
    """Where a planting stands now."""
    return tuple(dict.fromkeys(stand.space for stand in planting.stands if stand.to_day is None))
