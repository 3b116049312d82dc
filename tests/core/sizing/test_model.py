"""The programme against other ways to the same answer, and what must hold for any farm."""

import math
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from farmops.core.sizing import (
    Block,
    Cuts,
    Heads,
    Item,
    Leeway,
    Market,
    Mix,
    Piece,
    Plan,
    Problem,
    Promise,
    Settings,
    Sowing,
    Space,
    Standing,
    solve,
)
from farmops.core.sizing.model import build
from farmops.core.sizing.solve import run
from farmops.proving.sizing_farms import invented_farm
from tests.core.sizing.flow_form import best_by_trying, best_of_flows, relaxation_of_flows
from tests.core.sizing.hand_farm import hand_farm
from tests.core.sizing.random_farms import tiny_farm

EXACT = Settings(gap=0.0, whole_weeks=None)
SEEDS = st.integers(0, 1_000_000)


def best(problem: Problem, how: Settings = EXACT) -> float:
    plan = solve(problem, how)
    assert plan.status == "optimal"
    assert plan.objective is not None
    return plan.objective


# Our own hand example; dollars enumerated. Dollars are tested and not plans: ties exist.
@pytest.mark.parametrize(("finishing", "dollars"), [(15, 64), (20, 82), (25, 96), (30, 101)])
def test_the_hand_example(finishing, dollars):
    assert best(hand_farm(finishing)) == pytest.approx(dollars, abs=1e-6)
    assert best_of_flows(hand_farm(finishing), EXACT) == pytest.approx(dollars, abs=1e-6)


def test_the_hand_example_by_trying_every_number_of_parts():
    assert best_by_trying(hand_farm(20), EXACT) == pytest.approx(82, abs=1e-6)


def test_the_hand_example_without_limits():
    assert best(hand_farm(20), replace(EXACT, room_counts=False)) == pytest.approx(102, abs=1e-6)


def test_the_relaxation_of_the_hand_example():
    matrix = build(hand_farm(20), EXACT).matrix
    assert run(matrix, EXACT, whole=False).objective == pytest.approx(89.24, abs=0.005)


def test_the_hand_example_adds_up():
    plan = solve(hand_farm(20), EXACT)
    sold = {
        item: sum(line.met + line.market for line in plan.items if line.item == item and line.week > 0) for item in "AB"
    }
    assert sold == {"A": 24, "B": 26}
    assert sum(line.harvest for line in plan.items) * 0.5 == 25
    assert sum(line.parts * (2 if line.item == "A" else 3) for line in plan.sowings) == 12


@pytest.mark.parametrize("seed", range(12))
def test_no_number_of_parts_is_better_than_the_plan(seed):
    problem = tiny_farm(seed, sowings=3)
    assert best(problem) == pytest.approx(best_by_trying(problem, EXACT), abs=1e-5)


@settings(max_examples=40)
@given(seed=SEEDS)
@example(seed=274)  # HiGHS 1.16.0 went wrong here when it was given a start and presolved it
def test_the_programme_agrees_with_flows_of_every_planting(seed):
    problem = tiny_farm(seed)
    assert best(problem) == pytest.approx(best_of_flows(problem, EXACT), abs=1e-5)


@settings(max_examples=20)
@given(seed=SEEDS)
def test_the_relaxation_is_as_tight_as_that_of_the_flows(seed):
    problem = tiny_farm(seed)
    relaxed = run(build(problem, EXACT).matrix, EXACT, whole=False).objective
    assert relaxed == pytest.approx(relaxation_of_flows(problem, EXACT), abs=1e-5)


@pytest.mark.parametrize("room", [0.35, 1.1])
def test_the_relaxation_of_a_whole_farm_is_that_of_its_flows(room):
    problem = invented_farm(6, 20, room=room)
    relaxed = run(build(problem, Settings()).matrix, Settings(), whole=False).objective
    assert relaxed == pytest.approx(relaxation_of_flows(problem, Settings(), math.inf), rel=1e-9)


