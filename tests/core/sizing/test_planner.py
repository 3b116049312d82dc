"""Plans as a grower reads them: edges, causes, rules, changes, and cases of the catalogue."""

from dataclasses import replace

import pytest

from farmops.core.sizing import (
    Accepted,
    Block,
    Cuts,
    Heads,
    Item,
    Market,
    Occupancy,
    Piece,
    Problem,
    Promise,
    Rule,
    SeedStock,
    Settings,
    Sowing,
    Space,
    Standing,
    solve,
    steady_first_cut,
    worth_of_room,
)
from tests.core.sizing.hand_farm import hand_farm

EXACT = Settings(gap=0.0)


def heads_farm(*, weeks: int = 5, bed: float = 40.0, **changes) -> Problem:
    """One item, sown in any week, ready a week later; a part is 10 heads on 10 places of bed and costs $1."""
    return Problem(
        **{
            "weeks": weeks,
            "spaces": (Space("bed", (bed,) * weeks),),
            "items": (Item("heads", cutting=0.25),),
            "sowings": tuple(
                Sowing("heads", week, Heads(week + 1, week + 1, 10, "bed", 1.0), (Occupancy("bed", week, 10),), 1.0)
                for week in range(weeks - 1)
            ),
            **changes,
        }
    )


def parts(plan) -> dict[int, float]:
    return {line.week: line.parts for line in plan.sowings}


def market(week: int, quantity: float, price: float = 2.0) -> Market:
    return Market(f"market {week}", "heads", week, (Piece(quantity, price, 1.0),), price)


def test_nothing_wanted_nothing_sown():
    plan = solve(heads_farm())
    assert (plan.status, plan.objective, plan.gap) == ("optimal", 0.0, 0.0)
    assert (plan.sowings, plan.items) == ((), ())


def test_a_problem_with_nothing_in_it_has_an_empty_plan():
    plan = solve(Problem(3, (Space("bed", (1.0,) * 3),), ()))
    assert (plan.status, plan.objective, plan.sowings) == ("optimal", 0.0, ())


def test_a_closed_week_gets_nothing():
    plan = solve(heads_farm(markets=(market(1, 20), market(3, 20))), EXACT)
    assert parts(plan) == {0: 2.0, 2: 2.0}
    assert [(line.week, line.harvest) for line in plan.items] == [(1, 20.0), (3, 20.0)]
    assert plan.objective == pytest.approx(2 * (20 * 1.75 - 2))


def test_nothing_is_sown_that_is_ready_after_the_horizon():
    late = Sowing("heads", 3, Heads(5, 5, 10, "bed", 1.0), (), 0.0, way="slow")
    plan = solve(heads_farm(sowings=(late,), markets=(market(4, 20),)), EXACT)
    assert plan.sowings == ()


def test_a_promise_before_the_first_harvest_is_too_late_to_sow():
    plan = solve(heads_farm(promises=(Promise("cafe", "heads", 0, 8, 2.0, 1.0),)), EXACT)
    (outcome,) = plan.promises
    assert (outcome.met, outcome.cause) == (0.0, "too_late")
    assert plan.objective == -8.0
    assert plan.sowings == ()


def test_a_promise_without_room_says_room_and_where_it_is_full():
    plan = solve(heads_farm(bed=10.0, promises=(Promise("cafe", "heads", 2, 25, 2.0, 1.0),)), EXACT)
    (outcome,) = plan.promises
    assert (outcome.met, outcome.cause) == (10.0, "room")
    assert [(line.kind, line.week, line.used) for line in plan.room if line.binding] == [
        ("bed", 1, 10.0),
        ("bed", 2, 10.0),
    ]


def test_a_promise_that_costs_more_than_failing_says_so():
    plan = solve(heads_farm(promises=(Promise("cafe", "heads", 2, 25, 0.1, 0.1),)), EXACT)
    (outcome,) = plan.promises
    assert (outcome.met, outcome.cause) == (0.0, "dearer")


def test_a_promise_without_seed_says_seed():
    base = heads_farm(promises=(Promise("cafe", "heads", 2, 20, 2.0, 1.0),), seeds=(SeedStock("lot 7", 12.0),))
    problem = replace(base, sowings=tuple(replace(line, seed="lot 7", seeds=10.0) for line in base.sowings))
    plan = solve(problem, EXACT)
    assert (plan.promises[0].met, plan.promises[0].cause) == (10.0, "seed_or_work")


def test_work_is_a_limit():
    base = heads_farm(promises=(Promise("cafe", "heads", 2, 20, 2.0, 1.0),), work=(60.0,) * 5)
    problem = replace(base, items=(replace(base.items[0], minutes=5.0),))
    plan = solve(problem, EXACT)
    assert plan.promises[0].met == pytest.approx(12.0)
    assert plan.promises[0].cause == "seed_or_work"


