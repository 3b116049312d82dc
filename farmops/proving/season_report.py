"""From scores to the answer of `try_seasons`: means with standard errors, and the goals reached or not."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date

import numpy as np

from farmops.proving.seasons import PRODUCT, Score
from farmops.proving.worlds import FRESH, WORLDS
from farmops.proving.worlds.arrivals import comes_late
from farmops.proving.worlds.parts import World

LATE_CROWDS = tuple(name for name, world in {**WORLDS, **FRESH}.items() if comes_late(world))
Json = dict[str, object]
# (what, test, over which worlds, at least)
GOALS: tuple[tuple[str, str, str, float], ...] = (
    ("whole season, mean of the worlds", "closed_loop", "mean", 0.97),
    ("whole season, every world", "closed_loop", "worst", 0.95),
    ("first six weeks, mean of the worlds", "first_weeks", "mean", 0.95),
    ("taking over from a habit that sold out, mean of the worlds", "take_over", "mean", 0.95),
    ("taking over where the crowd comes late", "take_over", "late", 0.95),
    ("taking over, no sell-out time ever noted, mean of the worlds", "take_over_untimed", "mean", 0.94),
    ("sown weeks ahead, first year, mean of the worlds", "sowing_year_1", "mean", 0.94),
    ("sown weeks ahead, second year, mean of the worlds", "sowing_year_2", "mean", 0.97),
)
NEAR_TRUTH = 0.005  # how far the product may stay behind itself told the true demand


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return round(float(np.mean(known)), 5) if known else None


def _error(values: Sequence[float]) -> float | None:
    """Standard error of the mean; unknown from a single season."""
    return round(float(np.std(values, ddof=1) / np.sqrt(len(values))), 5) if len(values) > 1 else None


def by_world(scores: Sequence[Score]) -> list[Json]:
    """One row for each test, world and policy: means over the seasons."""
    groups: dict[tuple[str, str, str], list[Score]] = defaultdict(list)
    for one in scores:
        groups[one.test, one.world, one.policy].append(one)
    return [
        {
            "test": test,
            "world": world,
            "policy": policy,
            "seasons": len(group),
            "efficiency": _mean(one.efficiency for one in group),
            "standard_error": _error([one.efficiency for one in group]),
            "mean_ratio": _mean(one.mean_ratio for one in group),
            "mean_error": _mean(one.mean_error for one in group),
            "met_share": _mean(one.met_share for one in group),
            "critical_share": _mean(one.critical_share for one in group),
            "ran_out_share": _mean(one.ran_out_share for one in group),
        }
        for (test, world, policy), group in sorted(groups.items())
    ]


def overall(scores: Sequence[Score]) -> list[Json]:
    """One row for each test and policy: every world counts the same."""
    groups: dict[tuple[str, str], dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for one in scores:
        groups[one.test, one.policy][one.world].append(one.efficiency)
    rows: list[Json] = []
    for (test, policy), worlds in sorted(groups.items()):
        means = {world: float(np.mean(values)) for world, values in worlds.items()}
        worst = min(sorted(means), key=lambda world: means[world])
        errors = [_error(values) for values in worlds.values()]
        known = [error for error in errors if error is not None]
        whole = len(known) == len(errors)
        rows.append(
            {
                "test": test,
                "policy": policy,
                "worlds": len(worlds),
                "efficiency": round(float(np.mean(list(means.values()))), 5),
                "standard_error": round(float(np.linalg.norm(known)) / len(known), 5) if whole else None,
                "worst_world": worst,
                "worst_efficiency": round(means[worst], 5),
                "worst_standard_error": _error(worlds[worst]),
            }
        )
    return rows


def goals(scores: Sequence[Score]) -> list[Json]:
    """The product's goals that the tests played can decide, each with what was reached."""
    rows: list[Json] = []
    sums = {row["test"]: row for row in overall(scores) if row["policy"] == PRODUCT}
    worlds = {(row["test"], row["world"]): row for row in by_world(scores) if row["policy"] == PRODUCT}
    for what, test, over, at_least in GOALS:
        if over == "late":
            found = [(name, worlds[test, name]) for name in LATE_CROWDS if (test, name) in worlds]
        else:
            found = [(over, sums[test])] if test in sums else []
        kind = "worst_" if over == "worst" else ""
        rows += [
            _goal(what, test, name, at_least, row[f"{kind}efficiency"], row[f"{kind}standard_error"])
            for name, row in found
        ]
    if {"closed_loop", "truth_told"} <= set(sums):
        behind = _paired_difference(scores)
        rows.append(_goal("not behind itself told the truth", "truth_told", "mean", -NEAR_TRUTH, *behind))
    return rows


def _goal(what: str, test: str, over: str, at_least: float, value: object, error: object) -> Json:
    if not isinstance(value, float):
        raise TypeError(f"an efficiency must be a number, got {value!r}")
    return {
        "goal": what,
        "test": test,
        "over": over,
        "at_least": at_least,
        "value": value,
        "standard_error": error,
        "reached": value >= at_least,
    }


def _paired_difference(scores: Sequence[Score]) -> tuple[float, float | None]:
    """Mean over worlds of (product - product told the truth), and its standard error; seasons are paired."""
    pair: dict[tuple[str, int], dict[str, float]] = defaultdict(dict)
    for one in scores:
        if one.policy == PRODUCT and one.test in {"closed_loop", "truth_told"}:
            pair[one.world, one.season][one.test] = one.efficiency
    worlds: dict[str, list[float]] = defaultdict(list)
    for (world, _), both in pair.items():
        worlds[world].append(both["closed_loop"] - both["truth_told"])
    errors = [_error(values) for values in worlds.values()]
    known = [error for error in errors if error is not None]
    error = round(float(np.linalg.norm(known)) / len(known), 5) if len(known) == len(errors) else None
    return round(float(np.mean([np.mean(values) for values in worlds.values()])), 5), error


def parameters(world: World) -> Json:
    """The world's parameters as plain JSON."""
    return {key: value.isoformat() if isinstance(value, date) else value for key, value in asdict(world).items()}


def report(scores: Sequence[Score], worlds: Sequence[World], asked: Json) -> Json:
    """The whole answer of the command."""
    return {
        "format": 1,
        "asked": asked,
        "efficiency_means": "expected profit as a share of somebody's who knows each day's demand distribution",
        "overall": overall(scores),
        "goals": goals(scores),
        "by_world": by_world(scores),
        "worlds": [parameters(world) for world in worlds],
    }
