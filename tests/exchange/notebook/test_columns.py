import pytest

from farmops.exchange.notebook import Answers
from farmops.exchange.notebook.columns import field_of, match_columns
from farmops.exchange.notebook.doubts import Questions

NEEDED = ("Date", "Item", "Brought", "Left over")


def match(*headings, **given):
    questions = Questions(Answers.of(given))
    return match_columns(headings, questions), questions


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("What", "item"),
        ("crop", "item"),
        ("  Crop ", "item"),
        ("took", "brought"),
        ("Came back", "left_over"),
        ("Left-over", "left_over"),
        ("gone by", "sold_out_at"),
        ("Ran out", "sold_out_at"),
        ("SOLD OUT AT", "sold_out_at"),
        ("where", "market"),
        ("Price ($)", "price"),
        ("Brought lb", "brought"),
        ("# brought", "brought"),
        ("Brought (bunches)", "brought"),
        ("sold_out_at", "sold_out_at"),
        ("Donated", "other_left"),
        ("Harvest notes", None),
        ("", None),
    ],
)
def test_headings_in_many_words(heading, name):
    assert field_of(heading) == name


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