def test_the_cause_of_a_small_promise_is_not_blurred_by_a_big_farm():
    """A promise of a few dollars beside a market of a million, at a gap of 1 % of which it is nothing."""
    big = Market("big", "gold", 2, (Piece(1000.0, 1000.0, 1.0),), 1000.0)
    base = heads_farm(promises=(Promise("cafe", "heads", 2, 25, 0.1, 0.1), Promise("inn", "heads", 0, 5, 2.0, 0.5)))
    gold = Sowing("gold", 0, Heads(2, 2, 400, "bed", 0.01), (), 1.0)
    problem = replace(base, items=(*base.items, Item("gold")), sowings=(*base.sowings, gold), markets=(big,))
    assert [line.cause for line in solve(problem, Settings(gap=0.01)).promises] == ["dearer", "too_late"]


def test_causes_can_be_left_out():
    plan = solve(heads_farm(promises=(Promise("cafe", "heads", 0, 8, 2.0, 1.0),)), replace(EXACT, explain=False))
    assert plan.promises[0].cause == "not_examined"


def test_a_full_house_is_never_impossible_but_something_is_cleared():
    standing = tuple(
        Standing(name, "heads", Heads(1, 1, 30, "bed", 1.0), (Occupancy("bed", 0, 30),)) for name in ("north", "south")
    )
    plan = solve(heads_farm(standing=standing, markets=(market(1, 60),)), EXACT)
    assert plan.status == "optimal"
    assert sum(line.amounts[0] for line in plan.standing) == pytest.approx(40 / 30)


def test_a_planting_in_the_way_is_cleared_early_when_something_better_needs_the_place():
    """Old cuttings of 4 heads on all 40 places against 40 new heads at $2."""
    blocks = tuple(Block(((week, 4),), (Occupancy("bed", week, 40),)) for week in range(5))
    old = Standing("old", "heads", Cuts(blocks))
    plan = solve(heads_farm(standing=(old,), markets=(market(0, 40), market(3, 40))), EXACT)
    assert plan.standing[0].amounts == (1.0, 1.0, 1.0, 0.0, 0.0, 0.0)  # the planting, then its five weeks
    assert parts(plan) == {2: 4.0}


def test_rules_that_clash_are_named_with_the_weeks_of_room():
    need = Rule("sow_at_least", item="heads", week=1, amount=3)
    keep = Rule("keep", key="old")
    innocent = Rule("sow_at_least", item="heads", week=3, amount=1)
    blocks = tuple(Block(((week, 1),), (Occupancy("bed", week, 20),)) for week in range(3))
    problem = heads_farm(standing=(Standing("old", "heads", Cuts(blocks)),), rules=(innocent, need, keep))
    plan = solve(problem, EXACT)
    assert (plan.status, plan.objective, plan.sowings) == ("infeasible", None, ())
    assert plan.clash is not None
    assert set(plan.clash.rules) == {need, keep}
    assert len(plan.clash.room) == 1  # one full week is enough to clash
    assert plan.clash.room[0] in {("bed", 1), ("bed", 2)}
    assert (plan.clash.seeds, plan.clash.work_weeks) == ((), ())


def test_a_promise_that_must_be_met_and_cannot_be_is_named_alone():
    must = Rule("meet", key="cafe")
    problem = heads_farm(promises=(Promise("cafe", "heads", 0, 8, 2.0, 1.0),), rules=(must,))
    plan = solve(problem, EXACT)
    assert plan.status == "infeasible"
    assert plan.clash is not None
    assert (plan.clash.rules, plan.clash.room) == ((must,), ())


def test_a_sowing_that_does_not_exist_cannot_be_insisted_on():
    plan = solve(heads_farm(rules=(Rule("sow_at_least", item="heads", week=9, amount=1),)), EXACT)
    assert plan.status == "infeasible"


def test_rules_are_kept():
    rules = (Rule("sow_at_least", item="heads", week=0, amount=2), Rule("sow_at_most", item="heads", week=2, amount=1))
    plan = solve(heads_farm(markets=(market(3, 30),), rules=rules), EXACT)
    assert parts(plan) == {0: 2.0, 2: 1.0}


def test_small_gains_do_not_change_an_accepted_plan_and_changes_are_counted():
    """The market of week 2 pays 5 cents a head more than that of week 1; moving a part costs $2 and earns $0.50."""
    base = heads_farm(bed=10.0, markets=(market(1, 10, 2.0), market(2, 10, 2.05)))
    crossing = replace(base, spaces=(Space("bed", (10.0, 10.0, 10.0, 10.0, 10.0)),))
    kept = solve(replace(crossing, accepted=(Accepted("heads", 0, 1.0), Accepted("heads", 1, 0.0))), EXACT)
    assert parts(kept) == {0: 1.0}
    assert kept.changed_parts == 0.0
    assert kept.sowings[0].before == 1.0
    free = solve(
        replace(crossing, accepted=(Accepted("heads", 0, 1.0), Accepted("heads", 1, 0.0))),
        replace(EXACT, change_price=0.0),
    )
    assert parts(free) == {0: 0.0, 1: 1.0}
    assert free.changed_parts == 2.0
    assert solve(crossing, EXACT).changed_parts is None


