"""The evening: unknown, none and so much; put right without losing what others noted."""

from datetime import timedelta

import pytest

from farmops.harvest.models import StockMove
from farmops.harvest.stock import in_the_cold_room
from farmops.journal.models import Change, Entry
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from farmops.people.models import Person
from farmops.selling.came_back import CameBack, came_back, in_short
from farmops.selling.models import MarketDay, MarketFact
from tests.journal.entries import an_entry
from tests.selling.market import NOON, SATURDAY, a_line, an_item, back, in_stock, known, loaded, saying

pytestmark = pytest.mark.django_db


def lying():
    return [
        (one.name, [(lot.code, lot.amount, lot.age_days) for lot in one.lots]) for one in in_the_cold_room(SATURDAY)
    ]


def several(key, said, line, **other):
    return came_back(saying=saying(key), market_day=line.market_day, said=said, **other)


def test_what_is_taken_home_lies_there_again_with_the_freshest_lots_and_their_age():
    line = a_line()
    in_stock(line.item, 20, days_ago=4, code="old")
    in_stock(line.item, 40, days_ago=1, code="new")
    loaded(line, "60")
    said = back(line, home=3, donated=8, compost=2).entry.said
    assert said == ("Came back from Quillby Green, Sat 2 May 2026: sweet basil 3 taken home, 8 given away, 2 compost")
    assert lying() == [("sweet basil", [("new", 3, 1)])]
    assert (known(line).sold, known(line).balance.on_table) == (47, 60)


def test_known_lots_count_as_sold_before_those_nobody_knows():
    line = a_line()
    in_stock(line.item, 4, code="A")
    loaded(line, "10")
    back(line, home=8)
    moves = StockMove.objects.filter(why="came back").order_by("pk")
    assert [(move.lot.code if move.lot else None, move.amount) for move in moves] == [(None, 6), ("A", 2)]
    assert lying() == [("sweet basil", [("A", 2, 1)])]


def test_given_away_is_no_second_move_of_stock():
    line = a_line()
    in_stock(line.item, 60)
    loaded(line, "60")
    back(line, donated=8, compost=2, left=1)
    assert StockMove.objects.filter(amount__lt=0).count() == 1
    assert (in_the_cold_room(SATURDAY), known(line).sold) == ([], 49)


def test_the_rest_none_is_one_entry_and_leaves_what_is_known_and_what_was_not_brought():
    basil, chard, dill, cilantro, kale = (
        a_line(an_item(name)) for name in ("basil", "chard", "dill", "cilantro", "kale")
    )
    for line in (basil, chard, dill):
        loaded(line, "40")
    loaded(cilantro, "0")
    back(basil, home=6)
    before = Entry.objects.count()
    several("rest", {chard.pk: CameBack({"compost": 4})}, basil, rest_none=True)
    assert Entry.objects.count() == before + 1
    assert [dict(known(line).came_back) for line in (basil, chard, dill, cilantro, kale)] == [
        {"home": 6},
        {"compost": 4},
        {"left": 0},
        {},
        {},
    ]


def test_one_line_of_many_is_put_right_and_the_others_stay_as_they_were():
    basil, chard = a_line(), a_line(an_item("chard"))
    for line in (basil, chard):
        in_stock(line.item, 40, code=line.item.name)
        loaded(line, "40")
    first = several("both", {basil.pk: CameBack({"home": 6}), chard.pk: CameBack({"home": 2})}, basil).entry
    again = back(basil, seen={"home": 6}, home=4, compost=2).entry
    assert (again.corrects, dict(known(basil).came_back)) == (first, {"home": 4, "compost": 2})
    assert dict(known(chard).came_back) == {"home": 2}
    assert lying() == [("chard", [("chard", 2, 1)]), ("sweet basil", [("sweet basil", 4, 1)])]


def test_lines_of_two_entries_are_put_right_by_two_and_sent_again_are_answered_as_the_first_time():
    basil, chard, dill = a_line(), a_line(an_item("chard")), a_line(an_item("dill"))
    back(basil, home=6), back(chard, home=5)
    said = {
        basil.pk: CameBack({"home": 1}, {"home": 6}),
        chard.pk: CameBack({"home": 2}, {"home": 5}),
        dill.pk: CameBack({"home": 3}),
    }
    first = several("three", said, basil)
    entries = Entry.objects.count()
    again = several("three", said, basil)
    assert (again.was_there, again.entry, Entry.objects.count()) == (True, first.entry, entries)
    assert [known(line).came_back["home"] for line in (basil, chard, dill)] == [1, 2, 3]


