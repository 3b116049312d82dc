"""What is loaded leaves the cold room, oldest lots first, and is brought."""

import pytest

from farmops.harvest.models import StockMove
from farmops.harvest.stock import in_the_cold_room
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from farmops.selling.load_van import load
from tests.journal.entries import an_entry
from tests.selling.market import SATURDAY, a_line, an_item, back, in_stock, known, lb, loaded, made_of, saying

pytestmark = pytest.mark.django_db


def lying():
    return [(one.name, one.item is not None, one.amount) for one in in_the_cold_room(SATURDAY)]


def out(**found):
    moves = StockMove.objects.live().filter(why="loaded", **found).order_by("pk")
    return [(move.lot.code if move.lot else None, move.amount) for move in moves]


def test_the_oldest_lots_go_first_and_a_stopped_one_stays():
    line = a_line()
    in_stock(line.item, 30, days_ago=1, code="new")
    in_stock(line.item, 10, days_ago=4, code="old")
    in_stock(line.item, 50, days_ago=9, code="stopped", stopped=True)
    said = load(saying=saying("load"), market_day=line.market_day, typed={line.pk: "25"}).entry.said
    assert out() == [("old", -10), ("new", -15)]
    assert StockMove.objects.filter(why="loaded").first().where_to == "Quillby Green"
    assert (known(line).loaded, said) == (25, "Loaded for Quillby Green, Sat 2 May 2026: sweet basil 25")


def test_heads_that_lie_there_as_cut_are_packed_with_their_lot_as_they_are_loaded():
    head = an_item("lettuce head", "head")
    variety, line = made_of(head), a_line(head)
    in_stock(head, 40, code="cut", variety=variety)
    load(saying=saying("load"), market_day=line.market_day, typed={line.pk: "36"})
    assert out() == [("cut", -36)]
    assert lying() == [("green butterhead", False, 4)]


def test_two_items_of_one_variety_do_not_take_the_same_heads():
    large, small = an_item("large head", "head"), an_item("small head", "head")
    variety = made_of(large)
    made_of(small)
    lines = [a_line(large), a_line(small)]
    in_stock(large, 40, code="cut", variety=variety)
    typed = {line.pk: "30" for line in lines}
    with pytest.raises(NeedsYes, match=r"^More than lies in the cold room: small head 30 of 10. Load it all the same"):
        load(saying=saying("load"), market_day=lines[0].market_day, typed=typed)
    assert StockMove.objects.filter(why="loaded").count() == 0


def test_more_than_lies_there_is_asked_and_then_of_no_known_lot():
    line = a_line()
    in_stock(line.item, 40, code="A")
    with pytest.raises(NeedsYes) as asked:
        load(saying=saying("load"), market_day=line.market_day, typed={line.pk: "48"})
    assert asked.value.question == "more_than_lies"
    assert asked.value.offer == {"lines": {line.pk: "More than lies in the cold room: 48 of 40."}}
    loaded(line, "48")
    assert out() == [("A", -40), (None, -8)]
    assert known(line).loaded == 48


def test_pounds_are_loaded_as_people_type_them():
    line = a_line(an_item("spinach", "lb"))
    in_stock(line.item, lb(10), code="S")
    load(saying=saying("load"), market_day=line.market_day, typed={line.pk: "2 lb 6 oz"})
    assert out() == [("S", -lb("2.375"))]
    with pytest.raises(Refused, match=r"^spinach: “1,250” can be read two ways: 1\.250 or 1250"):
        load(saying=saying("two"), market_day=line.market_day, typed={line.pk: "1,250"}, yes=frozenset({"load_more"}))


def test_a_second_load_is_asked_and_adds():
    line = a_line()
    in_stock(line.item, 60)
    loaded(line, "40")
    with pytest.raises(NeedsYes, match=r"^Loaded already: sweet basil 40. Is this more besides"):
        load(saying=saying("more"), market_day=line.market_day, typed={line.pk: "8"})
    load(saying=saying("more"), market_day=line.market_day, typed={line.pk: "8"}, yes=frozenset({"load_more"}))
    assert known(line).loaded == 48
    assert lying() == [("sweet basil", True, 12)]


def test_a_load_taken_back_lies_there_again():
    line = a_line()
    in_stock(line.item, 60)
    entry = loaded(line, "40").entry
    undo(saying("undo", corrects=entry))
    assert (lying(), known(line).loaded) == ([("sweet basil", True, 60)], None)


def test_none_brought_is_said_and_not_the_same_as_nothing_said():
    line, silent = a_line(), a_line(an_item("cilantro"))
    loaded(line, "0")
    assert (known(line).loaded, known(silent).loaded) == (0, None)
    assert StockMove.objects.count() == 0
    with pytest.raises(Refused, match=r"^Type how much of what is loaded"):
        load(saying=saying("nothing"), market_day=line.market_day, typed={line.pk: "  "})


def test_what_was_taken_home_is_carried_in_to_the_next_market():
    first = a_line()
    in_stock(first.item, 60, code="A")
    loaded(first, "60")
    back(first, home=12)
    later = a_line(held_on=SATURDAY.replace(day=9))
    in_stock(first.item, 30, days_ago=-6, code="B")
    load(saying=saying("next", day=later.market_day.held_on), market_day=later.market_day, typed={later.pk: "40"})
    assert (known(later).amount("carried in"), known(later).amount("brought")) == (12, 28)
    assert out(entry__once_key="next") == [("A", -12), ("B", -28)]


def test_a_price_raised_since_the_day_went_on_the_list_counts_and_one_of_a_sheet_stays():
    line, read = a_line(), a_line(an_item("chard"))
    type(line).objects.filter(pk=read.pk).update(entry=an_entry("a sheet", "read"), price_cents=350)
    line.item.prices.update(price_cents=450)
    loaded(line, "48"), loaded(read, "20")
    line.refresh_from_db(), read.refresh_from_db()
    assert (line.price_cents, read.price_cents) == (450, 350)
