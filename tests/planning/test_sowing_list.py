"""The plan from the farm's tables, with what was chosen or started counted on."""

from datetime import date, timedelta

import pytest

from farmops.growing.models import Planting, SpaceSpell
from farmops.growing.plan_sowing import plan_sowing
from farmops.planning.counting_on import CountingOn, live_choices, proposed_before, with_late_plans
from farmops.planning.from_tables import farm_rows
from farmops.planning.horizon import horizon_from
from farmops.planning.sowing import plan_sowings
from farmops.planning.sowing_list import this_monday
from farmops.planning.sowing_list_choice import choose_sowing
from farmops.planning.stored_answers import stored
from farmops.planning.views.sowing_list_page import sowing_list
from farmops.selling.at_stall import sold_out
from farmops.selling.models import MarketLine, Outlet
from tests.growing.beds import saying
from tests.planning.sown_farm import MONDAY, NOW, TODAY, a_market_day, a_sown_farm, quick, the_quay, worked_out

pytestmark = pytest.mark.django_db


def parts_now(kept):
    return {one["variety"]: one["parts"] for one in kept.answer["now"]}


def put_right(held_on, minute):
    line = MarketLine.objects.get(market_day__held_on=held_on)
    said = saying(f"{held_on} {minute}", day=held_on)
    return sold_out(saying=said, line=line, minute=minute, puts_right=True)


def test_a_sold_out_time_put_right_changes_the_line_it_leads_to():
    a_sown_farm()
    before = worked_out()
    assert before.answer["before"] is None
    done = put_right(date(2026, 4, 25), 540)
    assert done.entry.said == "butterhead lettuce sold out at 09:00"
    old = sowing_list(stored("sowing"), TODAY)
    assert (old.kept.age_in_words, old.lines[0].was) == ("1 entry since: work it out again.", "")
    after = worked_out()
    (was,), (now,) = ([one["why"]["wanted"] for one in kept.answer["now"]] for kept in (before, after))
    assert now > was + 1
    (line,) = sowing_list(after, TODAY).lines
    shown = [f"{round(wanted, 2):.2f}".rstrip("0").rstrip(".") for wanted in (was, now)]
    assert line.was == f"wanted {shown[0]} → {shown[1]} heads"


def test_a_line_that_is_gone_is_named():
    a_sown_farm()
    worked_out()
    Outlet.objects.update(last_on=TODAY)
    page = sowing_list(worked_out(), TODAY)
    assert (page.lines, page.gone) == ((), ("green butterhead (1)",))


@pytest.mark.parametrize(("chosen", "planned"), [(2, {"green butterhead": 2}), (None, {"green butterhead": 0.0})])
def test_what_was_chosen_is_held_to_when_it_is_worked_out_again(chosen, planned):
    variety, _item = a_sown_farm()
    assert parts_now(worked_out()) == {"green butterhead": 1}
    choose_sowing(saying=saying("mine"), variety=variety, week=MONDAY, parts=chosen, proposed=1.0)
    assert parts_now(worked_out()) == planned
    (line,) = sowing_list(stored("sowing"), TODAY).lines
    assert (line.proposed, line.chosen.parts) == (1.0, chosen)


@pytest.mark.parametrize(("parts", "short"), [(1, "61.56 heads"), (None, "123.12 heads"), (4, "0 heads")])
def test_ones_own_number_leaves_the_sum_as_it_was_and_says_what_stays_short(parts, short):
    variety, _item = a_sown_farm(days=((150, 700, None), (150, 700, None), (150, 700, None)))
    SpaceSpell.objects.update(places=36)
    (before,) = sowing_list(worked_out(), TODAY).lines
    choose_sowing(saying=saying("mine"), variety=variety, week=MONDAY, parts=parts, proposed=2.0)
    for _again in range(2):
        (line,) = sowing_list(worked_out(), TODAY).lines
        assert (line.reason, line.uses, line.was) == (before.reason, before.uses, "")
        assert line.sum[-1] == ("Short with yours", short)


def test_more_than_fits_is_let_go_of_and_said():
    variety, _item = a_sown_farm()
    choose_sowing(saying=saying("mine"), variety=variety, week=MONDAY, parts=40, proposed=1.0)
    kept = worked_out()
    assert (kept.answer["let_go"], kept.answer["status"] == "infeasible", parts_now(kept)["green butterhead"] < 40) == (
        True,
        False,
        True,
    )


