from datetime import date
from decimal import Decimal

import pytest

from farmops.core.demand import Economics, learn, looking_back
from farmops.core.demand.records import MarketRecord
from farmops.exchange.notebook import Answers, NotebookRefused, read_notebook
from tests.exchange.notebook.sheets import text

HEAD = ["date", "market", "opens", "closes", "item", "unit", "price", "brought", "left_over"]


def sheet(more, *rows):
    """A sheet of market days from 8 to 13; a row gives date, item, brought, left over, and the columns `more`."""
    lines = [
        [day, "Town", "08:00", "13:00", item, "bunch", "3.00", brought, left, *rest]
        for day, item, brought, left, *rest in rows
    ]
    return text([[*HEAD, *more], *lines])


def read(more, *rows, **answers):
    return read_notebook(sheet(more, *rows), answers=Answers.of(answers))


def kale(day, **fields):
    return MarketRecord(day=date.fromisoformat(day), market="Town", item="Kale", price=3.0, **fields)


@pytest.mark.case("M01")
def test_sold_out_at_twenty_to_twelve():
    notebook = read(
        ["sold_out_at"],
        ("2026-06-06", "Kale", 48, 0, "11:40"),
        ("2026-06-13", "Kale", 55, 0, "12:50"),
        ("2026-06-20", "Kale", 60, 8, ""),
    )
    assert notebook.records == (
        kale("2026-06-06", brought=48, left=0, ran_out=True, ran_out_at=(700,)),
        kale("2026-06-13", brought=55, left=0, ran_out=True, ran_out_at=(770,)),
        kale("2026-06-20", brought=60, left=8),
    )
    # The stretch at an even rate that may be shown beside it: 65.5, 56.9, 52; mean 58.1.
    sold = [record.brought - (record.left or 0) for record in notebook.records]
    open_for = [(record.ran_out_at or (record.closes,))[0] - record.opens for record in notebook.records]
    stretched = [count * 300 / minutes for count, minutes in zip(sold, open_for, strict=True)]
    assert [round(each, 1) for each in stretched] == [65.5, 56.9, 52.0]
    assert round(sum(stretched) / 3, 1) == 58.1


@pytest.mark.case("M02")
def test_a_day_without_any_brought_is_no_day_of_nothing_wanted():
    notebook = read([], ("2026-06-06", "Kale", 40, 0), ("2026-06-13", "Kale", 0, 0), ("2026-06-20", "Kale", 40, 4))
    sold = [record.brought - (record.left or 0) for record in notebook.records]
    assert sum(sold) / len(sold) == 38.0
    assert notebook.left_out == (("nothing brought", 1, "nothing brought: says nothing about what was wanted"),)


@pytest.mark.case("M02")
def test_a_rainy_day_is_kept_as_it_was_and_marked():
    rows = [
        ["2026-06-06", "Town", "8", "13", "Kale", "bunch", "3", 50, 6, "dry"],
        ["2026-06-13", "Town", "8", "13", "Kale", "bunch", "3", 50, 4, "sunny"],
        ["2026-06-20", "Town", "8", "11", "Kale", "bunch", "3", 50, 28, "heavy rain"],
        ["2026-06-27", "Town", "8", "13", "Kale", "bunch", "3", 50, 5, "overcast"],
    ]
    records = read_notebook(text([[*HEAD, "weather"], *rows])).records
    sold = [(record.weather, record.brought - (record.left or 0)) for record in records]
    assert sold == [("dry", 44), ("dry", 46), ("rain", 22), ("dry", 45)]
    assert sum(count for weather, count in sold if weather == "dry") / 3 == 45.0
    assert sum(count for _weather, count in sold) / 4 == 39.25
    # Gone home at 11 of a market that goes on until 13: no sell-out, and no full day either.
    assert [(record.closes, record.left_at, record.ran_out) for record in records][2] == (780, 660, False)


@pytest.mark.case("M02")
def test_a_market_called_off_is_a_gap():
    notebook = read(["status"], ("2026-06-06", "Kale", 60, 60, "called off"), ("2026-06-13", "Kale", 40, 4, "held"))
    assert [record.day for record in notebook.records] == [date(2026, 6, 13)]
    assert notebook.left_out == (("called off", 1, "market called off: a gap, not a zero"),)


