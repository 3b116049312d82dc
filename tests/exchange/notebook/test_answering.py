"""Whoever answers every question gets a notebook that is ready, or is told in words why there is none."""

from collections import Counter
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.exchange.notebook import Answers, NotebookRefused, read_notebook
from tests.exchange.notebook.sheets import text, xlsx

TYPED = {"year": "2026", "item": "Kale"}  # questions without choices that have no default
ROUNDS = 10
NEEDED = (0, 2, 3, 4)  # of KINDS: day, thing, brought, left over

DAYS = st.one_of(
    *[st.dates(date(2025, 3, 1), date(2026, 10, 31)).map(str)] * 4,
    st.sampled_from("3/4/26 4/5/26 5/6 12-Jul 31/12/25 2026-13-40 46115 Total someday".split()),
    st.just(""),
)
PLACES = st.sampled_from(["Town", "town ", "Towns", "Mill Street", "", "—"])
THINGS = st.sampled_from(["Kale", "kale", "Kales", "Basil", "Salad mix", "", "12", "=A1"])
COUNTS = st.one_of(
    *[st.integers(0, 60).map(str)] * 3,
    st.sampled_from(["", "none", "all", "1,250", "12,5", "-3", "8 oz", "9 lb", "abc", "999999", "?", "~20", "(4)"]),
)
TIMES = st.sampled_from(["", "", "11:40", "11.40", "1:10", "15:30", "17:00:30", "late", "9;12:10", "yes", "4:00 am"])
HOURS = st.sampled_from(["", "8", "08:00", "13", "1 pm", "15:00", "7", "dawn"])
MONEY = st.sampled_from(["", "3", "$2.50", "2 for 5", "3 dollars", "2,50", "free"])
STATUS = st.sampled_from(["", "", "held", "planned", "called off", "hmm", "left early 11:00"])
SKY = st.sampled_from(["", "dry", "rain", "busy"])
KINDS = (
    (DAYS, ["Date", "Datum", "The day", "Tag"]),
    (PLACES, ["Market", "Ort", "Where we stood"]),
    (THINGS, ["Item", "Was", "Thing", "Ware"]),
    (COUNTS, ["Brought", "In the van", "mitgenommen", "Took", "Sold"]),
    (COUNTS, ["Left over", "Back in the van", "zurück", "Came back", "Donated"]),
    (TIMES, ["Sold out at", "Empty at", "leer um", "Ran out"]),
    (MONEY, ["Price", "$ ea", "Asked for", "Preis", "Sales $"]),
    (COUNTS, ["Sold", "verkauft", "Restocked", "Carried in"]),
    (HOURS, ["Opens", "auf", "From"]),
    (HOURS, ["Closes", "zu", "To"]),
    (STATUS, ["Status", "Remark", "Notes"]),
    (SKY, ["Weather", "Himmel"]),
)


@st.composite
def messy_sheets(draw):
    """Three to twelve columns under known and unknown words, those that matter mostly there; any cell may be empty."""
    chosen = draw(st.lists(st.sampled_from(range(len(KINDS))), min_size=3, max_size=len(KINDS), unique=True))
    if draw(st.integers(0, 3)):
        chosen = list(dict.fromkeys([*chosen, *NEEDED]))
    headings = [draw(st.sampled_from(KINDS[kind][1])) for kind in chosen]
    rows = draw(st.lists(st.tuples(*(KINDS[kind][0] for kind in chosen)), min_size=1, max_size=8))
    top = draw(st.sampled_from([[headings], [headings], [headings], [["Our book"], headings], []]))
    return [*top, *rows]


def first(doubt):
    return doubt.choices[0].key


def answer_all(source, choose=first):
    """Answer every open question, again and again; the notebook, or None where it is refused."""
    said = {}
    for _round in range(ROUNDS):
        try:
            notebook = read_notebook(source, answers=Answers.of(said))
        except NotebookRefused:
            return None
        if not notebook.open:
            return notebook
        taken = Counter(value for key, value in said.items() if key.startswith("column."))
        # Only a column given to two meanings is asked about again.
        back = [doubt.key for doubt in notebook.open if doubt.key in said and taken[said[doubt.key]] < 2]
        assert back == []
        for doubt in notebook.open:
            said[doubt.key] = choose(doubt) if doubt.choices else TYPED[doubt.key]
    pytest.fail(f"still asking after {ROUNDS} rounds: {[doubt.key for doubt in notebook.open]}, answered {said}")


def assert_ready(notebook):
    """Records, or every row accounted for."""
    left_out = sum(rows for _reason, rows, _words in notebook.left_out)
    assert len(notebook.records) + left_out == len(notebook.table.rows)
    assert notebook.is_ready or left_out > 0
    for record in notebook.records:
        assert record.left is None or record.left <= record.brought + record.carried_in
        assert all(record.opens <= minute <= record.closes for minute in record.ran_out_at)


@settings(max_examples=150)
@given(messy_sheets())
def test_answering_every_question_ends_with_a_notebook_or_a_refusal(rows):
    notebook = answer_all(text(rows, "\t"))
    if notebook is not None:
        assert_ready(notebook)


@settings(max_examples=100)
@given(messy_sheets(), st.randoms(use_true_random=False))
def test_so_does_answering_in_any_other_way(rows, random):
    notebook = answer_all(text(rows, "\t"), lambda doubt: random.choice(doubt.choices).key)
    if notebook is not None:
        assert_ready(notebook)


@settings(max_examples=30)
@given(messy_sheets(), messy_sheets())
def test_so_it_does_for_a_workbook_of_two_sheets(rows, more):
    notebook = answer_all(xlsx(rows, more=[("Other", more)]))
    if notebook is not None:
        assert_ready(notebook)
