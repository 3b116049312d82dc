"""What the farm's own moves, losses and picks say about the share of plants that leave a stage.

A stage tells when all its plants have gone on and none were cleared away: what was cleared may have been spare. The
last one tells where what went in is what was cut and what was lost, so that losses were noted and nothing was left.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from django.utils.translation import ngettext

from farmops.core.own_stands import Counted, OwnStand, learn_stands
from farmops.core.schedule import Planting, Way
from farmops.planning.own_pace import OWN_DAYS
from farmops.planning.rows import FarmRows
from farmops.planning.standing import plantings_of, schedule_on, schedules_of

ALL_OF_IT = 0.02  # of what went in may be unaccounted for: counts are of trays at a glance
WORTH_SAYING = 0.03  # of what is sown


@dataclass(frozen=True, slots=True)
class WithOwnStands:
    """Rows whose schedules say what the farm's own plantings say, and what was changed, in words."""

    rows: FarmRows
    notes: tuple[str, ...]


def with_own_stands(rows: FarmRows, as_of: date) -> WithOwnStands:
    """Schedules with the shares that are to be counted on; rows of the day and before count."""
    own = learn_stands(counted_of(rows, as_of))
    stages = []
    for stage in rows.schedules:
        found = own.get((stage.variety, stage.stage - 1))
        share = stage.survive if found is None else Decimal(str(round(found.share(float(stage.survive)), 4)))
        stages.append(replace(stage, survive=share))
    now = replace(rows, schedules=tuple(stages))
    return WithOwnStands(now, tuple(_in_words(rows, now, own, as_of)))


def _in_words(said: FarmRows, now: FarmRows, own: Mapping[tuple[str, int], OwnStand], as_of: date) -> Iterable[str]:
    """Of each variety what lives from sowing to harvest, where that is another share than was written down."""
    before, after = schedules_of(said), schedules_of(now)
    for variety in before:
        of_variety = [one.plantings for (name, _stage), one in own.items() if name == variety]
        was, counted = (schedule_on(versions[variety], as_of).survive for versions in (before, after))
        if not of_variety or abs(counted - was) < WORTH_SAYING:
            continue
        words = ngettext(
            "%(variety)s: counted on %(share)d %% of what is sown, not %(said)d, as your own planting says.",
            "%(variety)s: counted on %(share)d %% of what is sown, not %(said)d, as your own %(n)d plantings say.",
            max(of_variety),
        )
        yield words % {
            "variety": variety, "share": round(100 * counted), "said": round(100 * was), "n": max(of_variety),
        }  # fmt: skip


def counted_of(rows: FarmRows, as_of: date) -> list[Counted]:
    """Every stage of plantings sown in the last OWN_DAYS that tells."""
    since = as_of - timedelta(days=OWN_DAYS)
    cleared: dict[str, set[str]] = defaultdict(set)
    for stay in rows.stays:
        if stay.cleared and stay.to_day is not None and stay.to_day <= as_of:
            cleared[stay.planting].add(stay.space)
    found = []
    for planting in plantings_of(rows, as_of):
        if planting.sown >= since:
            found += _counted(planting, cleared[planting.key], as_of)
    return found


def _counted(planting: Planting, cleared: set[str], as_of: date) -> list[Counted]:
    stages, entered = planting.schedule.stages, _entered(planting)
    found = []
    for number, stage in enumerate(stages):
        stands = [stand for stand in planting.stands if stand.stage == number]
        is_over = bool(stands) and all(stand.to_day is not None and stand.to_day <= as_of for stand in stands)
        if not is_over or any(stand.space in cleared for stand in stands):
            continue
        went_in = entered[number]
        left = entered.get(number + 1, 0.0) if number + 1 < len(stages) else _cut_of_the_last(planting, went_in)
        if left is not None and 0.0 < left <= went_in:
            found.append(Counted(planting.variety, number, stage.survive, went_in, left))
    return found


def _entered(planting: Planting) -> Mapping[int, float]:
    """Plants that came into each stage; all that were sown into the first, where a stay of it is noted."""
    entered: dict[int, float] = defaultdict(float)
    for stand in planting.stands:
        entered[stand.stage] += stand.plants
    if 0 in entered:
        entered[0] = planting.plants
    return entered


def _cut_of_the_last(planting: Planting, went_in: float) -> float | None:
    """Of heads, those that were cut, or could have been: lost after the first cut is what nobody wanted."""
    if planting.schedule.way is not Way.HEAD or not planting.picks:
        return None
    last = len(planting.schedule.stages) - 1
    spaces = {stand.space for stand in planting.stands if stand.stage == last}
    first = min(pick.day for pick in planting.picks)
    cut = sum(pick.amount for pick in planting.picks) / planting.schedule.per_plant
    lost = [loss for loss in planting.losses if loss.space in spaces]
    gone = cut + sum(loss.plants for loss in lost)
    if abs(gone - went_in) > ALL_OF_IT * went_in:
        return None
    return went_in - sum(loss.plants for loss in lost if loss.day <= first)