def test_heads_that_are_past_it_earlier_than_older_ones_are_not_taken_for_them():
    """Five heads stand from week 0 to 3, five others only in week 1; wanted are five in week 0 and five in week 2."""
    standing = (
        Standing("long", "heads", Heads(0, 3, 5, "bed", 1)),
        Standing("short", "heads", Heads(1, 1, 5, "bed", 1)),
    )
    markets = tuple(Market(f"{week}", "heads", week, (Piece(5, 2.0, 1.0),), 2.0) for week in (0, 2))
    problem = Problem(4, (Space("bed", (20.0,) * 4),), (Item("heads"),), standing=standing, markets=markets)
    # The long ones serve one of the two weeks and the short ones neither: 5 x $2.
    assert best(problem) == pytest.approx(10.0, abs=1e-6)


@settings(max_examples=15)
@given(seed=SEEDS, more=st.integers(1, 30), kind=st.sampled_from([0, 1]))
def test_more_room_never_lowers_the_worth(seed, more, kind):
    problem = tiny_farm(seed)
    spaces = list(problem.spaces)
    spaces[kind] = replace(spaces[kind], places=tuple(places + more for places in spaces[kind].places))
    assert best(replace(problem, spaces=tuple(spaces))) >= best(problem) - 1e-6


@settings(max_examples=15)
@given(seed=SEEDS, more=st.integers(1, 10), which=st.integers(0, 5))
def test_more_demand_never_lowers_the_worth(seed, more, which):
    problem = tiny_farm(seed)
    market = problem.markets[which % len(problem.markets)]
    pieces = (replace(market.pieces[0], quantity=market.pieces[0].quantity + more), *market.pieces[1:])
    markets = tuple(replace(line, pieces=pieces) if line.key == market.key else line for line in problem.markets)
    assert best(replace(problem, markets=markets)) >= best(problem) - 1e-6


@settings(max_examples=20)
@given(seed=SEEDS, times=st.sampled_from([0.5, 3.0, 100.0]))
def test_all_money_times_a_number_gives_the_worth_times_that_number(seed, times):
    problem = tiny_farm(seed)
    dearer = replace(
        problem,
        items=tuple(
            replace(item, cutting=item.cutting * times, beyond_price=item.beyond_price * times)
            for item in problem.items
        ),
        sowings=tuple(replace(sowing, cost=sowing.cost * times) for sowing in problem.sowings),
        promises=tuple(
            replace(promise, price=promise.price * times, penalty=promise.penalty * times)
            for promise in problem.promises
        ),
        markets=tuple(
            replace(
                market,
                price=market.price * times,
                leftover=market.leftover * times,
                pieces=tuple(replace(piece, worth=piece.worth * times) for piece in market.pieces),
            )
            for market in problem.markets
        ),
    )
    scaled = replace(
        EXACT,
        keep_price=EXACT.keep_price * times,
        stay_worth=EXACT.stay_worth * times,
        change_price=EXACT.change_price * times,
    )
    assert best(dearer, scaled) == pytest.approx(times * best(problem), rel=1e-5, abs=1e-4)


def places_taken(problem: Problem, plan: Plan) -> dict[tuple[str, int], float]:
    """Places by kind and week, counted again from what the plan says in words a grower could check."""
    taken: dict[tuple[str, int], float] = {}

    def take(kind: str, week: int, places: float) -> None:
        taken[kind, week] = taken.get((kind, week), 0.0) + places

    def grow(planting: Sowing | Standing, parts: float, amounts: tuple[float, ...]) -> None:
        for place in planting.room:
            take(place.kind, place.week, parts * place.places)
        if isinstance(planting.harvest, Heads):
            take(planting.harvest.kind, planting.harvest.ready, parts * planting.harvest.items * 1.25)
            return
        for block, amount in zip(planting.harvest.blocks, amounts, strict=True):
            assert amount <= parts + 1e-5
            for place in block.room:
                take(place.kind, place.week, amount * place.places)

    kept = {(line.item, line.week): line.amounts for line in plan.cuttings}
    parts = {(line.item, line.week): line.parts for line in plan.sowings}
    for sowing in problem.sowings:
        key = (sowing.item, sowing.week)
        if parts.get(key):
            grow(sowing, parts[key], kept.get(key, ()))
    for planting, line in zip(problem.standing, plan.standing, strict=True):
        grow(planting, line.amounts[0], line.amounts[1:])
    for line in plan.items:
        if line.left:
            take("bed", line.week + 1, 1.25 * line.left)
    return taken