@pytest.mark.case("M03")
def test_put_on_the_table_again():
    notebook = read(["restocked", "restocked_at", "sold_out_at"], ("2026-06-06", "Kale", 50, 6, 20, "10:15", "09:30"))
    (record,) = notebook.records
    assert record == kale("2026-06-06", brought=50, left=6, restocks=((615, 20),), ran_out=False, ran_out_at=(570,))
    sold = record.brought - (record.left or 0)
    assert (sold, sold / record.brought) == (44, 0.88)
    off_the_table = record.restocks[0][0] - record.ran_out_at[0]
    assert (off_the_table, round(sold * 300 / (300 - off_the_table), 1)) == (45, 51.8)


@pytest.mark.case("M03")
def test_what_came_from_the_van_may_have_been_noted_on_top():
    columns = ["restocked", "restocked_at", "sold_out_at"]
    asked = read(columns, ("2026-06-06", "Kale", 30, 6, 20, "10:15", "09:30"))
    assert [(doubt.key, doubt.default) for doubt in asked.doubts] == [("restocked", "part")]
    (record,) = read(columns, ("2026-06-06", "Kale", 30, 6, 20, "10:15", "09:30"), restocked="on top").records
    assert (record.brought, record.left) == (50, 6)
    # Where what was sold is noted too, the sums tell and nobody is asked.
    told = read([*columns, "sold"], ("2026-06-06", "Kale", 30, 6, 20, "10:15", "09:30", 44))
    assert (told.records[0].brought, told.doubts) == (50, ())


@pytest.mark.case("M04")
def test_every_kind_of_leftover_counts_and_the_rest_is_shown_not_forced():
    rows = [
        ["2026-06-06", "Kale", 60, 47, 8, 3, 2],
        ["2026-06-13", "Kale", 60, 47, 6, 3, 2],
    ]
    notebook = read_notebook(text([["Date", "Item", "Brought", "Sold", "Donated", "Home", "Compost"], *rows]))
    assert [(record.sold, record.left) for record in notebook.records] == [(47, 13), (47, 11)]
    (difference,) = notebook.differences
    assert (difference.row, difference.unaccounted) == (3, Decimal(2))
    assert notebook.is_ready


@pytest.mark.case("M04")
def test_what_was_given_away_or_taken_home_is_neither_sold_nor_charged_as_waste():
    """47 + 8 + 3 + 2 = 60: two go on the compost at 0.90; then 6 donated, and two are not accounted for."""
    head = ["Date", "Item", "Price", "Brought", "Sold", "Donated", "Home", "Compost"]
    rows = [["2026-06-06", "Kale", "3.00", 60, 47, 8, 3, 2], ["2026-06-13", "Kale", "3.00", 60, 47, 6, 3, 2]]
    notebook = read_notebook(text([head, *rows]))
    assert [(record.sold, record.left, record.not_wasted) for record in notebook.records] == [(47, 13, 11), (47, 11, 9)]
    worth = {(record.market, record.item): Economics(3.0, 0.9, 0.0) for record in notebook.records}
    back = looking_back(learn(notebook.records, as_of=date(2026, 6, 13)), notebook.records, worth)
    assert [(day.sold, day.left, day.compost) for day in back.days] == [(47, 13, 2 * 0.9), (47, 11, 2 * 0.9)]
    assert [day.marks for day in back.days] == [(), ("does not balance",)]
    assert (back.total.left, back.total.compost.mean) == (24, pytest.approx(4 * 0.9))


@pytest.mark.parametrize(
    ("head", "amounts", "left", "not_wasted"),
    [
        pytest.param(["Left over"], [13], 13, 0, id="one column of leftovers is waste"),
        pytest.param(["Left over", "Donated"], [13, 8], 13, 8, id="part of what was left"),
        pytest.param(["Compost", "Thrown away", "Spoiled"], [6, 4, 3], 13, 0, id="all thrown away"),
        pytest.param(["Food bank", "Eaten", "Traded"], [6, 4, 3], 13, 13, id="nothing thrown away"),
        pytest.param(["Donated", "Taken home", "Compost"], [8, 3, 2], 13, 11, id="taken home beside the rest"),
        pytest.param(["Taken home"], [13], 13, 0, id="taken home alone is what was left"),
    ],
)
def test_leftovers_are_wasted_or_not(head, amounts, left, not_wasted):
    notebook = read_notebook(
        text([["Date", "Item", "Brought", "Sold", *head], ["2026-06-06", "Kale", 60, 47, *amounts]])
    )
    (record,) = notebook.records
    assert (record.left, record.not_wasted, notebook.differences) == (left, not_wasted, ())


def test_two_loads_add_what_was_given_away():
    sheet = text(
        [["Date", "Item", "Brought", "Sold", "Donated"], *[["2026-06-06", "Kale", 20, 15, 5]] * 2],
    )
    (record,) = read_notebook(sheet, answers=Answers.of({"twice": "add"})).records
    assert (record.left, record.not_wasted) == (10, 10)


