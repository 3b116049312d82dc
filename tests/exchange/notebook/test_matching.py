import pytest

from farmops.exchange.notebook import Answers, NotebookRefused, read_notebook
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.matching import Columns, match_columns
from tests.exchange.notebook.sheets import text

NEEDED = ("Date", "Item", "Brought", "Left over")


def match(*headings, **given):
    questions = Questions(Answers.of(given))
    return match_columns(Columns(headings), questions), questions


def test_each_heading_names_its_column_and_the_rest_is_listed():
    mapping, questions = match(*NEEDED, "Who", "")
    assert {name: mapping.column(name) for name in mapping.columns} == {
        "date": 0,
        "item": 1,
        "brought": 2,
        "left_over": 3,
    }
    assert (mapping.unused, mapping.heading("brought"), questions.doubts) == (("Who",), "Brought", [])


def test_a_strong_word_inside_a_heading_counts_where_nothing_else_does():
    mapping, _questions = match(*NEEDED, "When it ran out", "Weather that day")
    assert (mapping.column("sold_out_at"), mapping.column("weather")) == (4, 5)
    mapping, _questions = match(*NEEDED, "When it ran out", "Gone by")
    assert mapping.column("sold_out_at") == 5


def test_the_exact_name_wins_over_a_second_heading_of_the_same_meaning():
    mapping, questions = match(*NEEDED, "Took")
    assert (mapping.column("brought"), questions.doubts) == (2, [])


def test_several_kinds_of_leftover_are_one_field():
    mapping, _questions = match("Date", "Item", "Brought", "Donated", "Compost")
    assert mapping.columns["other_left"] == (3, 4)


def test_a_mapping_given_by_the_person_overrides_and_frees_the_column():
    mapping, questions = match(*NEEDED, "Sold", **{"column.brought": "4", "column.sold": "none"})
    assert (mapping.column("brought"), mapping.has("sold"), questions.doubts) == (4, False, [])
    mapping, _questions = match(*NEEDED, "Sold", **{"column.brought": "99"})
    assert mapping.column("brought") == 2


ABROAD = [
    ["Datum", "Sted", "Vare", "medbragt", "retur", "Kroner"],
    ["2026-05-02", "Markt", "Kale", 40, 6, "3.00"],
    ["2026-05-02", "Markt", "Basil", 24, 0, "2.50"],
    ["2026-05-06", "Hof", "Kale", 30, 2, "3.00"],
    ["2026-05-09", "Markt", "Kale", 42, 5, "3.00"],
]
OWN_WORDS = [
    ["The day", "Where we stood", "Thing", "In the van", "Back in the van", "Empty at", "Asked for"],
    ["2026-05-02", "Town", "Kale", 40, 6, "", 3],
    ["2026-05-02", "Town", "Basil", 38, 0, "11:40", 2],
    ["2026-05-09", "Town", "Kale", 42, 0, "12:10", 3],
]


def asked(rows, **given):
    return {
        doubt.key: [choice.words for choice in doubt.choices]
        for doubt in read_notebook(text(rows), answers=Answers.of(given)).doubts
        if doubt.key.startswith("column.")
    }


def test_headings_in_words_nobody_knows_are_asked_with_their_first_values_and_the_likeliest_first():
    found = asked(ABROAD)
    assert sorted(found) == ["column.brought", "column.item", "column.left_over", "column.market", "column.price"]
    assert found["column.item"] == [
        "Sted (Markt, Hof)",
        "Vare (Kale, Basil)",
        "medbragt (40, 24, 30)",
        "retur (6, 0, 2)",
        "Kroner (3.00, 2.50)",
        "It is not in this sheet",
    ]
    assert found["column.brought"][:2] == ["medbragt (40, 24, 30)", "retur (6, 0, 2)"]
    assert found["column.left_over"][0] == "retur (6, 0, 2)"
    given = {"market": "1", "item": "2", "brought": "3", "left_over": "4", "price": "5"}
    notebook = read_notebook(
        text(ABROAD), answers=Answers.of({f"column.{name}": column for name, column in given.items()})
    )
    assert [(each.market, each.item, each.brought, each.left, each.price) for each in notebook.records] == [
        ("Markt", "Kale", 40, 6, 3.0),
        ("Markt", "Basil", 24, 0, 2.5),
        ("Hof", "Kale", 30, 2, 3.0),
        ("Markt", "Kale", 42, 5, 3.0),
    ]


