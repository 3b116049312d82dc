"""Too much and too little of the weeks ahead, by hand."""

import pytest

from farmops.core.sizing import Block, Cuts, Heads, ItemWeek, Kept, Standing
from farmops.planning.views.weeks_ahead_words import ahead_in_words, weeks_ahead_in_words
from farmops.planning.weeks_ahead import Ahead, weeks_ahead


def item_week(week, **amounts):
    none = dict.fromkeys(
        ("ready", "harvest", "left", "kept", "carried_in", "made", "into_mixes", "promised", "met", "market"), 0.0
    )
    return ItemWeek("head", week, **{**none, "expected_sales": 0.0, **amounts})


HEADS = Standing("P1", "head", Heads(1, 2, 40.0, "channel", 1.0))
CUTS = Standing("P2", "leaf", Cuts((Block(((1, 30.0),)), Block(((3, 24.0),)))))


@pytest.mark.parametrize(
    ("items", "asked", "found"),
    [
        # 40 ready, 20 cut, 10 left standing: 10 of 40 go over, more than 15 %
        pytest.param([item_week(1, ready=40.0, harvest=20.0, left=10.0)], {}, [(1, 10.0, 0.0, 0.0, 40.0)], id="over"),
        # the 10 left from the week before, none cut: all go over
        pytest.param(
            [item_week(1, left=10.0, ready=10.0), item_week(2)], {}, [(2, 10.0, 0.0, 0.0, 10.0)], id="left over"
        ),
        # 4 heads are eaten at home
        pytest.param([item_week(1, ready=4.0)], {}, [], id="few"),
        # 20 asked for and 10 promised, 4 met and 6 taken to market: 20 of 30 missing
        pytest.param(
            [item_week(1, promised=10.0, met=4.0, market=6.0, ready=10.0, harvest=10.0)],
            {("head", 1): 20.0},
            [(1, 0.0, 0.0, 20.0, 30.0)],
            id="missing",
        ),
        # 16 of 30 there: more than half
        pytest.param(
            [item_week(1, promised=10.0, met=10.0, market=6.0, ready=16.0, harvest=16.0)],
            {("head", 1): 20.0},
            [],
            id="half is there",
        ),
        pytest.param([], {("head", 1): 20.0}, [(1, 0.0, 0.0, 20.0, 20.0)], id="nothing stands"),
        pytest.param([], {("head", 7): 20.0}, [], id="beyond the six weeks"),
    ],
)
def test_too_much_and_too_little(items, asked, found):
    assert weeks_ahead(items, [], [], asked) == [Ahead("head", *one) for one in found]


def test_what_the_plan_gives_up_of_a_planting_is_too_much():
    kept = [Kept("head", (0.25,), "P1"), Kept("leaf", (1.0, 1.0, 0.5), "P2")]
    assert weeks_ahead([], [HEADS, CUTS], kept, {}) == [
        Ahead("head", 1, 30.0, 30.0, 0.0, 30.0),
        Ahead("leaf", 3, 12.0, 12.0, 0.0, 12.0),
    ]


def test_all_is_kept_where_nothing_is_said():
    assert weeks_ahead([], [HEADS, CUTS], [], {}) == []


FACTS = {
    "item": "butterhead lettuce",
    "monday": "2026-09-14",
    "of": 104.25,
    "unit": "head",
    "over": 0.0,
    "given_up": 0.0,
    "missing": 62.2,
}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (
            {"too_late": True, "waits": ["Inn", "Thursday box"]},
            (
                "butterhead lettuce: about 62 of 104 heads wanted are missing",
                "Too late to sow for it: tell Inn, Thursday box, buy in, or offer something else.",
            ),
        ),
        (
            {"too_late": False, "waits": []},
            (
                "butterhead lettuce: about 62 of 104 heads wanted are missing",
                "There is time to sow, but the room earns more otherwise: see what more room would earn.",
            ),
        ),
        (
            {"over": 36.0, "missing": 0.0, "buyers": ["Inn"]},
            (
                "butterhead lettuce: about 36 of 104 heads find nobody",
                "Offer them to Inn and others, put them in the box, or clear early what stands in the way.",
            ),
        ),
        (
            {"over": 36.0, "given_up": 36.0, "missing": 0.0},
            (
                "butterhead lettuce: the plan clears about 36 of 104 heads early",
                "Their places earn more with something else. Leave them standing if you know better.",
            ),
        ),
    ],
)
def test_words(said, words):
    assert ahead_in_words({**FACTS, "buyers": [], "waits": [], "too_late": True, **said}) == ("week 38", *words)


def test_weeks_one_after_another_stand_as_one_line():
    facts = {**FACTS, "buyers": [], "waits": [], "too_late": True}
    mondays = ["2026-09-07", "2026-09-14", "2026-09-28"]
    ahead = [{**facts, "monday": monday, "of": 40.0, "missing": 30.0} for monday in mondays]
    assert [(when, what) for when, what, _do in weeks_ahead_in_words(ahead)] == [
        ("weeks 37–38", "butterhead lettuce: about 60 of 80 heads wanted are missing"),
        ("week 40", "butterhead lettuce: about 30 of 40 heads wanted are missing"),
    ]