@settings(max_examples=30)
@given(seed=SEEDS)
def test_never_more_than_the_places_in_any_week_of_any_kind(seed):
    problem = tiny_farm(seed)
    plan = solve(problem, EXACT)
    taken = places_taken(problem, plan)
    places = {(space.kind, week): held for space in problem.spaces for week, held in enumerate(space.places)}
    over = {key: used for key, used in taken.items() if key in places and used > places[key] + 1e-4}
    assert over == {}


@settings(max_examples=15)
@given(seed=SEEDS)
def test_what_is_used_was_cut_kept_or_mixed(seed):
    problem = tiny_farm(seed)
    plan = solve(problem, EXACT)
    for line in plan.items:
        supply = line.harvest + line.carried_in + line.made
        assert line.met + line.market + line.into_mixes + line.kept <= supply + 1e-4
        assert line.met <= line.promised + 1e-6
        assert line.expected_sales <= line.market + 1e-6


@settings(max_examples=15)
@given(seed=SEEDS)
def test_fractions_of_parts_are_an_upper_bound(seed):
    problem = tiny_farm(seed)
    outlook = solve(problem, replace(EXACT, whole_weeks=1))
    assert outlook.bound is not None
    assert outlook.bound >= best(problem) - 1e-6
    assert {line.whole for line in outlook.sowings if line.week == 0} <= {True}
    assert {line.whole for line in outlook.sowings if line.week > 0} <= {False}


LEAVES = (Item("bag", cutting=0.1), Item("red"), Item("green"))
RECIPE = (("red", 0.5), ("green", 0.5))
ANY = (Leeway("red", 1.0, 0.5, 0.5), Leeway("green", 1.0, 0.5, 0.3))


def bags_of(red, green, wanted, leeway):
    """A bag of two leaves, of which so much stands; each bag brings 5 and costs 0.1 to make."""
    standing = tuple(
        Standing(leaf, leaf, Cuts((Block(((0, amount),)),)))
        for leaf, amount in (("red", red), ("green", green))
        if amount
    )
    promise = Promise("Inn", "bag", 0, wanted, 5.0, 1.0)
    mixes = (Mix("bag", RECIPE, leeway),)
    return solve(Problem(1, (), LEAVES, standing=standing, promises=(promise,), mixes=mixes), Settings(explain=True))


@pytest.mark.parametrize(
    ("red", "green", "leeway", "made", "parts"),
    [
        pytest.param(10.0, 10.0, ANY, 10.0, {"red": 5.0, "green": 5.0}, id="recipe-where-it-can-be-had"),
        pytest.param(3.0, 10.0, ANY, 10.0, {"red": 3.0, "green": 7.0}, id="other-leaf-fills-up"),
        pytest.param(1.0, 10.0, ANY, 5.0, {"red": 1.0, "green": 4.0}, id="no-further-than-its-limit"),
        pytest.param(10.0, 0.0, ANY, 10.0, {"red": 10.0, "green": 0.0}, id="a-leaf-left-out"),
        pytest.param(3.0, 10.0, (), 6.0, {"red": 3.0, "green": 3.0}, id="strict"),
    ],
)
def test_a_mix_is_changed_only_inside_its_limits(red, green, leeway, made, parts):
    # Our numbers: green may make up 80 % of a bag at most, so 1 lb of red reaches for 5 bags and no more.
    plan = bags_of(red, green, 10.0, leeway)
    assert plan.promises[0].met == pytest.approx(made)
    assert dict(plan.mixed[0].parts) == pytest.approx(parts)
    into = {line.item: line.into_mixes for line in plan.items if line.item != "bag"}
    assert {leaf: amount for leaf, amount in into.items() if amount} == pytest.approx(
        {leaf: amount for leaf, amount in parts.items() if amount}
    )


@settings(max_examples=15, deadline=None)
@given(SEEDS)
def test_leeway_never_lowers_the_worth_and_none_changes_nothing(seed):
    problem = tiny_farm(seed)
    wide = tuple(
        replace(mix, leeway=tuple(Leeway(part, 1.0, amount, 1.0 - amount) for part, amount in mix.parts))
        for mix in problem.mixes
    )
    strict = best(problem)
    assert best(replace(problem, mixes=wide)) >= strict - 1e-6
    assert best(replace(problem, mixes=wide), replace(EXACT, recipe_price=1e6)) == pytest.approx(strict, abs=1e-6)