@pytest.mark.case("M07")
def test_count_and_tally_are_both_kept():
    sheet = text([["Date", "Item", "Brought", "Sold", "Left"], ["2026-06-06", "Kale", 40, 18 + 15, 4]])
    notebook = read_notebook(sheet)
    (difference,) = notebook.differences
    assert (difference.by_count, difference.sold, difference.unaccounted) == (36, 33, 3)
    assert [(doubt.key, doubt.default) for doubt in notebook.doubts if doubt.rows] == [("balance", "noted")]
    assert notebook.records[0].sold == 33
    counted = read_notebook(sheet, answers=Answers.of({"balance": "count"}))
    assert (counted.records[0].sold, counted.records[0].left, len(counted.differences)) == (None, 4, 1)


@pytest.mark.case("M07")
def test_sold_out_without_a_time_is_at_least_that_many():
    (record,) = read([], ("2026-06-06", "Kale", 25, 0)).records
    assert record == kale("2026-06-06", brought=25, left=0, ran_out=True, ran_out_at=())


def test_left_over_empty_is_unknown():
    (record,) = read([], ("2026-06-06", "Kale", 25, "")).records
    assert (record.left, record.sold, record.ran_out) == (None, None, False)


def test_sold_all_that_was_brought_is_sold_out():
    (record,) = read(["sold"], ("2026-06-06", "Kale", 25, "", 25)).records
    assert (record.left, record.sold, record.ran_out) == (None, 25, True)


def test_sold_and_left_over_give_what_was_brought():
    notebook = read_notebook(text([["Date", "Item", "Sold", "Left"], ["2026-06-06", "Kale", 33, 4]]))
    assert notebook.records[0].brought == 37


def test_more_sold_than_brought_must_be_answered():
    rows = ("2026-06-06", "Kale", 40, 0, 48)
    assert [doubt.key for doubt in read(["sold"], rows).open] == ["balance.over"]
    assert read(["sold"], rows).records == ()
    for answer, expected in (("sold", (48, 48)), ("count", (40, None))):
        (record,) = read(["sold"], rows, **{"balance.over": answer}).records
        assert (record.brought, record.sold) == expected
    assert read(["sold"], rows, **{"balance.over": "leave out"}).records == ()


def test_ran_out_but_some_came_back_is_asked_with_both_kept():
    rows = ("2026-06-06", "Kale", 40, 3, "11:40")
    notebook = read(["sold_out_at"], rows)
    assert [(doubt.key, doubt.default, doubt.rows) for doubt in notebook.doubts] == [("left and out", "both", (2,))]
    found = {}
    for answer in ("both", "left", "time"):
        (record,) = read(["sold_out_at"], rows, **{"left and out": answer}).records
        found[answer] = (record.left, record.ran_out, record.ran_out_at)
    assert found == {"both": (3, True, (700,)), "left": (3, False, ()), "time": (0, True, (700,))}


def test_a_time_outside_the_hours_is_asked_about():
    rows = ("2026-06-06", "Kale", 40, 0, "14:30")
    notebook = read(["sold_out_at"], rows)
    assert [doubt.question for doubt in notebook.open] == [
        "14:30 in row 2 is outside the market's hours, 08:00 to 13:00 (all such rows: 2)."
    ]
    (record,) = read(["sold_out_at"], rows, outside="unknown").records
    assert (record.ran_out, record.ran_out_at) == (True, ())


def test_the_same_day_market_and_item_twice():
    rows = (("2026-06-06", "Kale", 40, 3), ("2026-06-06", "kale ", 20, 0))
    assert [(doubt.key, doubt.rows) for doubt in read([], *rows).open] == [("twice", (2, 3))]
    assert [record.brought for record in read([], *rows, twice="add").records] == [60]
    assert [record.brought for record in read([], *rows, twice="first").records] == [40]
    assert read([], *rows, twice="add").left_out == (("added", 1, "added to an earlier row"),)


def test_weights_are_counted_in_whole_steps():
    rows = [
        ["2026-06-06", "Town", "8:00", "13:00", "Salad", "lb", "8.00", "12.5", "0.75", "0.25", "14"],
        ["2026-06-13", "Town", "8:00", "13:00", "Salad", "lb", "8.00", "10.1", "0", "0.25", "15"],
    ]
    notebook = read_notebook(text([[*HEAD, "step", "guess"], *rows]))
    assert [(record.brought, record.left, record.price) for record in notebook.records] == [(50, 3, 2.0), (40, 0, 2.0)]
    assert notebook.warnings == ("1 amount is no whole number of steps and was rounded to the nearest.",)
    assert (notebook.economics["Salad"].step, notebook.economics["Salad"].price) == (0.25, 8.0)
    assert notebook.guesses == {("Town", "Salad"): 60.0}