def test_a_figure_that_came_in_between_is_told_before_it_is_replaced():
    line = a_line()
    ines = Person.objects.create(name="Ines")
    back(line, home=6, said={"by": ines})
    with pytest.raises(
        NeedsYes, match=r"^In the meantime it was noted: sweet basil 6 taken home \(Ines, 12:00\)"
    ) as asked:
        back(line, home=4)
    back(line, key="yes", home=4, yes=[asked.value.question])
    assert dict(known(line).came_back) == {"home": 4}


def test_the_same_figure_from_two_phones_is_one():
    line = a_line()
    back(line, home=6)
    with pytest.raises(Refused, match=r"^That is known already; nothing new was typed"):
        back(line, key="other phone", home=6)
    assert MarketFact.objects.count() == 1


def test_more_back_than_loaded_is_asked():
    line = a_line()
    loaded(line, "40")
    with pytest.raises(
        NeedsYes, match=r"^More came back than was loaded: sweet basil 60 of 40 loaded\. Is that so"
    ) as asked:
        back(line, home=60)
    assert asked.value.offer == {"lines": {line.pk: "More came back than was loaded: 60 of 40 loaded."}}


def test_taken_back_it_is_unknown_again_and_not_none():
    line = a_line()
    loaded(line, "40")
    undo(saying("undo", corrects=back(line, left=0).entry))
    assert (dict(known(line).came_back), known(line).sold) == ({}, None)


def test_what_came_with_a_sheet_is_altered_and_the_sheets_other_rows_stay():
    basil, chard = a_line(), a_line(an_item("chard"))
    read = an_entry("read", "read")
    for line, kind, amount in ((basil, "home", 4), (basil, "compost", 2), (chard, "left", 9)):
        MarketFact.objects.create(line=line, kind=kind, amount=amount, entry=read)
    back(basil, seen={"home": 4, "compost": 2}, left=6)
    assert {kind: amount for kind, amount in known(basil).came_back.items() if amount} == {"left": 6}
    assert dict(known(chard).came_back) == {"left": 9}
    assert sorted(Change.objects.filter(table="selling.marketfact").values_list("column", flat=True)) == [
        "amount",
        "amount",
        "kind",
    ]
    assert StockMove.objects.count() == 0


def test_from_memory_is_kept_with_the_day_and_the_line():
    line = a_line()
    back(line, home=6, said={"is_from_memory": True})
    assert (MarketDay.objects.get().is_from_memory, known(line).is_from_memory) == (True, True)


def test_late_facts_are_taken_after_closing():
    line = a_line()
    loaded(line, "40")
    late = NOON + timedelta(days=3)
    back(line, home=6, said={"said_at": late, "now": late})
    assert known(line).sold == 34


def test_a_load_stays_while_what_came_back_of_it_lies_in_the_cold_room():
    line = a_line()
    in_stock(line.item, 40, code="A")
    load_entry = loaded(line, "40").entry
    home = back(line, home=6).entry
    with pytest.raises(Refused, match=r"^Later entries rest on this one: Came back from Quillby Green"):
        undo(saying("undo", corrects=load_entry))
    undo(saying("home", corrects=home))
    undo(saying("load", corrects=load_entry))
    assert lying() == [("sweet basil", [("A", 40, 1)])]


def test_a_sheets_figure_altered_twice_is_no_figure_of_somebody_else():
    line = a_line()
    read = an_entry("read", "read")
    for kind, amount in (("home", 4), ("compost", 2)):
        MarketFact.objects.create(line=line, kind=kind, amount=amount, entry=read)
    back(line, seen={"home": 4, "compost": 2}, left=6)
    assert known(line).came_back == {"left": 6}
    back(line, seen={"left": 6}, left=5)
    assert known(line).came_back == {"left": 5}


def test_many_of_which_none_came_back_are_counted_and_few_are_named():
    few = {"basil": "", "chard": "3 heads taken home"}
    assert in_short(few) == "chard 3 heads taken home, basil none"
    assert in_short({**few, "dill": "", "kale": "", "mint": ""}) == "chard 3 heads taken home, none of 4 items"
