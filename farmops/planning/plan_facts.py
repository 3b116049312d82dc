"""The facts a plan rests on, kept beside it, and which of them made a sowing change since the plan before.

Kept by the Monday of their week, so that plans of two different weeks are held against each other over the weeks they
share.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from farmops.core.sizing import Heads, Sowing
from farmops.planning.rows import FarmRows
from farmops.planning.sowing import SowingPlan
from farmops.planning.stored_answers import Json

NOTICED = 0.005  # of what it was: a fact that moved by less explains nothing
Series = Mapping[str, float]  # by Monday


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact before and now, over the weeks both plans look at.

    Attributes
    ----------
    code : str
        "asked" (a market's customers, a day), "promised" (a week), "coming" (from what stands, in all), "room" (places
        in the week that changed most), "ready" (weeks from sowing to ready), "elsewhere" (no fact of its own: other
        sowings took or left room).
    name : str
        The outlet, the kind of space or the variety.
    item : str
    before, now : float
    weight : float
        How much it moves, in items over these weeks; tells which fact counts most.
    day : str
        Of "asked": the newest market day that was learned from; of "room" and "ready": the Monday. "" otherwise.
    """

    code: str
    name: str = ""
    item: str = ""
    before: float = 0.0
    now: float = 0.0
    weight: float = 0.0
    day: str = ""


def facts_of(plan: SowingPlan, rows: FarmRows) -> Json:
    """What a plan was reckoned from, as far as it may make a sowing change."""
    basis, horizon = plan.basis, plan.horizon
    asked: dict[str, dict[str, Json]] = defaultdict(lambda: defaultdict(lambda: defaultdict(list)))
    for market in basis.needs.markets:
        outlet = basis.needs.market_days[market.key].outlet.outlet
        asked[market.item][outlet][_monday(plan, market.week)].append(round(market.mean, 3))
    promised: dict[str, dict[str, Json]] = defaultdict(lambda: defaultdict(lambda: defaultdict(float)))
    for promise in basis.needs.promises:
        outlet = basis.needs.wants[promise.key].outlet
        promised[promise.item][outlet][_monday(plan, promise.week)] += promise.quantity
    coming: dict[str, Json] = defaultdict(lambda: defaultdict(float))
    for supply in basis.programme.supply:
        if 0 <= supply.week < horizon.weeks:
            coming[supply.key][_monday(plan, supply.week)] += round(supply.items, 3)
    return {
        "asked": asked,
        "promised": promised,
        "coming": coming,
        "room": {
            space.kind: {_monday(plan, week): round(places, 3) for week, places in enumerate(space.places)}
            for space in basis.programme.problem.spaces
        },
        "ready": _ready(plan),
        "last_days": _last_days(rows, plan.horizon.as_of),
        "made_of": {
            variety: [target.key, *(mix.item for mix in basis.products.mixes if target.key in dict(mix.parts))]
            for variety, target in sorted(basis.products.targets.items())
        },
        "stands_in": {
            variety: sorted({stage.kind for stage in rows.schedules if stage.variety == variety})
            for variety in basis.products.targets
        },
    }


def what_moved(before: Json, now: Json, variety: str) -> Fact:
    """The fact that moved most for a variety, in items; "elsewhere" where none did."""
    items = now["made_of"].get(variety, [])
    found = [*_asked(before, now, items), *_promised(before, now, items), *_coming(before, now, items[:1])]
    whole = math.fsum(_all(now["asked"].get(item, {})) + _all(now["promised"].get(item, {})) for item in items)
    found += _ripens(before, now, variety, whole)
    found += _room(before, now, now["stands_in"].get(variety, []), whole)
    noticed = [one for one in found if abs(one.now - one.before) > NOTICED * max(abs(one.before), abs(one.now))]
    return max(noticed, key=lambda one: (one.weight, one.code, one.name), default=Fact("elsewhere"))


