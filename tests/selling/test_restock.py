"""More on the table: out of what was loaded, or brought besides; brought and restocked balance with sold and back."""

import pytest

from farmops.harvest.models import StockMove
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from farmops.selling.at_stall import back_on_table, sold_out
from farmops.selling.balance_words import balance_in_words
from farmops.selling.restock import restock
from farmops.selling.stall_page import stall_page
from tests.selling.market import NOON, a_line, an_item, at, back, in_stock, known, lb, loaded, saying

pytestmark = pytest.mark.django_db


def notes(line):
    return stall_page(line.market_day).stands[0].notes


def test_more_restocked_than_loaded_is_asked():
    line = a_line()
    loaded(line, "50")
    restock(saying=saying("20"), line=line, typed="20", minute=at(10, 15))
    with pytest.raises(
        NeedsYes, match=r"^sweet basil: 60 put on the table later, but 50 were loaded. Is that so"
    ) as asked:
        restock(saying=saying("40"), line=line, typed="40", minute=at(11))
    restock(saying=saying("40"), line=line, typed="40", minute=at(11), yes=frozenset({asked.value.question}))
    assert known(line).amount("restocked") == 60


def test_a_restock_fills_an_empty_table_and_needs_no_load():
    line = a_line()
    sold_out(saying=saying("out"), line=line, minute=at(9, 30))
    restock(saying=saying("more"), line=line, typed="20", minute=at(10, 15))
    assert known(line).empty == ((570, 615),)
    with pytest.raises(Refused, match=r"^sweet basil is on the table already"):
        back_on_table(saying=saying("back", said_at=NOON, now=NOON), line=line, minute=at(10, 20))


def test_pounds_are_put_back_too():
    line = a_line(an_item("spinach", "lb"))
    restock(saying=saying("lb"), line=line, typed="8 oz", minute=at(9))
    assert known(line).amount("restocked") == lb("0.5")


@pytest.mark.case("M03")
def test_what_was_loaded_and_put_out_later_is_part_of_what_was_brought():
    """paperpot.co urban farmer podcast 28 notes (seen); our numbers: 30, then 20 from the van, 6 left, 44 sold."""
    line = a_line()
    loaded(line, "50")
    sold_out(saying=saying("out"), line=line, minute=at(9, 30))
    said = restock(saying=saying("more"), line=line, typed="20", minute=at(10, 15)).entry.said
    back(line, home=6)
    found = known(line)
    assert said == "sweet basil: 20 of what was loaded put on the table at 10:15"
    assert (found.sold, found.loaded, found.balance.share_sold) == (44, 50, pytest.approx(0.88))
    assert balance_in_words(found)[0] == "50 brought (20 of it put out later) = 44 sold + 6 taken home"
    assert notes(line) == ("50 loaded", "20 of it put out 10:15")


def test_what_is_brought_besides_leaves_the_cold_room_and_adds_to_what_was_brought():
    line = a_line()
    in_stock(line.item, 40)
    loaded(line, "30")
    how = {"line": line, "typed": "6", "minute": at(10, 57), "is_besides": True}
    done = restock(saying=saying("besides"), **how)
    back(line, home=2)
    found = known(line)
    assert done.entry.said == "sweet basil: 6 more brought, on the table at 10:57"
    assert (found.loaded, found.amount("restocked"), found.besides, found.sold) == (36, 6, 6, 34)
    assert balance_in_words(found)[0] == "30 brought + 6 brought later = 34 sold + 2 taken home"
    assert notes(line) == ("30 loaded", "6 more brought 10:57")
    assert sorted(StockMove.objects.live().filter(why="loaded").values_list("amount", flat=True)) == [-30, -6]


def test_what_was_brought_besides_is_taken_back_with_what_left_the_cold_room():
    line = a_line()
    in_stock(line.item, 40)
    loaded(line, "30")
    done = restock(saying=saying("besides"), line=line, typed="6", minute=at(10, 57), is_besides=True)
    undo(saying("undo", corrects=done.entry))
    assert (known(line).loaded, known(line).besides, known(line).amount("restocked")) == (30, 0, None)
    assert [move.amount for move in StockMove.objects.live().filter(why="loaded")] == [-30]


def test_more_than_lies_there_is_asked_in_its_box():
    line = a_line()
    in_stock(line.item, 32)
    loaded(line, "30")
    with pytest.raises(NeedsYes, match=r"^More than lies in the cold room: sweet basil 6 of 2\.") as asked:
        restock(saying=saying("besides"), line=line, typed="6", minute=at(10), is_besides=True)
    assert (asked.value.question, asked.value.field) == ("more_than_lies", "amount")


def test_besides_what_nobody_noted_is_asked_whether_it_was_all():
    line = a_line()
    in_stock(line.item, 40)
    how = {"line": line, "typed": "6", "minute": at(10), "is_besides": True}
    with pytest.raises(NeedsYes, match=r"Are these 6 all that was brought\?$") as asked:
        restock(saying=saying("besides"), **how)
    restock(saying=saying("besides"), yes=frozenset({asked.value.question}), **how)
    assert (known(line).loaded, known(line).besides) == (6, 6)
