from datetime import date

import pytest

from farmops.exchange.bring_answer import as_json, as_table, fault_in_words, outlook_of, read_market_days
from farmops.exchange.notebook import NotebookRefused
from tests.exchange.market_days import sheet
from tests.exchange.notebook.sheets import xlsx

AS_OF = date(2026, 7, 15)
BARE = b"date,market,opens,closes,item,unit,price,brought,left_over\n" + b"".join(
    f"2026-0{month}-06,Town,08:00,13:00,Kale,bunch,,40,{left}\n".encode() for month, left in ((4, 5), (5, 9), (6, ""))
)


def test_without_a_price_money_is_null_and_quantities_stand():
    notebook = read_market_days(BARE, "market_days.csv", AS_OF)
    answer = as_json(notebook, outlook_of(notebook, AS_OF, None))
    (kale,) = answer["markets"][0]["items"]
    assert (answer["running_out"], answer["compost"], answer["without_price"]) == (None, None, ["Kale"])
    assert (kale["price"], kale["unit_cost"], kale["running_out"], kale["compost"]) == (None, None, None, None)
    assert kale["bring"] > 0
    assert kale["tells_little_days"] == 1
    assert as_table(notebook, outlook_of(notebook, AS_OF, None)).splitlines()[-2:] == [
        "Running out cost: not known without prices.",
        "Compost cost: not known without prices.",
    ]


def test_the_sums_are_those_of_the_items():
    notebook = read_market_days(sheet(), "market_days.csv", AS_OF)
    answer = as_json(notebook, outlook_of(notebook, AS_OF, None))
    items = [item for market in answer["markets"] for item in market["items"]]
    for what in ("running_out", "compost"):
        assert sum(item[what]["mean"] for item in items) == pytest.approx(answer[what]["mean"], abs=0.05)


def test_a_fault_in_one_line():
    refused = NotebookRefused("It is wrong.", "Mend it.", row=7, column="brought")
    assert fault_in_words(refused, "a.csv") == "a.csv, row 7, column brought: It is wrong. Mend it."
    assert fault_in_words(NotebookRefused("It is wrong.", "Mend it."), "a.csv") == "a.csv: It is wrong. Mend it."


def test_rows_far_below_the_table_that_were_not_read_are_said():
    kept = [line.split(",") for line in BARE.decode().splitlines()]
    source = xlsx([*kept, *[[]] * 5_001, kept[1]])
    assert as_json(notebook := read_market_days(source, "market.xlsx", AS_OF), outlook_of(notebook, AS_OF, None))[
        "notes"
    ] == ["5000 empty rows, row 5005 and all below it (too many empty rows stand above) left out"]
