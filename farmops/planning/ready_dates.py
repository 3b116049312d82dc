"""How far off ready dates were: what was said when a planting came into its last stage, against when it was ready.

What was said goes by nothing but the records up to the first of that month, learned from anew; so it is what the farm
could have known. When it was ready is known between two days, as far as first picks and walks tell; where that is
within a week, each of these days counts alike. On farms grown by hidden rules (tests/planning/grown_farm.py) this comes
within half a day of the true error, and the share within the range within three in a hundred.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from farmops.core.growth import Place, Slowness, Span, through_stages
from farmops.core.own_days import Measured
from farmops.planning.own_pace import SELDOM, Told, own_pace, seen_ready

DAY = timedelta(days=1)
LOOKED_BACK = timedelta(days=365)
KNOWN_WITHIN = 7  # days; where it may have been ready for longer, its error cannot be told
FEW = 3  # plantings of a season before anything is said of it
LEAN = 1.5  # days: less is nothing that a grower could tell from luck


@dataclass(frozen=True, slots=True)
class PastDate:
    """One planting.

    Attributes
    ----------
    key, variety : str
    entered : date
        Its last stage.
    said : Span
    by_schedule : date
        What the schedule alone said.
    first, until : date
        It was ready between these two, both counted; `first` is None where nobody knows since when.
    """

    key: str
    variety: str
    entered: date
    said: Span
    by_schedule: date
    first: date | None
    until: date

    @property
    def days(self) -> list[date]:
        """The days on which it may have become ready; none where they are more than a week, or not known."""
        if self.first is None or (self.until - self.first).days >= KNOWN_WITHIN:
            return []
        return [self.first + DAY * number for number in range((self.until - self.first).days + 1)]

    @property
    def is_told(self) -> bool:
        return bool(self.days)

    @property
    def late(self) -> float:
        """Days it was ready later than said, earlier below 0: each of the days it may have been counts alike."""
        return _mean((day - self.said.usual).days for day in self.days)

    @property
    def inside(self) -> float:
        """Share of the days it may have been that lie in the range."""
        return _mean(self.said.low <= day <= self.said.high for day in self.days)

    def off(self, said: date) -> float:
        """Days between a day that was said and when it was ready, whichever way."""
        return _mean(abs((day - said).days) for day in self.days)


def _mean(numbers: Iterable[float]) -> float:
    found = list(numbers)
    return sum(found) / len(found) if found else 0.0


@dataclass(frozen=True, slots=True)
class Errors:
    """Several plantings together.

    Attributes
    ----------
    told : int
        Plantings of which it can be told.
    not_told : int
    off : float
        Mean days off, whichever way. [d]
    off_by_schedule : float
        The same of the schedule alone, for the same plantings. [d]
    inside : float
        Of those told, how many were ready within the range that eight in ten should be.
    late : float
        Mean days ready later than said. [d]
    lean : mapping of month quarter (0 for December to February) to mean days late
        Where there are enough of them and it is more than luck. [d]
    """

    told: int
    not_told: int
    off: float
    off_by_schedule: float
    inside: float
    late: float
    lean: Mapping[int, float]


def past_dates(
    plantings: Sequence[Told],
    place: Place,
    today: date,
    harvest_days: Sequence[int] = (),
    varieties: Iterable[str] = (),
) -> list[PastDate]:
    """Plantings that were found ready in the year up to a day, the latest first; arguments as for `own_pace`."""
    names = list(varieties)
    known: dict[date, Mapping[str, Slowness]] = {}
    found = []
    for planting, measured in seen_ready(plantings, place, harvest_days):
        if not math.isfinite(measured.until) or measured.entered > today:
            continue
        until = measured.entered + timedelta(days=round(measured.until))
        if not today - LOOKED_BACK < until <= today:
            continue
        month = measured.entered.replace(day=1)
        if month not in known:
            known[month] = own_pace(
                [by_day(one, month - DAY) for one in plantings if one.sown < month], place, month, harvest_days, names
            )
        need = [planting.schedule.stages[-1].need]
        said, plain = (
            through_stages(need, place, measured.entered, own)[-1] for own in (known[month].get(planting.variety), None)
        )
        first = _ready_from(measured)
        found.append(PastDate(planting.key, planting.variety, measured.entered, said, plain.usual, first, until))
    return sorted(found, key=lambda one: (one.until, one.key), reverse=True)


def _ready_from(measured: Measured) -> date | None:
    """The first day on which it can have become ready, where that is known well enough."""
    after = max(measured.after, measured.since if measured.chance <= SELDOM else 0.0)
    return measured.entered + timedelta(days=math.floor(after) + 1) if after > 0.0 else None


def by_day(planting: Told, day: date) -> Told:
    """What it had told by the evening of a day."""
    return replace(
        planting,
        entered=planting.entered if planting.entered is not None and planting.entered <= day else None,
        picks=tuple(pick for pick in planting.picks if pick[0] <= day),
        walks=tuple(walk for walk in planting.walks if walk.day <= day),
    )


def errors_of(past: Iterable[PastDate]) -> Errors:
    """How far off several were together."""
    past = list(past)
    told = [one for one in past if one.is_told]
    by_quarter: dict[int, list[float]] = defaultdict(list)
    for one in told:
        by_quarter[one.until.month % 12 // 3].append(one.late)
    lean = {quarter: _mean(late) for quarter, late in by_quarter.items() if len(late) >= FEW}
    return Errors(
        told=len(told),
        not_told=len(past) - len(told),
        off=_mean(one.off(one.said.usual) for one in told),
        off_by_schedule=_mean(one.off(one.by_schedule) for one in told),
        inside=sum(one.inside for one in told),
        late=_mean(one.late for one in told),
        lean={quarter: days for quarter, days in sorted(lean.items()) if abs(days) >= LEAN},
    )
