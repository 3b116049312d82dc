"""How an item went at a market lately: sold over the days it was offered, how often it ran out, dry days apart."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from farmops.core.market_day import mean_over_days_offered
from farmops.core.quantities import from_nanograms, is_mass, rounded
from farmops.selling.market_facts import KnownLine, known_line
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet

DAYS = 8


@dataclass(frozen=True, slots=True)
class Lately:
    """An item's last days at one market.

    Attributes
    ----------
    sold : Fraction or None
        Mean over the days it was offered and its sales are known; a floor, where it ran out. [as stored]
    dry : Fraction or None
        The same without days of rain.
    stretched : Fraction or None
        The same with days that ran out stretched by even customers: an upper guess.
    days, ran_out, untimed : int
        Days that count; those of them on which it ran out; and nobody noted when.
    has_rain : bool
    """

    unit: str
    sold: Fraction | None
    dry: Fraction | None
    stretched: Fraction | None
    days: int
    ran_out: int
    untimed: int
    has_rain: bool

    @property
    def in_words(self) -> str:
        """52–58 a day, sold out on 2 of 3 days; never a bare figure where it ran out."""
        if self.sold is None or self.stretched is None:
            return ""
        low, high = _figure(self.sold, self.unit), _figure(self.stretched, self.unit)
        said = low if low == high else f"{low}–{high}"
        if self.untimed:
            said = _("at least %(figure)s") % {"figure": said}
        words = {"figure": said, "out": self.ran_out, "days": self.days}
        line = _("lately %(figure)s a day, sold out on %(out)d of %(days)d days") % words
        dry = _figure(self.dry, self.unit) if self.has_rain and self.dry is not None else low
        if dry != low:
            line += _("; %(figure)s without rain") % {"figure": dry}
        return line


def lately(outlet: Outlet, before: date) -> dict[int, Lately]:
    """Each item's last days at a market, by the item's key. Three queries."""
    held = MarketDay.objects.filter(outlet=outlet, held_on__lt=before, entry__corrected_by=None)
    days = {day.pk: day for day in held.exclude(status=MarketDay.Status.CALLED_OFF).order_by("-held_on")[:DAYS]}
    lines = MarketLine.objects.filter(market_day__in=list(days), entry__corrected_by=None).order_by("pk")
    facts: dict[int, list[MarketFact]] = {}
    for fact in MarketFact.objects.live().filter(line__market_day__in=list(days)).order_by("pk"):
        facts.setdefault(fact.line_id, []).append(fact)
    of_item: dict[int, list[tuple[KnownLine, bool]]] = {}
    for line in lines:
        day = days[line.market_day_id]
        known = known_line(day, line, facts.get(line.pk, []))
        of_item.setdefault(line.item_id, []).append((known, day.weather == MarketDay.Weather.RAIN))
    return {item: lately_of(found) for item, found in of_item.items()}


def lately_of(days: Sequence[tuple[KnownLine, bool]]) -> Lately:
    """From what is known of each day, and whether it rained."""
    count = [(known, rained) for known, rained in days if known.loaded and known.sold is not None]
    figures = [(known.loaded, known.sold) for known, _rained in count]
    dry = [(known.loaded, known.sold) for known, rained in count if not rained]
    stretched = [known.even_rate if known.even_rate is not None else Fraction(known.sold or 0) for known, _r in count]
    return Lately(
        unit=days[0][0].line.unit if days else "",
        sold=mean_over_days_offered(figures),
        dry=mean_over_days_offered(dry),
        stretched=sum(stretched, Fraction()) / len(stretched) if stretched else None,
        days=len(count),
        ran_out=sum(known.is_at_least for known, _rained in count),
        untimed=sum(known.is_at_least and known.balance.out_minutes in {None, 0} for known, _rained in count),
        has_rain=any(rained for _known, rained in count),
    )


def _figure(amount: Fraction, unit: str) -> str:
    exact = Decimal(amount.numerator) / amount.denominator
    if is_mass(unit):
        return f"{rounded(from_nanograms(int(exact), unit), 1).normalize():f}"
    return str(rounded(exact, 0))
