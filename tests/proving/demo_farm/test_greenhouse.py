"""Room, moves and cutting in the invented greenhouse, by hand."""

from datetime import date, timedelta

import pytest

from farmops.proving.demo_farm.facts import FINISHING, SHELF, VARIETY
from farmops.proving.demo_farm.greenhouse import Greenhouse

MONDAY = date(2026, 6, 1)
BUTTERHEAD = VARIETY["green butterhead"]


def grown(house: Greenhouse, days: int, since: date = MONDAY) -> date:
    """Grow so many days, moving on Mondays and Thursdays; the day reached."""
    for day in (since + timedelta(days=step) for step in range(1, days + 1)):
        house.grow(day)
        if day.weekday() in {0, 3}:
            house.move(day)
    return since + timedelta(days=days)


def test_room_is_filled_in_order_and_refused_whole():
    house = Greenhouse()
    # Three shelves of 8 tray places, 72 plants on each place.
    assert house.room(SHELF, 72, 600) == [("S-1", 576), ("S-2", 24)]
    assert house.room(SHELF, 72, 3 * 576 + 1) == []
    assert house.room(FINISHING, 1, 45) == [("F-01", 20), ("F-02", 20), ("F-03", 5)]


def test_no_sowing_without_room():
    house = Greenhouse()
    assert [house.sow(BUTTERHEAD, MONDAY, 16) for _ in range(4)] == [True, True, True, False]
    assert [planting.name for planting in house.plantings] == ["P26-001", "P26-002", "P26-003"]


def test_plants_go_from_shelf_to_nursery_to_finishing_and_are_cut():
    house = Greenhouse()
    house.sow(BUTTERHEAD, MONDAY, 1)
    day, planting = MONDAY, house.plantings[0]
    while planting.ready_on is None:
        day = grown(house, 1, day)
    # 56 days of late March, six per cent slower on average, in June's light, and up to two waits of three days.
    assert 45 <= (day - MONDAY).days <= 70
    assert [stay.stage for stay in planting.stays if stay.stage < 3] == [1, 2]
    ready = planting.alive
    assert planting.on_offer == ready
    assert house.cut("green butterhead", 5, day) == 5
    assert house.cut("green butterhead", 99, day) == ready - 5
    assert (planting.alive, planting.cleared) == (0, day)
    assert sum(house.picks.values()) == ready
    assert ready + sum(lost for _planting, _space, _day, lost, _cause in house.losses) == 36
    assert set(house.used.values()) == {0}


def test_the_oldest_is_cut_first():
    house = Greenhouse()
    house.sow(VARIETY["mizuna"], MONDAY, 1)
    house.sow(VARIETY["mizuna"], MONDAY, 1)
    for planting, standing in zip(house.plantings, (2.0, 3.0), strict=True):
        planting.standing, planting.cutting = standing, 1
    assert house.cut("mizuna", 2.5, MONDAY) == pytest.approx(2.5)
    assert [round(planting.standing, 6) for planting in house.plantings] == [0.0, 2.5]


def test_bunches_are_whole():
    house = Greenhouse()
    house.sow(VARIETY["leafy cilantro"], MONDAY, 1)
    house.plantings[0].standing = 7.9
    assert house.cut("leafy cilantro", 50, MONDAY) == 7


def test_heads_that_nobody_cuts_go_to_seed():
    house = Greenhouse()
    house.sow(BUTTERHEAD, MONDAY, 1)
    grown(house, 110)
    planting = house.plantings[0]
    assert planting.cleared == planting.ready_on + timedelta(days=BUTTERHEAD.stands_good)
    assert [cause for *_rest, cause in house.losses][-1] == "went to seed"


def test_what_finds_no_room_waits_and_is_thrown_away_in_the_end():
    house = Greenhouse()
    for _ in range(3):
        house.sow(BUTTERHEAD, MONDAY, 16)  # 1,728 plants for 576 nursery holes
    grown(house, 70)
    assert all(planting.waited > 24 for planting in house.plantings[1:])
    assert {cause for *_rest, cause in house.losses} >= {"too big, no room"}
    assert max(sum(stay.plants for stay in planting.stays if stay.stage == 2) for planting in house.plantings) <= 576
