"""The notebook's page: its figures are the outlook's, its sums add up, and gaps are owned up to."""

import re
from datetime import date, timedelta

import pytest
from django.http import QueryDict

from farmops.exchange.desk import Desk, Sheet, key_of
from farmops.exchange.notebook import Answers, read_notebook
from farmops.exchange.views.notebook_page import make_page
from farmops.exchange.views.notebook_page import page as page_module
from farmops.planning.bringing import what_to_bring

HEAD = "Date,Market,Item,Unit,Brought,Left over,Ran out at,Price\n"


def notebook_rows() -> str:
    """Twelve Saturdays: basil runs out at 10:00 each time, chard comes back in heaps, kale once has no count."""
    days = [date(2026, 5, 2) + timedelta(weeks=at) for at in range(12)]
    rows = [f"{day},Town,basil,bunch,30,0,{'10:00' if at else ''},2.50" for at, day in enumerate(days)]
    rows += [f"{day},Town,Chard,bunch,20,{8 + at % 3},,3.00" for at, day in enumerate(days)]
    rows += [f"{day},Town,kale,bunch,10,{'' if at == 3 else 2},,3.00" for at, day in enumerate(days)]
    return HEAD + "\n".join(rows)


@pytest.fixture
def made(monkeypatch):
    monkeypatch.setattr(page_module, "desk", Desk())
    text = notebook_rows()
    found = read_notebook(text)
    assert found.open == ()

    def make(query: str = ""):
        sheet = Sheet(key_of(text), "market.csv", text)
        return make_page(sheet, found, Answers(), QueryDict(query).dict(), date(2026, 7, 20)), found

    return make


def test_the_figures_are_those_of_the_outlook(made):
    page, found = made()
    outlook = what_to_bring(found.records, found.economics, as_of=max(record.day for record in found.records))
    shown = {item.name: item for item in page.markets[0].items}
    for item in outlook.markets[0].items:
        assert (shown[item.item].bring, shown[item.item].demand) == (
            f"{item.bring:.0f}",
            f"{item.low:.0f}–{item.high:.0f}",
        )
    assert (page.ran_out_days, page.item_days) == (12, 35)  # one day of kale is not known


def test_what_was_left_over_costs_what_a_hand_sum_says(made):
    page, _found = made()
    chard = next(item for item in page.markets[0].items if item.name == "Chard")
    # 12 days of 8, 9, 10, ... left: 108 bunches, each at 30 % of $3.00 and worth nothing: $97.20, about $97
    assert chard.compost.shown == "$97"
    assert [line.value for line in chard.sum if line.words.startswith("Came back so far")] == ["108"]


def test_items_stand_in_the_order_of_the_alphabet_capitals_or_not(made):
    assert [item.name for item in made()[0].markets[0].items] == ["basil", "Chard", "kale"]


def test_the_change_worth_most_comes_first_with_its_money(made):
    page, _found = made()
    first = page.changes[0]
    basil = page.markets[0].items[0]
    assert first.words == f"Town: bring {basil.bring} basil, not 30"
    assert first.money == f"running out cost {basil.running_out.shown}"


def test_every_quantity_opens_into_a_sum_that_ends_in_it(made):
    for item in made()[0].markets[0].items:
        assert [line.value for line in item.sum if line.words.endswith("bring")] == [item.bring]


def test_gaps_are_owned_up_to(made):
    page, _found = made()
    assert page.tells_little[0] == "Ran out at a time nobody noted: basil at Town on 1 day."
    assert page.tells_little[1] == "Nobody noted what sold or came back: kale at Town on 1 day."
    assert re.findall(r"cost to grow and pick is a starting guess, 30%", " ".join(page.unknown)) != []


def test_a_dearer_crop_is_brought_less_and_said_to_be_the_growers_own_figure(made):
    page, _found = made("f.cost.basil=2.00&f.cost.Chard=1&f.cost.kale=1")
    assert int(page.markets[0].items[0].bring) < int(made()[0].markets[0].items[0].bring)
    assert re.findall("starting guess", " ".join(page.unknown)) == []
    assert page.answers == "f.cost.basil=2.00&f.cost.Chard=1&f.cost.kale=1"


def sums(rows: str) -> dict[str, str]:
    """The sum of the only item of a notebook, by its words."""
    found = read_notebook(rows)
    assert found.open == ()
    page = make_page(Sheet(key_of(rows), "", rows), found, Answers(), {}, date(2026, 7, 20))
    return {line.words: line.value for line in page.markets[0].items[0].sum}


@pytest.mark.case("M01")
def test_sold_out_days_are_a_floor_and_the_even_stretch_is_only_for_comparison():
    """Brought 48, 55 and 60; out at 11:40 and 12:50, then 52 sold: 51.7 sold, 58.1 stretched (65.5, 56.9, 52)."""
    shown = sums(
        "Date,Market,Opens,Closes,Item,Brought,Left over,Ran out at,Price\n"
        "2026-05-02,Town,08:00,13:00,Basil,48,0,11:40,2.50\n"
        "2026-05-09,Town,08:00,13:00,Basil,55,0,12:50,2.50\n"
        "2026-05-16,Town,08:00,13:00,Basil,60,8,,2.50\n"
    )
    assert shown["Sold on average, at least: it ran out on 2 of 3 days"] == "51.7"
    assert shown["If customers came evenly all day (mornings are busier, so rather too high)"] == "58.1"


@pytest.mark.case("M02")
def test_the_rainy_day_is_kept_and_both_averages_are_shown():
    """Sold 44, 46, 22 in heavy rain, 45: 39.25 with the rain day (shown as 39.2), 45 without it."""
    shown = sums(
        "Date,Market,Opens,Closes,Item,Brought,Left over,Weather,Price\n"
        "2026-05-02,Town,08:00,13:00,Basil,60,16,dry,2.50\n"
        "2026-05-09,Town,08:00,13:00,Basil,60,14,dry,2.50\n"
        "2026-05-16,Town,08:00,13:00,Basil,60,38,heavy rain,2.50\n"
        "2026-05-23,Town,08:00,13:00,Basil,60,15,dry,2.50\n"
    )
    assert (shown["Sold on average"], shown["Sold on average without the rainy days"]) == ("39.2", "45")
