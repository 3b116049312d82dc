"""The sum behind a quantity: what cannot be known from the records is called "at least"."""

from datetime import date, timedelta

import pytest

from farmops.exchange.notebook import read_notebook
from farmops.exchange.views.notebook_page.sums import days_by_item, sum_of
from farmops.planning.bringing import what_to_bring


@pytest.mark.check("D21")
@pytest.mark.parametrize(
    ("left", "words", "value"),
    [
        pytest.param((0, 0, 0, 0), "Sold on average, at least: it ran out on 4 of 4 days", "30", id="always"),
        pytest.param((0, 0, 2, 4), "Sold on average, at least: it ran out on 2 of 4 days", "28.5", id="twice"),
        pytest.param((1, 1, 2, 4), "Sold on average", "28", id="never"),
    ],
)
def test_what_sold_is_at_least_what_was_wanted_where_it_ran_out(left, words, value):
    # Theory: with every day sold out the records alone have no finite estimate.
    days = [date(2026, 5, 2) + timedelta(weeks=at) for at in range(4)]
    rows = "\n".join(f"{day},Town,Basil,30,{count},2.50" for day, count in zip(days, left, strict=True))
    found = read_notebook("Date,Market,Item,Brought,Left over,Price\n" + rows)
    outlook = what_to_bring(found.records, found.economics, as_of=days[-1])
    item = outlook.markets[0].items[0]
    lines = sum_of(item, days_by_item(outlook, "Town")["Basil"])
    assert [(line.words, line.value) for line in lines if line.words.startswith("Sold on average")] == [(words, value)]
