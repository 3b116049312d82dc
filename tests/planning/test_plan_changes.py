"""Each change of the sowing list names the fact that caused it, and an ordinary market day changes next to nothing."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from farmops.core.sizing import solve
from farmops.exchange.sheets.read import read_folder
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Item, SpaceSpell
from farmops.growing.plan_sowing import plan_sowing
from farmops.planning.counting_on import CountingOn
from farmops.planning.plan_changes import changes_of
from farmops.planning.sowing import plan_sowings
from farmops.planning.views.plan_change_words import changes_in_words
from farmops.selling.orders import add_order
from tests.growing.beds import saying
from tests.planning.small_farm import a_planting
from tests.planning.sown_farm import TODAY, a_market_day, a_sown_farm, the_quay, worked_out
from tests.planning.wanted import a_buyer

DEMO = Path(__file__).resolve().parents[2] / "fixtures/demo/sheets"
MONDAY_OF_DEMO = date(2026, 9, 7)


def solved(problem, settings):
    return solve(problem, replace(settings, explain=False))


def proposed(plan):
    return {(one.variety.variety, one.week): one.parts for one in plan.lines if one.is_whole}


@pytest.mark.parametrize("market_day", [(date(2026, 9, 2), "Mill Yard"), (date(2026, 9, 5), "Quillby Green")])
def test_an_ordinary_market_day_changes_no_accepted_sowing_and_at_most_two_lines(market_day):
    rows = read_folder(DEMO)
    before = replace(rows, market_days=tuple(one for one in rows.market_days if (one.date, one.market) != market_day))
    assert 10 <= len(rows.market_days) - len(before.market_days) <= 16
    first = proposed(plan_sowings(before, MONDAY_OF_DEMO, solver=CountingOn(solved, {}, {})))
    (accepted, *_rest) = sorted(place for place, parts in first.items() if place[1] == 0 and parts >= 1)
    counting = CountingOn(solved, {accepted: first[accepted]}, first)
    second = proposed(plan_sowings(rows, MONDAY_OF_DEMO, solver=counting))
    changed = [place for place in {*first, *second} if first.get(place, 0) != second.get(place, 0)]
    assert (first[accepted], len(changed) <= 2) == (second[accepted], True), changed


def reasons(make_it_so, places=720):
    """What the list says of its changes after something was written down, each reason once."""
    if places:
        SpaceSpell.objects.update(places=places)
    first = worked_out()
    assert first.answer["changes"] == []
    make_it_so()
    return sorted({why.partition(": ")[2] for _where, why in changes_in_words(worked_out().answer)})


def a_great_saturday():
    a_market_day(the_quay(), Item.objects.get(), date(2026, 5, 3), 160, 500, None)


def a_great_order():
    order = {"typed": "60", "weekday": 4, "first_on": TODAY, "price": "3"}
    add_order(saying=saying("order"), buyer=a_buyer("Bistro", weekday=4), item=Item.objects.get(), **order)


def less_room():
    SpaceSpell.objects.update(places=36)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("make_it_so", "starts", "ends"),
    [
        pytest.param(a_great_saturday, "Quay asks for about ", "before (newest day: Sun 3 May)", id="asked"),
        pytest.param(
            a_great_order, "promised to Bistro: about ", " butterhead lettuce a week, 0 before", id="promised"
        ),
    ],
)
def test_the_fact_that_changed_a_sowing_is_named(make_it_so, starts, ends):
    a_sown_farm()
    (reason,) = reasons(make_it_so)
    assert (reason[: len(starts)], reason[-len(ends) :]) == (starts, ends)


@pytest.mark.django_db
def test_a_crop_that_is_lost_is_named():
    variety, _item = a_sown_farm()
    stay = a_planting(variety, sown=date(2026, 5, 3), plants=72).stays.get()
    (reason,) = reasons(lambda: lose_plants(saying=saying("lost"), stay=stay, plants=70))
    assert reason.startswith("coming from what stands: about ")


@pytest.mark.django_db
def test_ones_own_word_is_no_change_of_the_lists():
    variety, _item = a_sown_farm()
    started = reasons(
        lambda: plan_sowing(saying=saying("start"), variety=variety, plants=144, sow_on=TODAY), places=None
    )
    assert started == ["it follows from what you chose, planned or sowed"]


def test_answers_of_before_facts_were_kept_say_nothing():
    assert changes_of({"now": []}, {"now": []}, set(), set()) == []
