"""Rows of pages."""

import pytest

from farmops.proving.speed.page_rows import FEWEST, MOST, Asked, rounds


@pytest.mark.parametrize(("seconds", "number"), [(0.0, MOST), (0.1, 15), (10.0, FEWEST)])
def test_a_slow_page_has_fewer_rounds(seconds, number):
    assert rounds(seconds) == number


def test_a_page_is_named_with_what_happened_before():
    assert (Asked("due-now").name, Asked("due-now", "after an entry").name) == ("due-now", "due-now after an entry")
