"""Two phones over one market day at once: both kept, or the second is told; nothing lost, nothing doubled."""

import threading

import pytest
from django.db import connection

from farmops.harvest.models import StockMove
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.call_off import close_day
from farmops.selling.came_back import CameBack, came_back
from farmops.selling.load_van import load
from farmops.selling.models import MarketDay, MarketFact
from tests.selling.market import a_line, an_item, in_stock, known, loaded, saying

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*deeds):
    """Do them at the same moment; what each was answered."""
    gate, answers = threading.Barrier(len(deeds)), [None] * len(deeds)

    def do(number, deed):
        try:
            gate.wait()
            answers[number] = deed().entry.said
        except Refused as refused:
            answers[number] = refused
        finally:
            connection.close()

    threads = [threading.Thread(target=do, args=one) for one in enumerate(deeds)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def evening(key, line, said, **other):
    return lambda: came_back(saying=saying(key), market_day=line.market_day, said=said, **other)


def test_different_items_are_both_kept():
    basil, chard = a_line(), a_line(an_item("chard"))
    for line in (basil, chard):
        loaded(line, "40")
    answers = at_once(
        evening("one", basil, {basil.pk: CameBack({"home": 6})}),
        evening("two", basil, {chard.pk: CameBack({"compost": 2})}),
    )
    assert [type(answer) for answer in answers] == [str, str]
    assert (dict(known(basil).came_back), dict(known(chard).came_back)) == ({"home": 6}, {"compost": 2})


def test_the_same_item_with_two_figures_is_kept_once_and_the_second_is_told():
    line = a_line()
    in_stock(line.item, 40)
    loaded(line, "40")
    answers = at_once(
        evening("one", line, {line.pk: CameBack({"home": 6})}), evening("two", line, {line.pk: CameBack({"home": 4})})
    )
    (told,) = [answer for answer in answers if isinstance(answer, NeedsYes)]
    assert told.question == "again"
    kept = known(line).came_back["home"]
    assert kept in {4, 6}
    assert f"sweet basil {kept} taken home" in str(told)
    assert sum(StockMove.objects.live().filter(why="came back").values_list("amount", flat=True)) == kept


def test_the_rest_none_beside_a_figure_loses_neither():
    basil, chard = a_line(), a_line(an_item("chard"))
    for line in (basil, chard):
        loaded(line, "40")
    at_once(evening("one", basil, {basil.pk: CameBack({"home": 6})}), evening("rest", basil, {}, rest_none=True))
    assert dict(known(chard).came_back) == {"left": 0}
    assert dict(known(basil).came_back) in ({"home": 6}, {"left": 0})
    assert MarketFact.objects.live().exclude(kind="brought").count() == 2


def test_the_day_is_closed_once():
    line = a_line()
    answers = at_once(
        *(lambda key=key: close_day(saying=saying(key), market_day=line.market_day) for key in ("one", "two"))
    )
    assert sorted(type(answer).__name__ for answer in answers) == ["Refused", "str"]
    assert MarketDay.objects.get().closed_entry.once_key in {"one", "two"}


def test_the_van_is_loaded_once():
    line = a_line()
    in_stock(line.item, 40)

    def go(key):
        return lambda: load(saying=saying(key), market_day=line.market_day, typed={line.pk: "40"})

    answers = at_once(go("one"), go("two"))
    assert sorted(type(answer).__name__ for answer in answers) == ["NeedsYes", "str"]
    assert (known(line).loaded, StockMove.objects.filter(why="loaded").count()) == (40, 1)
