"""What lies in the cold room: by variety as cut and by item as packed, with its lots and their age, oldest first."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Min, Q, Sum

from farmops.core.quantities import is_mass, unit_name
from farmops.growing.natural_order import natural_key
from farmops.harvest.models import StockMove

BY_WEIGHT = "weight"
REMEMBERED = timedelta(days=180)  # nothing that is cut here lies in the cold room for longer


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingLot:
    """So much of one lot.

    Attributes
    ----------
    lot : int or None
        Its key; None: lot not known.
    amount : int
        Below 0 where more went out under this lot than came in: a correction, or a count that is wrong. [ng or counts]
    cut_on : date or None
    age_days : int or None
    is_stopped : bool
        It lies there and may not go out.
    """

    lot: int | None
    code: str
    amount: int
    cut_on: date | None
    age_days: int | None
    is_stopped: bool
    stopped_because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """So much of one variety as cut, or of one item as packed.

    Attributes
    ----------
    unit : str
        What is counted, or "weight": then amounts are nanograms.
    amount : int
        The sum of its lots, stopped ones too. [ng or counts]
    may_go_out : int
        Without what lies there of stopped lots. [ng or counts]
    lots : tuple of LyingLot
        Oldest first; those of unknown age last.
    """

    name: str
    variety: int | None
    item: int | None
    unit: str
    amount: int
    may_go_out: int
    lots: tuple[LyingLot, ...]

    @property
    def oldest_on(self) -> date | None:
        return next((lot.cut_on for lot in self.lots if lot.amount > 0), None)


def in_the_cold_room(today: date, which: Q | None = None) -> list[Lying]:
    """What lies there, what is oldest first. One query, however much it is and however many years lie behind it.

    `which` moves count: all up to `today`, unless it says otherwise; and those of lots that can still be there.
    """
    moves = (
        StockMove.objects.live()
        .filter(Q(moved_on__lte=today) if which is None else which)
        .filter(can_lie_there(today))
        .order_by()
        .values(
            "variety",
            "variety__name",
            "item",
            "item__name",
            "unit",
            "lot",
            "lot__code",
            "lot__made_on",
            "lot__stopped_at",
            "lot__stopped_because",
        )
        .annotate(sum=Sum("amount"), first_cut_on=Min("cut_on"))
        .exclude(sum=0)
    )
    lots: dict[tuple[str, int | None, int | None, str], dict[int | None, _Sum]] = {}
    for row in moves:
        unit = BY_WEIGHT if is_mass(row["unit"]) else unit_name(row["unit"])
        # What is packed is the item, whatever variety stands beside it.
        variety = None if row["item"] else row["variety"]
        there = lots.setdefault((row["item__name"] or row["variety__name"], variety, row["item"], unit), {})
        there.setdefault(row["lot"], _Sum()).add(row)
    lying = [_lying(*key, there, today) for key, there in lots.items()]
    return sorted((one for one in lying if one.lots), key=lambda one: (_age_key(one.oldest_on), natural_key(one.name)))


def can_lie_there(today: date) -> Q:
    """Moves of lots young enough, and lately those of no known lot."""
    since = today - REMEMBERED
    return Q(moved_on__gte=since) & (Q(lot=None) | Q(lot__made_on__gte=since))


@dataclass(slots=True)
class _Sum:
    amount: int = 0
    cut_on: date | None = None
    code: str = ""
    is_stopped: bool = False
    because: str = ""

    def add(self, row: Mapping[str, Any]) -> None:
        self.amount += int(row["sum"])  # PostgreSQL adds big integers up to a decimal
        days = [day for day in (self.cut_on, row["first_cut_on"] or row["lot__made_on"]) if day is not None]
        self.cut_on = min(days, default=None)
        self.code = row["lot__code"] or ""
        self.is_stopped = row["lot__stopped_at"] is not None
        self.because = row["lot__stopped_because"] or ""


def _lying(
    name: str, variety: int | None, item: int | None, unit: str, there: Mapping[int | None, _Sum], today: date
) -> Lying:
    lots = [
        LyingLot(
            lot=key,
            code=one.code,
            amount=one.amount,
            cut_on=one.cut_on,
            age_days=(today - one.cut_on).days if one.cut_on else None,
            is_stopped=one.is_stopped,
            stopped_because=one.because,
        )
        for key, one in there.items()
        if one.amount != 0
    ]
    return Lying(
        name=name,
        variety=variety,
        item=item,
        unit=unit,
        amount=sum(lot.amount for lot in lots),
        may_go_out=sum(lot.amount for lot in lots if not (lot.is_stopped and lot.amount > 0)),
        lots=tuple(sorted(lots, key=lambda lot: (lot.lot is None, _age_key(lot.cut_on), lot.code))),
    )


def _age_key(day: date | None) -> tuple[bool, date]:
    return day is None, day or date.max