def test_without_a_step_the_amounts_tell_it():
    notebook = read([], ("2026-06-06", "Salad", "12.5", "0.75"), ("2026-06-06", "Kale", "40", "3"))
    assert {item: each.step for item, each in notebook.economics.items()} == {"Salad": 0.25, "Kale": 1.0}


def test_a_step_far_too_small_is_refused():
    with pytest.raises(NotebookRefused, match="too small"):
        read(["step"], ("2026-06-06", "Kale", "4000", "3", "0.0001"))


def test_the_latest_row_says_what_things_cost():
    notebook = read(
        ["unit_cost", "leftover_value"],
        ("2026-06-13", "Kale", 40, 3, "30%", ""),
        ("2026-06-06", "Kale", 40, 3, "1.20", "0.10"),
    )
    found = notebook.economics["Kale"]
    assert (found.price, found.unit_cost, found.leftover_value, found.unit) == (3.0, pytest.approx(0.9), 0.1, "bunch")


def test_amounts_nobody_carries_are_asked_about():
    notebook = read([], ("2026-06-06", "Kale", "1000000000", 3), ("2026-06-13", "Kale", "-4", 0))
    assert [doubt.key for doubt in notebook.open] == ["negative.brought", "absurd.brought"]
    usual = [(f"2026-06-{day:02d}", "Kale", 40, 3) for day in range(1, 6)]
    notebook = read([], *usual, ("2026-06-06", "Kale", "4000", 3))
    assert [(doubt.key, doubt.rows) for doubt in notebook.open] == [("large.brought", (7,))]
    kept = read([], *usual, ("2026-06-06", "Kale", "4000", 3), **{"large.brought": "keep"})
    assert kept.records[-1].brought == 4000
    dropped = read([], *usual, ("2026-06-06", "Kale", "4000", 3), **{"large.brought": "unknown"})
    assert dropped.left_out == (("not noted", 1, "what was brought is not noted"),)


def test_an_item_in_two_units_is_two_things_to_sell():
    rows = [
        ["2026-06-06", "Town", "8:00", "13:00", "Basil", "bunch", "3", 40, 2],
        ["2026-06-06", "Town", "8:00", "13:00", "Basil", "lb", "12", 5, 1],
        ["2026-06-13", "Town", "8:00", "13:00", "Basil", "Bunches", "3", 40, 2],
    ]
    notebook = read_notebook(text([HEAD, *rows]))
    assert [record.item for record in notebook.records] == ["Basil (bunch)", "Basil (lb)", "Basil (bunch)"]
    assert [(doubt.key, doubt.default) for doubt in notebook.doubts] == [("units", "two")]


def test_rows_not_held_yet_are_left_out():
    notebook = read(["status"], ("2026-06-06", "Kale", 40, 3, ""), ("2026-06-13", "Kale", 45, "", "planned"))
    assert (len(notebook.records), notebook.left_out) == (1, (("planned", 1, "not held yet"),))


def test_pounds_and_ounces_in_one_column_are_never_added_up_unasked():
    rows = (("2026-06-06", "Salad", "12 lb", 1), ("2026-06-13", "Salad", "8 oz", 0), ("2026-06-20", "Salad", "9 lb", 0))
    (doubt,) = read([], *rows).open
    assert (doubt.key, doubt.rows) == ("weights.brought", (3,))
    assert len(read([], *rows, **{"weights.brought": "leave out"}).records) == 2


def test_more_back_than_brought_is_asked_about_once_for_all_rows():
    rows = (("2026-06-06", "Kale", 10, 14), ("2026-06-13", "Kale", 20, 3), ("2026-06-20", "Basil", 8, 9))
    (doubt,) = read([], *rows).open
    assert (doubt.key, doubt.rows, doubt.question) == (
        "more back",
        (2, 4),
        "Row 2: 14 of Kale came back, but only 10 were brought (all such rows: 2 / 4). What is wrong?",
    )
    assert [choice.key for choice in doubt.choices] == ["left", "brought", "leave out"]
    found = read([], *rows, **{"more back": "left"}).records
    assert [(each.brought, each.left) for each in found] == [(10, None), (20, 3), (8, None)]
    out = read([], *rows, **{"more back": "brought"})
    assert ([each.brought for each in out.records], out.left_out[0][:2]) == ([20], ("not noted", 2))
    out = read([], *rows, **{"more back": "leave out"})
    assert out.left_out == (("more back", 2, "more came back than was brought"),)


