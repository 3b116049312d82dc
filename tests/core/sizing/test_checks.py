from dataclasses import replace

import pytest

from farmops.core.sizing import (
    Cuts,
    Heads,
    Item,
    Leeway,
    Market,
    Mix,
    Occupancy,
    Piece,
    Problem,
    Promise,
    Rule,
    Sowing,
    Space,
    Standing,
    solve,
)
from tests.core.sizing.hand_farm import hand_farm

BASE = hand_farm(20)
HEADS = Heads(1, 2, 8, "finishing", 1.0)


def sown(**changes) -> Problem:
    return replace(BASE, sowings=(replace(Sowing("A", 0, HEADS), **changes),))


@pytest.mark.parametrize(
    ("problem", "words"),
    [
        pytest.param(replace(BASE, weeks=0), "at least one week", id="no-weeks"),
        pytest.param(replace(BASE, spaces=(Space("nursery", (1.0,)),)), "nursery: places", id="short-places"),
        pytest.param(replace(BASE, spaces=(*BASE.spaces, BASE.spaces[0])), "given twice", id="kind-twice"),
        pytest.param(replace(BASE, items=(*BASE.items, Item("A"))), "given twice", id="item-twice"),
        pytest.param(replace(BASE, sowings=BASE.sowings * 2), "given twice", id="sowing-twice"),
        pytest.param(replace(BASE, items=(Item("A", cutting=-1), Item("B"))), "cutting", id="negative-cutting"),
        pytest.param(replace(BASE, items=(Item("A", keep_loss=1.0), Item("B"))), "keeps 0", id="loses-all"),
        pytest.param(replace(BASE, items=(Item("A", stock=(1.0, 2.0)), Item("B"))), "stock keeps", id="old-stock"),
        pytest.param(replace(BASE, work=(1.0,)), "minutes of work", id="short-work"),
        pytest.param(sown(item="C"), "no item 'C'", id="unknown-item"),
        pytest.param(sown(week=-1), "counted from this week", id="past-sowing"),
        pytest.param(sown(cost=float("nan")), "cost", id="nan-cost"),
        pytest.param(sown(room=(Occupancy("attic", 0, 1),)), "'attic'", id="unknown-kind"),
        pytest.param(sown(harvest=replace(HEADS, items=0)), "no plant stands", id="stand-0"),
        pytest.param(sown(harvest=replace(HEADS, last=0)), "good until 0", id="past-before-ready"),
        pytest.param(sown(harvest=Cuts(())), "no cutting gives", id="no-cutting"),
        pytest.param(replace(BASE, promises=(Promise("p", "A", 9, 1, 1, 1),)), "week 9", id="late-promise"),
        pytest.param(replace(BASE, promises=(Promise("p", "A", 1, -1, 1, 1),)), "quantity", id="negative-promise"),
        pytest.param(
            replace(BASE, markets=(Market("m", "A", 1, (), 2.0, leftover=0.6),)), "more than its cutting", id="leftover"
        ),
        pytest.param(
            replace(BASE, markets=(Market("m", "A", 1, (Piece(1, 1, 1), Piece(1, 2, 1)), 2.0),)),
            "fall in worth",
            id="rising-pieces",
        ),
        pytest.param(replace(BASE, mixes=(Mix("A", (("A", 1.0),)),)), "is a mix itself", id="mix-of-itself"),
        pytest.param(replace(BASE, mixes=(Mix("A", ()),)), "no parts", id="empty-mix"),
        pytest.param(replace(BASE, rules=(Rule("wish"),)), "unknown rule", id="unknown-rule"),
        pytest.param(replace(BASE, rules=(Rule("keep", key="x"),)), "no standing planting", id="keep-unknown"),
        pytest.param(replace(BASE, rules=(Rule("meet", key="x"),)), "no promise", id="meet-unknown"),
        pytest.param(
            replace(BASE, standing=(Standing("s", "A", HEADS), Standing("s", "A", HEADS))), "given twice", id="standing"
        ),
    ],
)
def test_what_cannot_be_meant_is_refused_by_name(problem, words):
    with pytest.raises(ValueError, match=words):
        solve(problem)


def test_a_leftover_of_a_mix_may_be_worth_its_parts_cutting():
    items = (Item("A", cutting=0.5), Item("B", cutting=0.5), Item("mix", cutting=0.1))
    mixes = (Mix("mix", (("A", 0.5), ("B", 0.5))),)
    markets = (Market("m", "mix", 1, (Piece(2, 3.0, 1.0),), 3.0, leftover=0.6),)
    assert solve(replace(BASE, items=items, mixes=mixes, markets=markets)).status == "optimal"


@pytest.mark.parametrize(("down", "up"), [(0.6, 0.1), (0.1, 0.6), (-0.1, 0.1)])
def test_leeway_stays_between_nothing_and_all(down, up):
    items = (Item("A"), Item("B"), Item("mix"))
    mix = Mix("mix", (("A", 0.5), ("B", 0.5)), (Leeway("A", 1.0, down, up),))
    with pytest.raises(ValueError, match=r"mix mix: A of 0\.5 cannot go"):
        solve(replace(BASE, items=items, mixes=(mix,), markets=()))