def test_headings_in_a_growers_own_words_are_asked_not_refused():
    found = asked(OWN_WORDS)
    assert {name: words[0] for name, words in found.items()} == {
        "column.market": "Where we stood (Town)",
        "column.brought": "In the van (40, 38, 42)",
        "column.left_over": "Back in the van (6, 0)",
        "column.price": "Asked for (3, 2)",
    }
    given = {"column.market": "1", "column.brought": "3", "column.left_over": "4"}
    notebook = read_notebook(text(OWN_WORDS), answers=Answers.of(given))
    assert (notebook.open, notebook.unused) == ((), ("Asked for",))
    assert [(each.brought, each.left, each.ran_out_at, each.price) for each in notebook.records] == [
        (40, 6, (), None),
        (38, 0, (700,), None),
        (42, 0, (730,), None),
    ]


UNUSUAL = [
    ["when", "greens", "wanted back", "customers", "onto the truck", "drove home with"],
    ["2026-05-02", "Spinach", "$3", 90, 16, "none"],
    ["2026-05-02", "Bok choy", "$3.50", 90, 14, 2],
    ["2026-05-09", "Spinach", "$3", 70, 16, "none"],
    ["2026-05-09", "Bok choy", "$3.50", 70, 14, 11],
]


def test_counts_that_fit_what_was_brought_come_first_and_money_last():
    given = {"column.item": "1", "column.brought": "4"}
    found = asked(UNUSUAL, **given)
    assert found["column.left_over"] == [
        "drove home with (none, 2, 11)",
        "customers (90, 70)",
        "wanted back ($3, $3.50)",
        "It is not in this sheet",
    ]
    assert found["column.price"][0] == "wanted back ($3, $3.50)"
    assert [words.partition(" (")[0] for words in asked(UNUSUAL, **{"column.item": "1"})["column.brought"]][
        -2
    ] == "wanted back"


def test_small_numbers_with_decimals_are_the_likeliest_prices():
    more = [("visitors", "takings", "for it"), (6, "12.50", "2.25"), (7, "13.50", "2.75"), (8, "12.50", "2.25")]
    rows = [[*row[:5], *extra] for row, extra in zip(OWN_WORDS, more, strict=True)]
    given = {"column.market": "1", "column.brought": "3", "column.left_over": "4"}
    assert asked(rows, **given)["column.price"] == [
        "for it (2.25, 2.75)",
        "takings (12.50, 13.50)",
        "visitors (6, 7, 8)",
        "It is not in this sheet",
    ]


def test_a_price_that_no_heading_names_is_asked_once_and_blocks_nothing():
    rows = [["Date", "Item", "Brought", "Left", "Taken for it"], ["2026-05-02", "Kale", 40, 6, "3.00"]]
    notebook = read_notebook(text(rows))
    assert next((doubt.key, doubt.default) for doubt in notebook.doubts) == ("column.price", "none")
    assert (notebook.is_ready, notebook.records[0].price) == (True, None)
    assert read_notebook(text(rows), answers=Answers.of({"column.price": "4"})).records[0].price == 3.0
    assert "column.price" not in asked([row[:4] for row in rows])
    assert "column.price" not in asked([[*row, price] for row, price in zip(rows, ("$/bunch", "3"), strict=True)])


