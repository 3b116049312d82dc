"""From scores of sown seasons to the answer of the command: means with standard errors, goals, and all parameters."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict

import numpy as np

from farmops.proving.season_report import parameters
from farmops.proving.sown.farm import (
    CALM,
    FARM_SEED,
    KEEP_LOSS,
    PROMISED_EVERY,
    PROMISED_PRICE,
    PROMISED_SHARE,
    farm_of,
)
from farmops.proving.sown.luck import Spreads
from farmops.proving.sown.trial import CLAIRVOYANT, ITEM_SPREADS, PRODUCT, ROOMS, Score

Json = dict[str, object]
MEASURES = ("of_clairvoyant", "profit", "waste", "served", "failed", "changed", "full")
# (what, room, the product's measure, beside which policy, at least or at most)
GOALS: tuple[tuple[str, str, str, str, float], ...] = (
    ("tight room: share of the clairvoyant's profit", "tight", "of_clairvoyant", "", 0.89),
    ("tight room: profit over that of the same sowing every week", "tight", "of_clairvoyant", "same_every_week", 0.09),
    ("tight room: profit over that of last year's sales", "tight", "of_clairvoyant", "last_year", 0.30),
    ("loose room: share of the clairvoyant's profit", "loose", "of_clairvoyant", "", 0.91),
    ("loose room: no less profit than the newsvendor", "loose", "of_clairvoyant", "newsvendor", 0.0),
    ("tight room: this week's parts changed since last Monday", "tight", "changed", "", -0.15),
    ("loose room: this week's parts changed since last Monday", "loose", "changed", "", -0.15),
)


def mean_of(values: Iterable[float | None]) -> tuple[float | None, float | None]:
    """Mean and its standard error, unknown from a single season."""
    known = [value for value in values if value is not None]
    if not known:
        return None, None
    error = float(np.std(known, ddof=1) / np.sqrt(len(known))) if len(known) > 1 else None
    return round(float(np.mean(known)), 4), None if error is None else round(error, 4)


def by_policy(scores: Sequence[Score]) -> list[Json]:
    """One row for each room and policy."""
    groups: dict[tuple[str, str], list[Score]] = defaultdict(list)
    for one in scores:
        groups[one.room, one.policy].append(one)
    rows: list[Json] = []
    for (room, policy), group in groups.items():
        row: Json = {"room": room, "policy": policy, "seasons": len(group)}
        for measure in MEASURES:
            row[measure], row[f"{measure}_error"] = mean_of(getattr(one, measure) for one in group)
        rows.append(row)
    return rows


def goals(scores: Sequence[Score]) -> list[Json]:
    """What the product reached; comparisons with other policies are season by season."""
    found: list[Json] = []
    by_season = {(one.room, one.season, one.policy): one for one in scores}
    for what, room, measure, beside, limit in GOALS:
        mine = [one for one in scores if (one.room, one.policy) == (room, PRODUCT)]
        values: list[float | None] = [getattr(one, measure) for one in mine]
        if beside:
            others = [by_season[room, one.season, beside] for one in mine]
            values = [one.profit / other.profit - 1 for one, other in zip(mine, others, strict=True)]
        value, error = mean_of(values)
        if value is not None:
            reached = value <= -limit if measure == "changed" else value >= limit
            found.append(
                {"goal": what, "limit": abs(limit), "value": value, "standard_error": error, "reached": reached}
            )
    return found


def report(scores: Sequence[Score], asked: Json) -> Json:
    """The whole answer."""
    farms = {room: farm_of(share) for room, share in ROOMS.items()}
    farm = next(iter(farms.values()))
    return {
        "format": 1,
        "asked": asked,
        "of_clairvoyant_means": f"profit as a share of that of the policy {CLAIRVOYANT!r}, who knows the distribution "
        "of each day's demand and foresees how each planting grows and what of it is lost",
        "policies_mean": "only the sowing differs between habits: all deliver, sell and keep by the product's own "
        "estimates of demand; the product's days and losses are learned from its own plantings",
        "by_policy": by_policy(scores),
        "goals": goals(scores),
        "seasons": [asdict(one) for one in scores],
        "parameters": {
            "farm_seed": FARM_SEED,
            "varieties": [asdict(crop) for crop in farm.crops],
            "room_shares": ROOMS,
            "places": {room: dict(one.places) for room, one in farms.items()},
            "keep_loss": KEEP_LOSS,
            "promised": {"every": PROMISED_EVERY, "share": PROMISED_SHARE, "price": PROMISED_PRICE, "penalty": 1.0},
            "dispersion": [round(1 / (1 / CALM["day_spread"] + 1 / spread), 1) for spread in ITEM_SPREADS],
            "growth": asdict(Spreads()),
            "world": parameters(farm.world),
        },
    }
