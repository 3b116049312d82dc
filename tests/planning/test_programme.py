"""A farm's rows as the weekly programme."""

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta

import pytest

from farmops.core.sizing import Cuts, Heads, Promise, SeedStock, Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.horizon import horizon_from, products_of
from farmops.planning.needs import needs_of
from farmops.planning.programme import places_on, programme_of
from farmops.planning.standing import growing_of
from tests.exchange.sheets.small_farm import write_farm

MONDAY = date(2026, 5, 4)


def programme(folder, as_of=MONDAY, **sheets):
    rows = read_folder(write_farm(folder, **sheets))
    horizon, products = horizon_from(as_of), products_of(rows)
    growing = growing_of(rows, as_of)
    return programme_of(rows, growing, products, needs_of(rows, products, horizon), horizon)


@pytest.mark.parametrize(
    ("variety", "space", "plants"), [("green butterhead", "N-1", 36), ("mizuna", "B-1", 128), ("curly kale", "N-1", 72)]
)
def test_a_planting_sown_today_stands_as_a_sowing_of_today_would(tmp_path, variety, space, plants):
    # With growth as in the schedule, what is planned and what is then recorded must be the same to the week.
    found = programme(
        tmp_path,
        plantings=f"planting,variety,sown,plants\nP-1,{variety},2026-05-04,{plants}\n",
        stays=f"planting,space,plants,from\nP-1,{space},{plants},2026-05-04\n",
    )
    (standing,) = found.problem.standing
    sowing = next(one for one in found.problem.sowings if one.way == variety and one.week == 0)

    def room(one):
        taken = defaultdict(float)
        rooms = [one.room] if isinstance(one.harvest, Heads) else [one.room, *(b.room for b in one.harvest.blocks)]
        for occupancy in (occupancy for part in rooms for occupancy in part):
            if occupancy.week < found.problem.weeks:
                taken[occupancy.kind, occupancy.week] += occupancy.places
        return {key: round(places, 6) for key, places in taken.items()}

    assert standing.item == sowing.item
    if isinstance(sowing.harvest, Heads):
        assert replace(standing.harvest, items=1, places=1) == replace(sowing.harvest, items=1, places=1)
        assert standing.harvest.items == pytest.approx(sowing.harvest.items)
        assert standing.harvest.places == pytest.approx(sowing.harvest.places)
    else:
        assert isinstance(standing.harvest, Cuts)
        assert [(week, pytest.approx(items)) for block in sowing.harvest.blocks for week, items in block.harvests] == [
            harvest for block in standing.harvest.blocks for harvest in block.harvests
        ]
    assert room(standing) == room(sowing)


def test_a_planting_that_gives_nothing_more_still_takes_its_places_this_week(tmp_path):
    found = programme(
        tmp_path,
        date(2026, 7, 6),
        plantings="planting,variety,sown,plants\nP-1,green butterhead,2026-05-04,18\n",
        stays="planting,space,plants,from\nP-1,F-1,18,2026-05-18\n",
    )
    channels = next(space for space in found.problem.spaces if space.kind == "channel")
    assert (found.problem.standing, channels.places[:3]) == ((), (36.0, 54.0, 54.0))


def test_places_that_come_and_go_count_by_their_days(tmp_path):
    spaces = """
        space,kind,places,from,to
        N-1,nursery,144,,
        F-1,channel,18,,2026-05-20
        F-2,channel,18,2026-06-01,
        B-1,bench,6,,
        Bed 1,bed,60,,
        """
    rows = read_folder(write_farm(tmp_path, spaces=spaces))
    days = [date(2026, 5, 19), date(2026, 5, 20), date(2026, 6, 1)]
    assert [places_on(rows, "channel", day) for day in days] == [18, 0, 18]
    channels = next(space for space in programme(tmp_path, spaces=spaces).problem.spaces if space.kind == "channel")
    assert channels.places[:5] == (18.0, 18.0, 0.0, 0.0, 18.0)