def test_what_was_started_is_not_proposed_away():
    variety, _item = a_sown_farm()
    worked_out()
    plan_sowing(saying=saying("start"), variety=variety, plants=144, sow_on=TODAY)
    assert parts_now(worked_out()) == {"green butterhead": 2}


def test_a_plan_of_last_week_that_waits_still_is_to_be_sown_now():
    variety, _item = a_sown_farm()
    plan_sowing(saying=saying("start"), variety=variety, plants=144, sow_on=TODAY - timedelta(days=6))
    assert [one.sown for one in with_late_plans(farm_rows(), TODAY).plantings] == [TODAY]
    assert parts_now(worked_out()) == {"green butterhead": 2}


def test_what_was_proposed_beside_it_stays_unless_a_change_pays():
    """All that was proposed counts as accepted; a part that nobody noted a cost of costs more than a change."""
    variety, _item = a_sown_farm()
    worked_out()
    (later, *_rest) = stored("sowing").answer["later"]
    week = (date.fromisoformat(later["monday"]) - MONDAY).days // 7
    asked, prices = [], []

    def noting(problem, settings):
        asked.append(problem)
        prices.append(settings.change_price)
        return quick(problem, settings)

    place = (variety.name, week)
    held = {(variety.name, 1): 0.0, place: 2.0}
    before = proposed_before(stored("sowing"), horizon_from(TODAY))
    assert (week, before) == (2, {(variety.name, week): 1 for week in (0, 2, 4, 6, 8, 10)})
    counting = CountingOn(noting, held, before)
    plan_sowings(farm_rows(), TODAY, solver=counting)
    assert [(one.week, one.parts) for one in asked[0].accepted] == [(0, 1), (2, 2.0), (4, 1), (6, 1), (8, 1), (10, 1)]
    assert ({one.cost for one in asked[0].sowings}, prices) == ({1.25}, [1.0])
    assert [(one.kind, one.week, one.amount) for one in asked[0].rules] == [
        ("sow_at_most", 1, 0),
        ("sow_at_most", week, 2),
        ("sow_at_least", 1, 0),
        ("sow_at_least", week, 2),
    ]


def test_the_last_word_on_a_line_counts():
    variety, _item = a_sown_farm()
    for number, parts in enumerate((3, None, 2)):
        choose_sowing(saying=saying(f"choice {number}"), variety=variety, week=MONDAY, parts=parts)
    assert {place: one.parts for place, one in live_choices(MONDAY).items()} == {(variety.name, MONDAY): 2}
    assert live_choices(MONDAY + timedelta(days=7)) == {}


def test_market_days_of_more_than_two_years_ago_are_left_alone():
    _variety, item = a_sown_farm()
    first = worked_out().answer
    a_market_day(the_quay(), item, date(2023, 5, 6), 500)
    again = worked_out().answer
    assert {**again, "before": None} == first


def test_what_was_sown_this_week_stands_and_is_not_proposed_again():
    variety, _item = a_sown_farm()
    worked_out()
    done = plan_sowing(saying=saying("start"), variety=variety, plants=72, sow_on=TODAY)
    Planting.objects.update(state="done")
    kept = worked_out()
    assert (kept.answer["sown"], parts_now(kept)) == ([done.answer["code"]], {})
    page = sowing_list(kept, TODAY)
    assert (page.lines, page.sown, page.gone) == ((), (f"{done.answer['code']} green butterhead 1 × tray",), ())


@pytest.mark.case("G12")
def test_the_week_that_both_years_share_has_one_name():
    # "31 Dec and 1 Jan are both 2026-W53; label with ISO year"
    a_sown_farm()
    names = []
    for today in (date(2026, 12, 31), date(2027, 1, 1), date(2027, 1, 2)):
        kept = worked_out(today, NOW.replace(year=today.year, month=today.month, day=today.day))
        names.append((kept.answer["monday"], sowing_list(kept, today).week))
    assert names == [("2026-12-28", "week 53"), ("2026-12-28", "week 53"), ("2027-01-04", "week 1")]
    assert this_monday(date(2027, 1, 1)) == date(2026, 12, 28)
