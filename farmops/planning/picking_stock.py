"""What lies in the cold room goes out first: taken off what has to be cut, oldest good lot first."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from farmops.planning.horizon import Products
from farmops.planning.rows import FarmRows, Item
from farmops.planning.wants import Want

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Stock:
    """So much of one lot that lies in the cold room: an item as packed, or a variety as cut.

    Attributes
    ----------
    name : str
        The item or the variety.
    is_packed : bool
    amount : Decimal
        [unit of the item, or of the variety's schedule, as cut]
    cut_on : date
    lot : str
        Its code; empty where it is not known.
    """

    name: str
    is_packed: bool
    amount: Decimal
    cut_on: date
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """So much taken of a lot. [unit as in Stock]"""

    stock: Stock
    amount: Decimal


@dataclass(frozen=True, slots=True)
class FromStock:
    """What the cold room gives.

    Attributes
    ----------
    got : tuple of Decimal
        For each want, packed. [units of its item]
    packed : tuple of Taken
    as_cut : mapping of variety to tuple of Taken
        What may be packed out of what was cut before.
    """

    got: tuple[Decimal, ...]
    packed: tuple[Taken, ...]
    as_cut: Mapping[str, tuple[Taken, ...]]


def from_stock(
    rows: FarmRows,
    products: Products,
    wants: Sequence[Want],
    stock: Sequence[Stock],
    packed_shares: Mapping[str, Decimal],
) -> FromStock:
    """What of the wants can come from the cold room.

    Promises come before markets, then by day and in the farm's order; a lot goes only where it still keeps on the day.
    `packed_shares` says what of each variety is left after washing.
    """
    items = {item.item: item for item in rows.items}
    turns = {outlet.outlet: outlet.turn for outlet in rows.outlets}
    order = sorted(
        range(len(wants)),
        key=lambda number: (
            wants[number].kind == "market",
            wants[number].day,
            turns.get(wants[number].outlet, 0),
            number,
        ),
    )
    oldest_first = sorted(stock, key=lambda one: (one.cut_on, one.name, one.lot))
    got = [ZERO] * len(wants)
    packed = []
    for one in oldest_first:
        if one.is_packed:
            taken = _take_packed(one, items, wants, order, got)
            if taken > 0:
                packed.append(Taken(one, taken))
    rest = [want.amount - had for want, had in zip(wants, got, strict=True)]
    as_cut = _as_cut(oldest_first, items, products, wants, rest, packed_shares)
    return FromStock(tuple(got), tuple(packed), as_cut)


def _take_packed(
    stock: Stock, items: Mapping[str, Item], wants: Sequence[Want], order: Sequence[int], got: list[Decimal]
) -> Decimal:
    left = stock.amount
    for number in order:
        want = wants[number]
        if want.item != stock.name or not _keeps(stock, items[want.item], want.day):
            continue
        some = min(left, want.amount - got[number])
        got[number] += some
        left -= some
    return stock.amount - left


def _as_cut(
    stock: Sequence[Stock],
    items: Mapping[str, Item],
    products: Products,
    wants: Sequence[Want],
    rest: Sequence[Decimal],
    packed_shares: Mapping[str, Decimal],
) -> dict[str, tuple[Taken, ...]]:
    """Of each lot at most what the wants take for which it still keeps; fresher lots reach further."""
    found: dict[str, list[Taken]] = defaultdict(list)
    for one in stock:
        if one.is_packed or one.name not in packed_shares:
            continue
        asked = sum(
            (
                left * Decimal(str(round(part, 9))) / packed_shares[one.name]
                for want, left in zip(wants, rest, strict=True)
                if _keeps(one, items[want.item], want.day)
                for variety, part in products.parts.get(want.item, ())
                if variety == one.name
            ),
            ZERO,
        )
        some = min(one.amount, asked - sum((taken.amount for taken in found[one.name]), ZERO))
        if some > 0:
            found[one.name].append(Taken(one, some))
    return {variety: tuple(taken) for variety, taken in found.items() if taken}


def _keeps(stock: Stock, item: Item, until: date) -> bool:
    return until <= stock.cut_on + timedelta(days=item.keeps_days)