def test_what_was_brought_follows_from_sales_where_only_it_is_wrong():
    row = ("2026-06-06", "Kale", 10, 14, 30)
    assert [doubt.key for doubt in read(["sold"], row).open] == ["balance.over"]
    (record,) = read(["sold"], row, **{"balance.over": "sold"}).records
    assert (record.brought, record.left) == (44, 14)
    counted = {"balance.over": "count"}
    assert [doubt.key for doubt in read(["sold"], row, **counted).open] == ["more back"]
    (record,) = read(["sold"], row, **counted, **{"more back": "left"}).records
    assert (record.brought, record.left, record.sold) == (10, None, None)


def test_what_was_left_from_an_earlier_market_may_come_back_too():
    assert read(["carried_in"], ("2026-06-06", "Kale", 10, 14, 5)).open == ()


def test_two_loads_noted_with_different_hours_were_sold_in_all_of_them():
    rows = [
        ["2026-06-06", "Town", "08:00", "12:00", "Kale", "bunch", "3", 40, 0, ""],
        ["2026-06-06", "Town", "08:00", "13:00", "Kale", "bunch", "3", 20, 0, "12:40"],
    ]
    (record,) = read_notebook(text([[*HEAD, "sold_out_at"], *rows]), answers=Answers.of({"twice": "add"})).records
    assert (record.brought, record.closes, record.ran_out_at) == (60, 780, (760,))


WENT = ["Date", "Item", "Brought"]
DAYS = ["2026-05-02", "2026-05-09", "2026-05-16"]


def went(head, *amounts, **given):
    rows = [[day, "Kale", *row] for day, row in zip(DAYS, amounts, strict=False)]
    return read_notebook(text([[*WENT, *head], *rows]), answers=Answers.of(given))


def test_where_it_went_is_part_of_what_came_back_where_more_would_be_more_than_was_brought():
    notebook = went(["left over", "donated", "taken home"], (20, 14, 7, 7), (34, 2, 1, 1), (16, 0, 0, 0))
    assert [(each.left, each.not_wasted) for each in notebook.records] == [(14, 14), (2, 2), (0, 0)]
    assert (notebook.unused, [doubt.key for doubt in notebook.doubts if doubt.key == "leftovers"]) == ((), [])


def test_more_given_away_than_came_back_comes_on_top():
    notebook = went(["came back", "donated"], (20, 4, 7), (34, 2, 1))
    assert [(each.left, each.not_wasted) for each in notebook.records] == [(11, 7), (3, 1)]
    assert "leftovers" not in [doubt.key for doubt in notebook.doubts]


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        pytest.param({}, [(7, 7), (1, 0), (2, 1)], id="unanswered: part of it, which fits all rows"),
        pytest.param({"leftovers": "part"}, [(7, 7), (1, 0), (2, 1)], id="part"),
        pytest.param({"leftovers": "on top"}, [(14, 7), (1, 0), (3, 1)], id="on top"),
    ],
)
def test_where_both_would_fit_it_is_asked_once(said, expected):
    notebook = went(["left over", "donated"], (20, 7, 7), (14, 1, 0), (34, 2, 1), **said)
    (doubt,) = (doubt for doubt in notebook.doubts if doubt.key == "leftovers")
    assert (doubt.question, doubt.default, doubt.rows) == (
        "Is “donated” part of “left over”, or does it come on top of it?",
        "part",
        (2, 4),
    )
    assert [choice.words for choice in doubt.choices] == ["Part of it", "On top of it"]
    assert [(each.left, each.not_wasted) for each in notebook.records] == expected


def test_rows_that_contradict_each_other_are_asked_about_with_what_most_of_them_say():
    notebook = went(["left over", "donated", "composted"], (20, 14, 4, 9), (34, 2, 1, 4), (16, 3, 4, 0))
    (doubt,) = (doubt for doubt in notebook.doubts if doubt.key == "leftovers")
    assert (doubt.question, doubt.default) == (
        "Are “donated”, “composted” part of “left over”, or do they come on top of it?",
        "on top",
    )


def test_two_counts_of_what_was_left_are_asked_about_and_neither_is_passed_over():
    notebook = went(["left over", "came back"], (20, 4, 3))
    (doubt,) = notebook.open
    assert (doubt.key, [choice.words for choice in doubt.choices][:2]) == (
        "column.left_over",
        ["left over (4)", "came back (3)"],
    )
