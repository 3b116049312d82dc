"""The tests that a policy is put through in a simulated world, and the share of the possible profit it reaches."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from farmops.proving.habits import HABITS
from farmops.proving.season_play import Decide, Farm, Line, asks_of, by_knowing, by_policy, by_short_habit, play
from farmops.proving.worlds.draws import MarketDay, SeasonDraw, draw_season
from farmops.proving.worlds.notebook import Answer, Policy, Record
from farmops.proving.worlds.parts import World

TESTS = ("closed_loop", "truth_told", "take_over", "take_over_untimed", "sowing")
FIRST_WEEKS = 6
HABIT_WEEKS = 20
SEASON_WEEKS = 40
WEEKS_A_YEAR = 52
WEEKS_AHEAD = 8
PRODUCT = "product"


@dataclass(frozen=True, slots=True)
class Score:
    """One policy in one test and season. Shares in [0, 1]; mean_ratio: forecast over true mean, None without."""

    test: str
    world: str
    policy: str
    season: int
    efficiency: float
    mean_ratio: float | None
    mean_error: float | None  # mean of |log(forecast / true mean)|
    met_share: float
    critical_share: float
    ran_out_share: float


def score(test: str, draw: SeasonDraw, policy: str, season: int, lines: list[Line], possible: float) -> Score:
    """Sum up the lines of one test. `possible`: profit of somebody who knows the distributions, same draws. [money]"""
    pairs = [(one.forecast, one.true_mean) for one in lines if one.forecast is not None and one.true_mean > 0]
    ratio = error = None
    if pairs:
        forecast, true = np.array(pairs).T
        ratio = float(forecast.sum() / true.sum())
        error = float(np.abs(np.log(np.maximum(forecast, 0.1) / np.maximum(true, 0.1))).mean())
    return Score(
        test=test,
        world=draw.world.name,
        policy=policy,
        season=season,
        efficiency=sum(one.profit for one in lines) / possible,
        mean_ratio=ratio,
        mean_error=error,
        met_share=float(np.mean([one.wanted <= one.stock for one in lines])),
        critical_share=float(np.mean([one.critical for one in lines])),
        ran_out_share=float(np.mean([one.ran_out for one in lines])),
    )


def total(lines: Sequence[Line]) -> float:
    return sum(one.profit for one in lines)


def closed_loop(draw: SeasonDraw, season: int, policies: Mapping[str, Policy], *, told: bool = False) -> list[Score]:
    """The whole season from an empty notebook; also its first weeks alone."""
    known = play(draw, draw.days, by_knowing(draw, draw.days), Farm())
    scores = []
    for name, policy in policies.items():
        lines = play(draw, draw.days, by_policy(draw, policy), Farm(), told=told)
        scores.append(score("truth_told" if told else "closed_loop", draw, name, season, lines, total(known)))
        if not told:
            first = [one for one in lines if one.week < FIRST_WEEKS]
            possible = total([one for one in known if one.week < FIRST_WEEKS])
            scores.append(score("first_weeks", draw, name, season, first, possible))
    return scores


def take_over(
    draw: SeasonDraw, season: int, policies: Mapping[str, Policy], seed: int, test: str = "take_over"
) -> list[Score]:
    """Six weeks after twenty weeks of a habit that sold out on about four days in five.

    Three notebooks: as kept; the same without any sell-out time; the same with the true demand told.
    """
    times, told = test != "take_over_untimed", test == "take_over_truth_told"
    before = [day for day in draw.days if day.week < HABIT_WEEKS]
    after = [day for day in draw.days if HABIT_WEEKS <= day.week < HABIT_WEEKS + FIRST_WEEKS]
    farm = Farm()
    habit = by_short_habit(draw, (seed, season, 7))
    lines = play(draw, before, habit, farm, times=times, told=told)
    possible = total(play(draw, after, by_knowing(draw, after), farm.copy()))
    scores = []
    if test == "take_over":
        possible_before = total(play(draw, before, by_knowing(draw, before), Farm()))
        scores.append(score("habit_before", draw, "short_habit", season, lines, possible_before))
    for name, policy in policies.items():
        played = play(draw, after, by_policy(draw, policy), farm.copy(), times=times, told=told)
        scores.append(score(test, draw, name, season, played, possible))
    return scores


def sowing_world(world: World) -> World:
    """The world as a sowing sees it: weather and prices to come are not known, nothing is carried over."""
    items = tuple(replace(item, shelf_markets=1) for item in world.items)
    return replace(world, weather_told=False, price_moves=0.0, items=items)


def sowing(draw: SeasonDraw, season: int, policies: Mapping[str, Policy], weeks_ahead: int) -> list[Score]:
    """Two years in which each week's quantities are fixed `weeks_ahead` before, from the notebook of that time."""
    known = play(draw, draw.days, by_knowing(draw, draw.days), Farm())
    scores = []
    for name, policy in policies.items():
        lines = play(draw, draw.days, _ahead(draw, policy, weeks_ahead), Farm())
        for year in (0, 1):
            mine = [one for one in lines if one.week // WEEKS_A_YEAR == year]
            possible = total([one for one in known if one.week // WEEKS_A_YEAR == year])
            scores.append(score(f"sowing_year_{year + 1}", draw, name, season, mine, possible))
        later = [one for one in lines if weeks_ahead <= one.week < WEEKS_A_YEAR]
        if later:
            possible = total([one for one in known if weeks_ahead <= one.week < WEEKS_A_YEAR])
            scores.append(score("sowing_year_1_once_seen", draw, name, season, later, possible))
    return scores


def _ahead(draw: SeasonDraw, policy: Policy, weeks_ahead: int) -> Decide:
    """Decide a week's markets together, from what was noted up to the end of the week `weeks_ahead` before."""
    plans: dict[date, tuple[tuple[int, float | None], ...]] = {}

    def plan_week(week: int, records: list[Record]) -> None:
        days = [day for day in draw.days if day.week == week]
        asks = [asks_of(draw, day, {}, told=False) for day in days]
        monday = draw.world.starts - timedelta(days=draw.world.starts.weekday()) + timedelta(weeks=week)
        until = (monday - timedelta(weeks=weeks_ahead - 1)).isoformat()
        answer = policy([one for one in records if one["date"] < until], [ask for part in asks for ask in part])
        pairs = list(zip(answer.bring, answer.mean, strict=True))
        for at, day in enumerate(days):
            size = len(asks[at])
            plans[day.day] = tuple(pairs[at * size : (at + 1) * size])

    def decide(_: int, day: MarketDay, farm: Farm) -> Answer:
        if day.day not in plans:
            plan_week(day.week, farm.records)
        bring, mean = zip(*plans[day.day], strict=True)
        return Answer(bring, mean)

    return decide


def try_world(
    world: World,
    season: int,
    seed: int,
    policies: Mapping[str, Policy],
    tests: Sequence[str] = TESTS,
    *,
    weeks: int = SEASON_WEEKS,
    weeks_ahead: int = WEEKS_AHEAD,
) -> list[Score]:
    """Put policies through `tests` in one season of a world; all see the same draws."""
    scores: list[Score] = []
    draw = draw_season(world, seed, season, tuple(range(weeks)))
    if "closed_loop" in tests:
        scores += closed_loop(draw, season, policies)
    if "truth_told" in tests:
        told = {name: policy for name, policy in policies.items() if name not in HABITS}
        if told:
            scores += closed_loop(draw, season, told, told=True)
        if told and weeks >= HABIT_WEEKS + FIRST_WEEKS:
            scores += take_over(draw, season, told, seed, "take_over_truth_told")
    if "take_over" in tests:
        scores += take_over(draw, season, policies, seed)
    if "take_over_untimed" in tests:
        scores += take_over(draw, season, policies, seed, "take_over_untimed")
    if "sowing" in tests:
        both = (*range(weeks), *range(WEEKS_A_YEAR, WEEKS_A_YEAR + weeks))
        years = draw_season(sowing_world(world), seed, season, both)
        scores += sowing(years, season, policies, weeks_ahead)
    return scores
