"""What lies in the cold room."""

from datetime import timedelta

import pytest

from farmops.growing.models import Item
from farmops.harvest.lot_of_the_day import stop_lot
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.stock import in_the_cold_room
from farmops.journal.undo import undo
from tests.harvest.picks import NOW, TODAY, a_planting, lb, pick, saying

pytestmark = pytest.mark.django_db


def on(days_ago):
    return {"day": TODAY - timedelta(days=days_ago)}


def move(entry, amount, **other):
    StockMove.objects.create(**{"moved_on": TODAY, "amount": amount, "why": "delivered", "entry": entry, **other})


def test_it_lies_there_by_variety_and_unit_with_lots_oldest_first():
    basil, lettuce = a_planting("B-1", variety="sweet basil"), a_planting("L-1")
    pick("new", basil, weight="1.1 kg")
    pick("old", basil, weight="4", said=on(3))
    pick("heads", lettuce, count="38", said=on(5))
    old = Lot.objects.get(planting=basil, made_on=TODAY - timedelta(days=3))
    move(basil.entry, -lb("1.5"), lot=old, variety=basil.variety, unit="lb")
    move(basil.entry, -lb("0.5"), variety=basil.variety, unit="lb")
    heads, weight = in_the_cold_room(TODAY)
    assert (heads.name, heads.unit, heads.amount, heads.oldest_on) == (
        "green butterhead",
        "head",
        38,
        TODAY - timedelta(days=5),
    )
    assert (weight.name, weight.unit, weight.amount) == ("sweet basil", "weight", lb("2") + 11 * 10**11)
    assert [(lot.amount, lot.age_days) for lot in weight.lots] == [
        (lb("2.5"), 3),
        (11 * 10**11, 0),
        (-lb("0.5"), None),
    ]


def test_what_is_packed_is_the_item_and_what_is_gone_is_not_shown():
    basil = a_planting("B-1", variety="sweet basil")
    bag = Item.objects.create(name="basil bag", unit="bag", keeps_days=5)
    pick("one", basil, weight="4")
    lot = Lot.objects.get()
    move(basil.entry, -lb(4), lot=lot, variety=basil.variety, unit="lb", why="packed")
    move(basil.entry, 40, lot=lot, item=bag, variety=basil.variety, unit="bag", why="packed")
    (bags,) = in_the_cold_room(TODAY)
    assert (bags.name, bags.variety, bags.item, bags.amount, bags.oldest_on) == ("basil bag", None, bag.pk, 40, TODAY)


def test_a_stopped_lot_lies_there_and_may_not_go_out():
    one, two = a_planting("L-1"), a_planting("L-2")
    pick("one", one, weight="4")
    pick("two", two, weight="6")
    stop_lot(one.entry, Lot.objects.get(planting=one), NOW, "glass broken")
    (lettuce,) = in_the_cold_room(TODAY)
    assert (lettuce.amount, lettuce.may_go_out) == (lb(10), lb(6))
    assert [(lot.is_stopped, lot.stopped_because) for lot in lettuce.lots] == [(True, "glass broken"), (False, "")]


def test_what_was_taken_back_and_what_comes_tomorrow_does_not_lie_there():
    planting = a_planting()
    undo(saying("undo", corrects=pick("one", planting, weight="4").entry))
    move(planting.entry, lb(1), variety=planting.variety, unit="lb", moved_on=TODAY + timedelta(days=1))
    assert in_the_cold_room(TODAY) == []


@pytest.mark.parametrize("rows", [3, 300])
def test_one_question_however_much_lies_there(rows, django_assert_num_queries):
    planting = a_planting()
    facts = {"kind": "harvest", "made_on": TODAY, "entry": planting.entry}
    lots = Lot.objects.bulk_create(Lot(code=f"A-{number}", **{**facts, "kind": "received"}) for number in range(rows))
    StockMove.objects.bulk_create(
        StockMove(
            lot=lot,
            variety=planting.variety,
            moved_on=TODAY,
            amount=1,
            unit="head",
            why="picked",
            cut_on=TODAY,
            entry=planting.entry,
        )
        for lot in lots
    )
    with django_assert_num_queries(1):
        (lying,) = in_the_cold_room(TODAY)
    assert (lying.amount, len(lying.lots)) == (rows, rows)


def test_what_is_older_than_anything_that_lies_there_is_not_added_up():
    """A hundred and eighty days are the limit: so the room is as quick after ten years as after one."""
    planting = a_planting(sown_on=TODAY - timedelta(days=240))
    days = {days: TODAY - timedelta(days=days) for days in (180, 181)}
    for number, day in days.items():
        pick(f"cut {number}", planting, weight="1", said={"day": day})
    assert [(one.amount, one.oldest_on) for one in in_the_cold_room(TODAY)] == [(lb(1), days[180])]
