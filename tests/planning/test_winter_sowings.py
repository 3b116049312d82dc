"""The year's sowings: over sixty weeks, agreeing with the sowing list, with what is moved, sold and left over."""

from datetime import date, timedelta

import pytest

from farmops.farm.models import ClosedDays, Farm
from farmops.growing.models import Item, Planting, Schedule, Stage
from farmops.planning.rows import FaultsFound
from farmops.planning.sowing_list_choice import choose_sowing
from farmops.planning.stored_answers import stored
from farmops.planning.winter_sowings import work_out_year
from farmops.selling.set_price import close_outlet
from tests.growing.beds import saying
from tests.planning.small_farm import a_planting, moved
from tests.planning.sown_farm import MONDAY, NOW, TODAY, a_market_day, a_sown_farm, quick, the_quay, worked_out
from tests.selling.orders import a_buyer, an_order

pytestmark = pytest.mark.django_db


def year(today=TODAY, now=NOW):
    return work_out_year(today, now, solver=quick)


def weekly(rows):
    found = {}
    for monday, _variety, parts, *_rest in rows:
        found[monday] = round(found.get(monday, 0) + parts, 2)
    return found


def test_sixty_weeks_whole_in_the_first_twelve():
    a_sown_farm()
    kept = year()
    answer = kept.answer
    assert (answer["monday"], answer["end"], answer["first_not_whole"]) == ("2026-05-04", "2027-06-28", "2026-07-27")
    assert stored("year").answer == answer
    assert answer["status"] in {"optimal", "gap"}
    assert 0 <= answer["gap"] <= 0.01
    assert {one[4] for one in answer["sowings"] if one[0] < "2026-07-27"} == {True}
    assert all(one[2] == int(one[2]) for one in answer["sowings"] if one[4])
    # Half a year ends in November; what is sold in spring is sown in winter.
    assert [one[0] for one in answer["sowings"] if one[0] >= "2027-01-01"] != []
    assert answer["last_sale"] == "2027-06-26"
    assert [one[3] for one in answer["sowings"]] == [pytest.approx(one[2] * 72, abs=0.01) for one in answer["sowings"]]


def test_its_first_week_is_what_the_sowing_list_says():
    a_sown_farm()
    list_says = {one["variety"]: one["parts"] for one in worked_out().answer["now"]}
    now = {one[1]: one[2] for one in year().answer["sowings"] if one[0] == MONDAY.isoformat()}
    assert now == list_says == {"green butterhead": 1.0}


def test_what_was_chosen_on_the_list_holds_here_too():
    variety, _item = a_sown_farm()
    choose_sowing(saying=saying("three"), variety=variety, week=MONDAY, parts=3)
    assert weekly(year().answer["sowings"])["2026-05-04"] == 3


def test_each_sowing_is_moved_on_when_its_stage_is_over():
    a_sown_farm()
    Farm.objects.update(dark_pace_percent=100)
    answer = year().answer
    sowings = {(one[0], one[2]) for one in answer["sowings"]}
    assert {(one[5], one[2]) for one in answer["moves"]} == sowings
    # 21 days on the shelf, nine in ten live: from Monday to Monday.
    for monday, variety, parts, plants, kind, sown in answer["moves"]:
        assert (date.fromisoformat(monday) - date.fromisoformat(sown)).days == 21
        assert (variety, kind, plants) == ("green butterhead", "channel", pytest.approx(parts * 72 * 0.9, abs=0.01))


def test_what_stands_is_moved_on_too():
    variety, _item = a_sown_farm()
    a_planting(variety, sown=date(2026, 4, 20))
    (move,) = year().answer["standing"]
    # 21 days from 20 April, 72 plants of which nine in ten live, one on a place.
    assert move == ["2026-05-11", "green butterhead", "P26-001", "channel", 64.8]


def test_what_is_sold_is_promised_or_taken_to_market():
    _variety, item = a_sown_farm()
    an_order(a_buyer(), item, "12", first_on=date(2026, 9, 4), last_on=date(2026, 9, 4))
    sold = {monday: (met, taken) for monday, _item, met, taken in year().answer["sold"]}
    assert sold["2026-08-31"][0] == 12
    assert sold["2026-09-07"][0] == 0
    assert sold["2026-09-07"][1] > 20


def test_nothing_is_sown_for_after_the_last_selling_day():
    a_sown_farm()
    ClosedDays.objects.create(first_on=date(2026, 10, 1), last_on=date(2027, 12, 31))
    answer = year().answer
    assert answer["last_sale"] == "2026-09-26"
    assert max(one[0] for one in answer["sowings"]) < "2026-09-26"


def test_without_a_farm_nothing_is_worked_out():
    with pytest.raises(FaultsFound):
        year()
    assert stored("year") is None


@pytest.mark.case("G10")
def test_a_market_closed_after_sowing_leaves_a_surplus_that_is_told_and_the_planting_where_it_is():
    # goodsonsgardens.com agreement (none 23-29 December); our numbers: market Saturdays 8-13, closed on 26 Dec 2026,
    # 60 heads due on 22 December that stand good for 10 days, so not until 2 January.
    variety, item = a_sown_farm(days=())
    Farm.objects.update(dark_pace_percent=100)
    Schedule.objects.update(stands_good_days=10)
    Stage.objects.update(survive_percent=100)
    Item.objects.update(keeps_days=0)
    planting = a_planting(variety, sown=date(2026, 10, 27), plants=60)
    moved(planting.stays.get(), "N-3", 60, date(2026, 11, 17))
    for week in range(15):
        held_on = date(2026, 9, 5) + timedelta(weeks=week)
        a_market_day(the_quay(), item, held_on, 60, back=2 + week % 4)
    monday, now = date(2026, 12, 21), NOW.replace(month=12, day=21)
    open_says = year(monday, now).answer
    taken = {one[0]: one[3] for one in open_says["sold"]}
    assert (taken["2026-12-21"], open_says["spare"]) == (60.0, [])
    close_outlet(saying=saying("xmas"), outlet=the_quay(), first_on=date(2026, 12, 26), last_on=date(2026, 12, 26))
    closed_says = year(monday, now).answer
    assert closed_says["spare"] == [["2026-12-21", "butterhead lettuce", 60.0]]
    assert [one[0] for one in closed_says["sold"] if one[0] < "2027-01-11"] == []
    assert [(one.code, one.state, one.plants, one.cleared_on) for one in Planting.objects.all()] == [
        ("P26-001", "done", 60, None)
    ]