def test_weeks_after_the_accepted_plan_are_not_priced():
    base = heads_farm(markets=(market(1, 10), market(4, 10)), accepted=(Accepted("heads", 0, 1.0),))
    plan = solve(base, EXACT)
    assert parts(plan) == {0: 1.0, 3: 1.0}
    assert plan.changed_parts == 0.0
    assert plan.objective == pytest.approx(2 * (10 * 1.75 - 1))


def test_more_room_is_worth_the_difference_of_two_plans():
    # Hand example: 5 places more at 20 earn $96 - $82.
    worth = worth_of_room(hand_farm(20), "finishing", 5, EXACT)
    assert worth.about == pytest.approx(14, abs=1e-6)
    assert worth.about <= worth.at_most <= 14 + 0.001 * 96 + 1e-6  # both plans are within 0.1 % of the best
    assert worth_of_room(hand_farm(20), "nursery", 50, EXACT).about == pytest.approx(0, abs=1e-6)
    with pytest.raises(ValueError, match="no kind of space 'attic'"):
        worth_of_room(hand_farm(20), "attic", 5, EXACT)


def test_the_same_question_gets_the_same_plan():
    first, second = solve(hand_farm(25)), solve(hand_farm(25))
    timeless = {"model_seconds": 0.0, "solver_seconds": 0.0}
    assert replace(first, **timeless) == replace(second, **timeless)
    assert (first.seed, first.node_limit) == (0, Settings().nodes)


@pytest.mark.case("G05")
def test_three_cuttings_ramp_up_hold_and_fade():
    """newfarm.org reader mail (cuttings), Maximum Yield 2016-06 (basil, cilantro); our numbers."""
    shares, wanted = (1.0, 0.8, 0.6), 40.0
    first_cut = steady_first_cut(wanted, shares)
    assert first_cut == pytest.approx(16.67, abs=0.005)
    weeks = 16
    sowings, rules = [], []
    for week in range(10):
        blocks = tuple(
            Block(
                ((week + 1 + 2 * number, first_cut * share),),
                tuple(Occupancy("bed", week + 1 + at, 10) for at in ((0,), (1, 2), (3, 4))[number]),
            )
            for number, share in enumerate(shares)
        )
        sowings.append(Sowing("leaf", week, Cuts(blocks)))
        rules += [Rule("sow_at_least", "leaf", "", week, 1), Rule("sow_at_most", "leaf", "", week, 1)]
    problem = Problem(
        weeks,
        (Space("bed", (1000.0,) * weeks),),
        (Item("leaf", cutting=0.1),),
        tuple(sowings),
        markets=tuple(Market(f"{w}", "leaf", w, (Piece(wanted, 5.0, 1.0),), 5.0) for w in range(1, weeks)),
        rules=tuple(rules),
    )
    plan = solve(problem, EXACT)
    supply = {line.week: line.harvest for line in plan.items}
    expected = [16.67] * 2 + [30.0] * 2 + [40.0] * 6 + [23.33] * 2 + [10.0] * 2 + [0.0]
    assert [supply.get(week, 0.0) for week in range(1, 16)] == pytest.approx(expected, abs=0.005)
    # The bed is busy until the last cut: five weekly sowings overlap.
    assert max(line.used for line in plan.room) == pytest.approx(50.0)


@pytest.mark.case("G10")
def test_a_market_closed_one_week_and_the_end_of_the_season():
    """goodsonsgardens.com agreement (closed weeks); our numbers. Week 0 is that of Monday 21 Dec 2026.

    Which weeks 60 heads ready on 22 Dec serve, and which days are market days, is held where days become weeks.
    """
    due = Standing("due", "heads", Heads(0, 0, 60, "bed", 1.0))
    # Closed on 26 Dec: no demand in week 0; open again on 2 Jan, in week 1.
    open_again = Market("2 Jan", "heads", 1, (Piece(60, 2.0, 1.0),), 2.0)
    cafe = Promise("cafe", "heads", 0, 15, 2.0, 0.0)
    space = Space("bed", (60.0,) * 2)
    plan = solve(
        Problem(2, (space,), (Item("heads", cutting=0.25),), (), (due,), (cafe,), (open_again,)),
        EXACT,
    )
    line = plan.items[0]
    assert (line.ready, line.harvest, line.met, line.left) == (60.0, 15.0, 15.0, 0.0)
    assert [outcome.taken for outcome in plan.markets] == [0.0]
    assert plan.standing[0].amounts == (1.0,)  # the surplus shows; the planting is not deleted
    # Nothing is sown for harvest after the last selling day (week 2 of five).
    ending = solve(heads_farm(markets=(market(1, 10), market(2, 10))), EXACT)
    assert parts(ending) == {0: 1.0, 1: 1.0}
