"""Seed to order: what the year's sowings need, less what lies there.

A plan's trays are counted in seeds sown: wanted plants were divided by the share that lives, germination among it, when
the plan was made. So nothing is divided here again. Seed on hand that came up worse in its test than the schedule
counts on is worth less than its number.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, Sum
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.growing.models import SeedLot, Variety
from farmops.growing.natural_order import natural_key
from farmops.planning.stored_answers import Stored

FULL = 1.0


@dataclass(frozen=True, slots=True)
class SownWeek:
    """Parts of a variety in one week, and the seeds they take."""

    monday: date
    parts: float
    seeds: float
    is_whole: bool


@dataclass(frozen=True, slots=True)
class OnHand:
    """A seed lot.

    Attributes
    ----------
    seeds : int or None
        As last counted; None was never counted.
    worth : int
        Seeds of the germination that the schedule counts on.
    tested : float or None
        Share that came up. [-]
    sown : int
        Plants sown from it so far.
    age : str
        In words; empty where nobody noted when it came.
    """

    lot: SeedLot
    seeds: int | None
    worth: int
    tested: float | None
    sown: int

    age: str

    @property
    def is_worse(self) -> bool:
        return self.seeds is not None and self.worth < self.seeds

    @property
    def tested_percent(self) -> int | None:
        return None if self.tested is None else round(100 * self.tested)


@dataclass(frozen=True, slots=True)
class SeedLine:
    """Seed of one variety for the year.

    Attributes
    ----------
    weeks : tuple of SownWeek
    parts : float
    need : int
        Seeds to be sown.
    survive, counted_on : float
        Shares the plan divided by: alive at the harvest, and of that the first stage, germination among it. [-]
    lots : tuple of OnHand
        Newest first.
    order : int
        Seeds to order.
    cost_cents : int or None
        Of these parts, seed and medium; None: no price is known.
    """

    variety: Variety
    weeks: tuple[SownWeek, ...]
    parts: float
    need: int
    survive: float
    counted_on: float
    lots: tuple[OnHand, ...]
    order: int
    cost_cents: int | None

    @property
    def on_hand(self) -> int:
        return sum(one.worth for one in self.lots)

    @property
    def cost(self) -> float | None:
        return None if self.cost_cents is None else self.cost_cents / 100

    @property
    def survive_percent(self) -> int:
        return round(100 * self.survive)

    @property
    def counted_percent(self) -> int:
        return round(100 * self.counted_on)

    @property
    def has_uncounted(self) -> bool:
        return any(one.seeds is None for one in self.lots)


@dataclass(frozen=True, slots=True)
class SeedOrder:
    """Lines of everything that is sown until a day, in natural order; money of those with a price."""

    lines: tuple[SeedLine, ...]
    until: date
    cost_cents: int
    is_all_priced: bool

    @property
    def last(self) -> date:
        return self.until - timedelta(days=1)

    @property
    def cost(self) -> float:
        return self.cost_cents / 100


def seed_order(kept: Stored, until: date, today: date) -> SeedOrder:
    """Seed for the sowings of the plan in weeks that begin before a day. Two queries."""
    weeks = _weeks(kept, until)
    varieties = sorted(Variety.objects.filter(name__in=weeks), key=lambda one: natural_key(one.name))
    lots = _lots([one.pk for one in varieties])
    shares = kept.answer["varieties"]
    lines = tuple(_line(one, weeks[one.name], lots.get(one.pk, ()), shares.get(one.name), today) for one in varieties)
    priced = [line.cost_cents for line in lines if line.cost_cents is not None]
    return SeedOrder(lines, until, sum(priced), len(priced) == len(lines))


def _weeks(kept: Stored, until: date) -> Mapping[str, list[SownWeek]]:
    found: dict[str, list[SownWeek]] = {}
    for monday, variety, parts, seeds, is_whole, *_rest in kept.answer["sowings"]:
        day = date.fromisoformat(monday)
        if day < until:
            found.setdefault(variety, []).append(SownWeek(day, parts, seeds, is_whole))
    return found


def _lots(varieties: Sequence[int]) -> Mapping[int, Sequence[SeedLot]]:
    """Lots with seed, and those never counted, newest first, with the plants sown from each."""
    sown = Sum("plantings__plants", filter=Q(plantings__state="done"))
    lots = SeedLot.objects.filter(variety__in=varieties).exclude(seeds=0).annotate(sown=sown)
    found: dict[int, list[SeedLot]] = {}
    for lot in sorted(lots, key=lambda one: (str(one.received_on or ""), one.pk), reverse=True):
        found.setdefault(lot.variety_id, []).append(lot)
    return found


def _line(
    variety: Variety,
    weeks: Sequence[SownWeek],
    lots: Sequence[SeedLot],
    shares: tuple[float, float] | None,
    today: date,
) -> SeedLine:
    survive, counted_on = shares or (FULL, FULL)
    on_hand = tuple(_on_hand(one, counted_on, today) for one in lots)
    need = math.ceil(math.fsum(one.seeds for one in weeks) - 1e-6)
    parts = math.fsum(one.parts for one in weeks)
    return SeedLine(
        variety=variety,
        weeks=tuple(weeks),
        parts=parts,
        need=need,
        survive=survive,
        counted_on=counted_on,
        lots=on_hand,
        order=max(0, need - sum(one.worth for one in on_hand)),
        cost_cents=math.floor(parts * variety.part_cost_cents + 0.5) if variety.part_cost_cents else None,
    )


def _on_hand(lot: SeedLot, counted_on: float, today: date) -> OnHand:
    tested = None if lot.germination_percent is None else float(lot.germination_percent) / 100
    share = FULL if tested is None else min(FULL, tested / counted_on)
    return OnHand(
        lot=lot,
        seeds=lot.seeds,
        worth=math.floor((lot.seeds or 0) * share + 1e-9),
        tested=tested,
        sown=getattr(lot, "sown", None) or 0,
        age=_age(lot, today),
    )


def _age(lot: SeedLot, today: date) -> str:
    if lot.received_on is None:
        return ""
    years = (today - lot.received_on).days // 365
    if years < 1:
        return _("less than a year here")
    return ngettext("here for %(n)d year", "here for %(n)d years", years) % {"n": years}
