from contextlib import suppress
from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.exchange.notebook import Answers, NotebookRefused, read_notebook
from tests.exchange.notebook.sheets import text, xlsx


def test_a_notebook_in_a_growers_own_words():
    notebook = read_notebook(
        "Our market book 2025\n"
        "\n"
        "Day\tWhere\tWhat\tTook\tCame back\tGone by\tSky\tWho\n"
        "Sat 26/4/25\tTown\tKale\t40\t6\t\tsunny\tAnn\n"
        "\t\tBasil\t24\t0\t11.40\t\tAnn\n"
        "Wed 30/4/25\tMill\tKale\t30\tnone\t\tshowers\tBo\n"
        "Total\t\t\t94\t6\t\t\t\n",
        answers=Answers.of({"empty.date": "above", "empty.market": "above"}),
    )
    found = [
        (record.day, record.market, record.item, record.brought, record.left, record.ran_out_at, record.weather)
        for record in notebook.records
    ]
    assert found == [
        (date(2025, 4, 26), "Town", "Kale", 40, 6, (), "dry"),
        (date(2025, 4, 26), "Town", "Basil", 24, 0, (700,), ""),
        (date(2025, 4, 30), "Mill", "Kale", 30, 0, (), "rain"),
    ]
    assert notebook.days_in_words == "26 April 2025 to 30 April 2025"
    assert notebook.table.left_out_in_words == "1 total row left out"
    assert notebook.unused == ("Who",)
    assert [(doubt.key, doubt.default) for doubt in notebook.doubts if doubt.default] == [
        ("opens.town", "08:00"),
        ("closes.town", "13:00"),
        ("opens.mill", "08:00"),
        ("closes.mill", "13:00"),
    ]


def test_without_market_and_hours_the_person_is_asked_once_with_shown_defaults():
    sheet = text([["Date", "Crop", "Brought", "Left"], ["2026-06-06", "Kale", 40, 6]])
    notebook = read_notebook(sheet)
    assert [(doubt.key, doubt.default) for doubt in notebook.doubts] == [
        ("market", "Market"),
        ("opens", "08:00"),
        ("closes", "13:00"),
    ]
    given = Answers.of({"market": "Mill Street", "opens": "9", "closes": "2 pm"})
    (record,) = read_notebook(sheet, answers=given).records
    assert (record.market, record.opens, record.closes) == ("Mill Street", 540, 840)


def test_a_column_that_no_word_names_is_asked_for_and_the_answer_wins():
    sheet = text([["Date", "Crop", "Xyzzy", "Left"], ["2026-06-06", "Kale", 40, 6]])
    (doubt,) = read_notebook(sheet).open
    assert (doubt.key, doubt.question) == ("column.brought", "Which column tells how many were brought?")
    assert [(choice.key, choice.words) for choice in doubt.choices] == [
        ("2", "Xyzzy (40)"),
        ("none", "It is not in this sheet"),
    ]
    assert read_notebook(sheet, answers=Answers.of({"column.brought": "2"})).records[0].brought == 40
    with pytest.raises(NotebookRefused, match="Sales alone do not tell"):
        read_notebook(sheet, answers=Answers.of({"column.brought": "none"}))


def test_two_columns_for_one_meaning_are_asked_about():
    sheet = text([["Date", "Crop", "Took", "Loaded", "Left"], ["2026-06-06", "Kale", 40, 44, 6]])
    assert [doubt.key for doubt in read_notebook(sheet).open] == ["column.brought"]
    assert read_notebook(sheet, answers=Answers.of({"column.brought": "3"})).records[0].brought == 44


def test_what_the_person_says_about_a_column_overrides_its_heading():
    sheet = text([["Date", "Crop", "Brought", "Sold", "Left"], ["2026-06-06", "Kale", 40, 34, 6]])
    swapped = Answers.of({"column.brought": "3", "column.sold": "none"})
    assert (read_notebook(sheet, answers=swapped).records[0].brought) == 34


def test_sales_alone_are_refused_in_words():
    with pytest.raises(NotebookRefused) as refused:
        read_notebook(
            text([["Date", "Crop", "Sold"], ["2026-06-06", "Kale", 34]]), answers=Answers.of({"column.brought": "none"})
        )
    assert refused.value.words == "Sales alone do not tell whether something ran out."


def test_a_column_for_each_item_is_explained():
    with pytest.raises(NotebookRefused) as refused:
        read_notebook(text([["Date", "Kale", "Basil", "Chard"], ["2026-06-06", 40, 20, 10], ["2026-06-13", 40, 20, 9]]))
    assert refused.value.words == "This sheet seems to have one column for each item (Kale, Basil, Chard), not one row."


@pytest.mark.case("I06")
def test_bad_cells_among_ten_thousand_rows_are_listed_and_nothing_is_taken_in():
    """The part that is built: row 7,412. In a notebook every name is a crop, and nothing is stored that a second import
    could find there already."""
    rows = [
        [f"20{16 + number % 10}-{1 + number % 12:02d}-{1 + number % 25:02d}", f"Item {number // 25}", 40, 6]
        for number in range(10_000)
    ]
    rows[7_412 - 2][2] = "abc"
    notebook = read_notebook(text([["Date", "Item", "Brought", "Left"], *rows]), answers=Answers.of({"twice": "first"}))
    (doubt,) = notebook.open
    assert (doubt.key, doubt.rows, doubt.question) == (
        "unreadable.brought",
        (7_412,),
        "“abc” in “Brought”, row 7412, cannot be read. What shall be done?",
    )
    assert notebook.records == ()


