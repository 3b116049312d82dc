"""Rows whose own columns contradict each other."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.notebook import Answers
from farmops.exchange.notebook.columns import Mapping
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.lines import Line, Reading
from farmops.exchange.notebook.settling import is_empty_at_the_end, plain, settle_lines, stock_of
from farmops.exchange.notebook.table import Table

DAY = date(2026, 6, 6)


def line(number=2, **given):
    amounts = {name: None if amount is None else Decimal(amount) for name, amount in given.items()}
    return Line(number, DAY, "Town", "Kale", amounts=amounts, opens=480, closes=780)


def settle(*lines, **answers):
    reading = Reading(Table("", (), (), ()), Mapping({}, ()), Questions(Answers.of(answers)), list(lines))
    return reading, settle_lines(reading)


def test_what_was_carried_in_is_there_to_sell_and_unknown_is_not_nothing():
    assert [stock_of(one) for one in (line(brought=40, carried_in=3), line(carried_in=3))] == [43, None]


def test_sums_that_meet_ask_nothing():
    reading, differences = settle(line(brought=40, sold=34, left_over=6))
    assert (reading.questions.doubts, differences, len(reading.lines)) == ([], (), 1)


def test_what_is_not_accounted_for_is_shown_and_not_forced():
    reading, (difference,) = settle(line(brought=40, sold=30, left_over=6))
    assert (difference.by_count, difference.unaccounted) == (34, 4)
    assert [(doubt.key, doubt.default) for doubt in reading.questions.doubts] == [("balance", "noted")]
    assert reading.lines[0].amounts == {"brought": 40, "sold": 30, "left_over": 6}
    counted, _ = settle(line(brought=40, sold=30, left_over=6), balance="count")
    assert counted.lines[0].amount("sold") is None  # brought less left over tells it


@pytest.mark.parametrize(
    ("answer", "amounts"),
    [
        ("left", [{"brought": 40, "left_over": None}]),
        ("brought", []),
        ("leave out", []),
        (None, [{"brought": 40, "left_over": 44}]),
    ],
)
def test_more_back_than_was_there(answer, amounts):
    answers = {} if answer is None else {"more back": answer}
    reading, _ = settle(line(brought=40, left_over=44), **answers)
    assert [(doubt.key, doubt.must_be_answered) for doubt in reading.questions.doubts] == [
        ("more back", answer is None)
    ]
    assert [one.amounts for one in reading.lines] == amounts


def test_rows_that_say_nothing_are_counted_and_dropped():
    lines = [line(2), line(3, brought=0), line(4, brought=5, left_over=0)]
    for number, one in enumerate(lines):
        one.market = f"Town {number}"
    reading, _ = settle(*lines)
    assert ([one.number for one in reading.lines], reading.questions.doubts) == ([4], [])
    assert dict(reading.left_out) == {"not noted": 1, "nothing brought": 1}


def test_put_on_the_table_later_is_part_of_it_where_the_sums_say_so():
    part, _ = settle(line(brought=40, restocked=10, sold=34, left_over=6))
    on_top, _ = settle(line(brought=30, restocked=10, sold=34, left_over=6))
    assert [reading.lines[0].amount("brought") for reading in (part, on_top)] == [40, 40]
    assert [reading.questions.doubts for reading in (part, on_top)] == [[], []]


def test_filled_again_after_it_ran_out_is_not_empty_at_the_end():
    one = line(brought=40, restocked=10)
    one.out_at, one.restocked_at = (600,), (630,)
    assert not is_empty_at_the_end(one)
    one.restocked_at = (570,)
    assert is_empty_at_the_end(one)


def test_figures_have_no_noughts_at_the_end_and_no_exponent():
    assert [plain(Decimal(text)) for text in ("12.00", "2.50", "1E+3", "0")] == ["12", "2.5", "1000", "0"]