def test_nothing_is_sown_outside_its_dates_or_to_be_ready_after_the_last_selling_day(tmp_path):
    farm = "name,latitude,season_last_day\nLow Meadow,42.4,2026-06-30\n"
    varieties = (
        "variety,crop,part_plants,sow_first_day,sow_last_day\ngreen butterhead,lettuce,36,05-11,\nmizuna,m,128,,\n"
    )
    varieties += "red oakleaf,lettuce,36,,\ncurly kale,kale,36,,\n"
    found = programme(tmp_path, farm=farm, varieties=varieties)
    weeks = sorted(one.week for one in found.problem.sowings if one.way == "green butterhead")
    # 35 days: sown on 25 May it is ready on 29 June; a week later on 6 July.
    assert weeks == [1, 2, 3]
    assert (MONDAY + timedelta(weeks=3), max(one.week for one in found.problem.sowings if one.way == "mizuna")) == (
        date(2026, 5, 25),
        4,
    )


@pytest.mark.case("G10")
def test_the_last_sowing_is_ready_by_the_last_selling_day(tmp_path):
    # goodsonsgardens.com agreement; our numbers: season to 19 December, 35 days and no dark weeks.
    farm = "name,latitude,season_first_day,season_last_day,dark_pace\nLow Meadow,42.4,2026-05-09,2026-12-19,100\n"
    monday = date(2026, 10, 5)
    found = programme(tmp_path, as_of=monday, farm=farm)
    last = max(one.week for one in found.problem.sowings if one.way == "green butterhead")
    # Sown on 9 November it is ready on 14 December; a week later on 21 December.
    assert monday + timedelta(weeks=last) == date(2026, 11, 9)


def test_sowings_noted_as_planned_are_the_plan_accepted_before(tmp_path):
    found = programme(
        tmp_path,
        plantings="planting,variety,sown,plants,state\nP-9,green butterhead,2026-05-11,72,planned\n",
    )
    assert [(one.item, one.week, one.parts, one.way) for one in found.problem.accepted] == [
        ("butterhead", 1, 2.0, "green butterhead")
    ]


def test_what_is_sown_before_an_order_could_come_takes_the_seed_that_was_counted(tmp_path):
    lots = """
        seed_lot,variety,received,seeds
        L-1,mizuna,2026-01-10,0
        L-2,mizuna,2026-04-02,300
        L-3,mizuna,2026-05-05,4000
        L-4,curly kale,2026-02-01,0
        L-5,green butterhead,2026-02-01,500
        L-6,green butterhead,2026-02-01,
        """
    # L-3 comes tomorrow; kale was sown to the last seed, so more was bought; of L-6 nobody knows.
    problem = programme(tmp_path, seed_lots=lots).problem
    assert problem.seeds == (SeedStock("mizuna", 300.0),)
    taken = {(one.way, one.week): (one.seed, one.seeds) for one in problem.sowings if one.week < 3}
    assert [taken["mizuna", week] for week in range(3)] == [("mizuna", 128.0), ("mizuna", 128.0), ("", 0.0)]
    assert taken["green butterhead", 0] == taken["curly kale", 0] == ("", 0.0)


def test_no_more_is_sown_this_week_and_next_than_there_is_seed(tmp_path):
    lots = "seed_lot,variety,seeds\nL-1,green butterhead,30\n"
    held = programme(tmp_path, seed_lots=lots).problem
    first = next(one for one in held.sowings if one.way == "green butterhead")
    order = Promise("order", first.item, first.harvest.ready, 300.0, 4.0, 4.0)
    held = replace(held, promises=(order,))
    free = replace(held, seeds=())
    settings = Settings(gap=0.0, whole_weeks=None, explain=False)

    def plants(problem):
        sizes = {(one.way, one.week): one.seeds for one in problem.sowings if one.seed}
        lines = solve(problem, settings).sowings
        return sum(one.parts * sizes[one.way, one.week] for one in lines if (one.way, one.week) in sizes)

    assert (plants(free), plants(held)) == (36.0, 0)  # half a tray of 36, and 30 seeds