def test_rows_after_the_day_asked_for_are_counted_and_never_asked_about():
    sheet = text(
        [["Date", "Item", "Brought", "Left"], ["2026-06-06", "Kale", 40, 6], ["2026-06-13", "Kale", "abc", "x"]]
    )
    notebook = read_notebook(sheet, as_of=date(2026, 6, 6))
    assert notebook.left_out == (("after", 1, "after the day asked for"),)
    assert len(notebook.records) == 1


def test_formulas_are_shown_and_asked_about_never_worked_out():
    sheet = text([["Date", "Item", "Brought", "Left"], ["2026-06-06", "Kale", "=40+2", '=HYPERLINK("http://x")']])
    notebook = read_notebook(sheet)
    assert [(doubt.key, doubt.question[:9]) for doubt in notebook.open] == [
        ("unreadable.brought", "“=40+2” i"),
        ("unreadable.left_over", "“=HYPERLI"),
    ]


def test_an_answer_that_is_no_choice_is_no_answer():
    sheet = text([["Date", "Item", "Brought", "Left"], ["3/4/26", "Kale", 40, 6], ["5/4/26", "Kale", 40, 6]])
    assert [doubt.key for doubt in read_notebook(sheet, answers=Answers.of({"dates": "yes"})).open] == ["dates"]


HEADINGS = ["date", "market", "opens", "closes", "item", "unit", "price", "brought", "left_over", "sold_out_at"]


@st.composite
def notebooks(draw):
    """Plain rows as a sheet may hold them: typed cells, and the same as text."""
    typed, written = [HEADINGS], [HEADINGS]
    days = draw(st.lists(st.dates(date(2024, 1, 1), date(2026, 12, 31)), min_size=1, max_size=6, unique=True))
    for day in days:
        brought = draw(st.integers(1, 90))
        left = draw(st.one_of(st.none(), st.integers(0, brought)))
        out = draw(st.integers(480, 780)) if left == 0 and draw(st.booleans()) else None
        price = draw(st.integers(200, 900)) / 100
        at = None if out is None else time(out // 60, out % 60)
        typed.append([day, "Town", time(8), time(13), "Kale", "bunch", price, brought, left, at])
        written.append(
            [day, "Town", "08:00", "13:00", "Kale", "bunch", f"{price:.2f}", brought, left, at and f"{at:%H:%M}"]
        )
    return typed, written


@settings(max_examples=25)
@given(notebooks())
def test_csv_and_xlsx_of_the_same_rows_give_the_same_records(sheets):
    typed, written = sheets
    from_xlsx, from_csv = read_notebook(xlsx(typed)), read_notebook(text(written).encode())
    assert from_xlsx.records == from_csv.records
    assert len(from_csv.records) == len(written) - 1
    assert from_xlsx.economics == from_csv.economics


@settings(max_examples=150)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(pasted):
    with suppress(NotebookRefused):
        read_notebook(pasted)


@settings(max_examples=150)
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(source):
    with suppress(NotebookRefused):
        read_notebook(source)


CELLS = st.one_of(
    st.sampled_from(
        "3/4/26 2026-04-03 31/12/25 4-Apr 46115 11:40 11.4 noon 1pm 1,250 1.250 12,5 -3 (3.50) 1e9 abc none ? — = ½ "
        "lb Kale kale Total rain planned 1140 9:30;12:10 0 12 40 999999999 2for5 yes no".split()
    ),
    st.text(max_size=8),
    st.integers(-5, 10**7).map(str),
)


MORE_HEADINGS = "sold restocked restocked_at carried_in unit_cost step guess weather status donated What Other".split()
KEYS = (
    "heading dates year empty.date empty.market twice outside hours status unreadable.brought unreadable.date "
    "unreadable.left_over unreadable.sold_out_at unreadable.opens column.item column.date negative.brought "
    "balance.over opens market decimal.brought"
).split()
SAID = [*"0 1 2 none unknown above add first 2025 sold count point yes x".split(), "leave out", "day first"]


@settings(max_examples=200)
@given(
    st.lists(st.sampled_from([*HEADINGS, *MORE_HEADINGS]), min_size=3, max_size=12, unique=True),
    st.lists(st.lists(CELLS, min_size=3, max_size=12), min_size=1, max_size=6),
    st.dictionaries(st.sampled_from(KEYS), st.sampled_from(SAID), max_size=12),
)
def test_any_table_with_any_answers_is_read_or_refused(headings, rows, answers):
    with suppress(NotebookRefused):
        notebook = read_notebook("\n".join("\t".join(row) for row in [headings, *rows]), answers=Answers.of(answers))
        assert notebook.records == () or notebook.open == ()
        assert all(record.closes > record.opens and record.brought >= 0 for record in notebook.records)