def _asked(before: Json, now: Json, items: Iterable[str]) -> Iterable[Fact]:
    for item in items:
        for outlet, days in now["asked"].get(item, {}).items():
            pairs = [
                (old, new)
                for monday, of_week in days.items()
                for old, new in zip(
                    before["asked"].get(item, {}).get(outlet, {}).get(monday, ()), of_week, strict=False
                )
            ]
            if pairs:
                old, new = (math.fsum(column) for column in zip(*pairs, strict=True))
                count, day = len(pairs), now["last_days"].get(outlet, "")
                yield Fact("asked", outlet, item, old / count, new / count, abs(new - old), day)


def _promised(before: Json, now: Json, items: Iterable[str]) -> Iterable[Fact]:
    for item in items:
        of_before, of_now = before["promised"].get(item, {}), now["promised"].get(item, {})
        for outlet in sorted({*of_before, *of_now}):
            weeks = _shared(before, now)
            old, new = (_sum_over(of.get(outlet, {}), weeks) for of in (of_before, of_now))
            yield Fact("promised", outlet, item, old / len(weeks), new / len(weeks), abs(new - old))


def _coming(before: Json, now: Json, items: Iterable[str]) -> Iterable[Fact]:
    for item in items:
        weeks = _shared(before, now)
        old, new = (_sum_over(facts["coming"].get(item, {}), weeks) for facts in (before, now))
        yield Fact("coming", "", item, old, new, abs(new - old))


def _ready(plan: SowingPlan) -> Json:
    """The week in which a sowing is ready or first cut, by variety and Monday of its sowing."""
    found: dict[str, Json] = defaultdict(dict)
    for sowing in plan.basis.programme.problem.sowings:
        found[sowing.way][_monday(plan, sowing.week)] = first_ready(sowing) - sowing.week
    return found


def first_ready(sowing: Sowing) -> int:
    """The week in which a sowing is ready or first cut."""
    harvest = sowing.harvest
    return harvest.ready if isinstance(harvest, Heads) else min(harvest.blocks[0].harvests)[0]


def _ripens(before: Json, now: Json, variety: str, whole: float) -> Iterable[Fact]:
    """Sowings that are ready in another week than was thought; the earliest of them is named."""
    old: Series = before["ready"].get(variety, {})
    new: Series = now["ready"].get(variety, {})
    shared = [monday for monday in new if monday in old]
    moved = [monday for monday in shared if new[monday] != old[monday]]
    if moved:
        weight = whole * len(moved) / len(shared)
        yield Fact("ready", variety, "", old[moved[0]], new[moved[0]], weight, moved[0])


def _room(before: Json, now: Json, kinds: Iterable[str], whole: float) -> Iterable[Fact]:
    for kind in kinds:
        old: Series = before["room"].get(kind, {})
        new: Series = now["room"].get(kind, {})
        weeks = [monday for monday in new if monday in old]
        moved = max(weeks, key=lambda monday: abs(new[monday] - old[monday]), default=None)
        if moved is not None:
            most = max(old[moved], new[moved], 1.0)
            share = abs(new[moved] - old[moved]) / most / len(weeks)
            yield Fact("room", kind, "", old[moved], new[moved], share * whole, moved)


def _shared(before: Json, now: Json) -> list[str]:
    """Mondays both plans look at; every plan counts places, in every week."""
    old: Series = next(iter(before["room"].values()), {})
    new: Series = next(iter(now["room"].values()), {})
    return [monday for monday in new if monday in old] or ["none"]


def _sum_over(series: Series, weeks: Iterable[str]) -> float:
    return math.fsum(series.get(monday, 0.0) for monday in weeks)


def _all(outlets: Mapping[str, Mapping[str, float | list[float]]]) -> float:
    return math.fsum(
        math.fsum(amount) if isinstance(amount, list) else amount
        for series in outlets.values()
        for amount in series.values()
    )


def _monday(plan: SowingPlan, week: int) -> str:
    return plan.horizon.monday(week).isoformat()


def _last_days(rows: FarmRows, as_of: date) -> dict[str, str]:
    """The newest day that took place, by market."""
    newest: dict[str, date] = {}
    for one in rows.market_days:
        if one.date <= as_of and one.status == "took place":
            newest[one.market] = max(one.date, newest.get(one.market, one.date))
    return {market: day.isoformat() for market, day in sorted(newest.items())}