def test_a_column_of_times_without_a_known_heading_is_asked():
    rows = [["Date", "Item", "Brought", "Left", "Bare table"], ["2026-05-02", "Kale", 40, 0, "11:40"]]
    assert asked(rows)["column.sold_out_at"] == ["Bare table (11:40)", "It is not in this sheet"]
    assert read_notebook(text(rows), answers=Answers.of({"column.sold_out_at": "4"})).records[0].ran_out_at == (700,)


def test_remarks_are_not_taken_for_a_market():
    rows = [["Date", "Item", "Brought", "Left", "Remark"]]
    rows += [[f"2026-05-0{day}", "Kale", 40, 6, f"remark {chr(64 + day)}"] for day in range(1, 6)]
    assert asked(rows) == {}


def test_a_column_for_each_item_is_refused_only_where_no_words_could_be_the_item():
    wide = [["Date", "Kale", "Basil", "Chard"], ["2026-06-06", 40, 20, 10], ["2026-06-13", 40, 20, 9]]
    words = "This sheet seems to have one column for each item (Kale, Basil, Chard), not one row."
    with pytest.raises(NotebookRefused) as refused:
        read_notebook(text(wide))
    assert (refused.value.words, refused.value.row) == (words, 1)
    remarked = [[*row, note] for row, note in zip(wide, ("Remark", "quiet", "busy"), strict=True)]
    assert asked(remarked)["column.item"][0] == "Remark (quiet, busy)"
    with pytest.raises(NotebookRefused) as refused:
        read_notebook(text(remarked), answers=Answers.of({"column.item": "none"}))
    assert refused.value.words == words


def test_one_column_for_two_meanings_comes_back_with_the_reason():
    given = {"column.market": "1", "column.brought": "3", "column.left_over": "3"}
    notebook = read_notebook(text(OWN_WORDS), answers=Answers.of(given))
    (doubt,) = notebook.open
    assert (doubt.key, doubt.question) == (
        "column.brought",
        "Which column tells how many were brought? “In the van” already tells something else.",
    )


def test_a_heading_of_unknown_words_above_figures_is_a_heading():
    rows = [["Dag", "Plass", "Vare", "ut", "inn"], ["2026-05-02", "Markt", "Kale", 40, 6]]
    notebook = read_notebook(text(rows))
    assert (notebook.table.heading_rows, notebook.open[0].key) == ((1,), "column.date")


def test_remarks_that_tell_of_days_not_held_are_asked_about():
    rows = [["Date", "Item", "Brought", "Left", "Remark"]]
    rows += [["2026-05-02", "Kale", 40, 6, "busy"], ["2026-05-09", "Kale", 45, 0, "planned"]]
    assert asked(rows) == {"column.status": ["Remark (busy, planned)", "It is not in this sheet"]}
    assert read_notebook(text(rows)).is_ready is False
    given = {"column.status": "4", "status": "yes"}
    notebook = read_notebook(text(rows), answers=Answers.of(given))
    assert ([each.brought for each in notebook.records], notebook.left_out) == ([40], (("planned", 1, "not held yet"),))


def test_a_few_places_are_enough_to_ask_for_the_market():
    rows = [["Date", "Sted", "Item", "Brought", "Left"]]
    rows += [[f"2026-05-0{day}", place, "Kale", 40, 6] for day, place in ((2, "Markt"), (3, "Hof"), (9, "Markt"))]
    assert asked(rows) == {"column.market": ["Sted (Markt, Hof)", "It is not in this sheet"]}


def test_figures_without_any_heading_are_asked_about_not_called_wide():
    rows = [["2026-06-06", 40, 6, 3], ["2026-06-13", 42, 5, 3]]
    found = asked(rows, heading="0")
    assert found["column.brought"][0] == "Column B (40, 42)"
    given = {"heading": "0", "column.date": "0", "column.item": "none", "column.brought": "1", "column.left_over": "2"}
    notebook = read_notebook(text(rows), answers=Answers.of({**given, "item": "Kale"}))
    assert [(each.item, each.brought, each.left) for each in notebook.records] == [("Kale", 40, 6), ("Kale", 42, 5)]
