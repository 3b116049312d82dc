"""Rows of pages."""

import pytest

from farmops.proving.speed.page_rows import FEWEST, MOST, PRESSES, Asked, pressed_row, rounds


@pytest.mark.parametrize(("seconds", "number"), [(0.0, MOST), (0.1, 15), (10.0, FEWEST)])
def test_a_slow_page_has_fewer_rounds(seconds, number):
    assert rounds(seconds) == number


def test_a_page_is_named_with_what_happened_before():
    assert (Asked("due-now").name, Asked("due-now", "after an entry").name) == ("due-now", "due-now after an entry")


class AFarm:
    """A process that takes so long to work something out, from so many records."""

    def __init__(self, seconds, records):
        self.answers = {"press": {"seconds": seconds}, "history": {"records": records}}
        self.asked = []

    def ask(self, do, **_more):
        self.asked.append(do)
        return self.answers[do]


@pytest.mark.parametrize(("seconds", "is_linear"), [(1.9, True), (2.1, False)])
def test_what_is_worked_out_may_take_as_much_longer_as_it_reads_more(seconds, is_linear):
    one, ten = AFarm(1.0, 5000), AFarm(seconds, 10_000)
    row = pressed_row("pick-list", one, ten)
    assert (row.name, row.ratio, row.limit, row.ok) == ("years:pick-list pressed", seconds, 2.0, is_linear)
    assert row.limit_from == "10000 records read, not 5000"
    assert one.asked == ten.asked == ["press"] * PRESSES + ["history"]
