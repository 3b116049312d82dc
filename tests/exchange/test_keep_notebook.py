"""Keeping, opening and forgetting a notebook."""

from datetime import UTC, datetime

import pytest
from django.db import IntegrityError

from farmops.exchange.desk import Sheet, key_of
from farmops.exchange.keep_notebook import forget_notebook, keep_notebook, open_kept
from farmops.exchange.models import KeptNotebook

NOW = datetime(2026, 9, 7, 9, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "content", [b"\x00\xffdate", "date\titem\né", "\ud800 lone"], ids=["bytes", "text", "surrogate"]
)
def test_a_kept_notebook_comes_back_as_it_came(content):
    sheet = Sheet(key_of(content), "market.csv", content)
    keep_notebook(sheet=sheet, answers="f.cost=1", at=NOW)
    assert open_kept(key=sheet.key) == sheet


def test_keeping_it_again_replaces_the_answers_and_adds_no_row():
    sheet = Sheet(key_of(b"a"), "market.csv", b"a")
    keep_notebook(sheet=sheet, answers="", at=NOW)
    keep_notebook(sheet=sheet, answers="column.date=1", at=NOW)
    assert [(row.key, row.answers) for row in KeptNotebook.objects.all()] == [(sheet.key, "column.date=1")]


def test_forgetting_says_whether_there_was_one():
    sheet = Sheet(key_of(b"a"), "market.csv", b"a")
    keep_notebook(sheet=sheet, answers="", at=NOW)
    assert (forget_notebook(key=sheet.key), forget_notebook(key=sheet.key)) == (True, False)
    assert open_kept(key=sheet.key) is None


def test_the_database_refuses_a_notebook_without_address():
    with pytest.raises(IntegrityError):
        KeptNotebook.objects.bulk_create([KeptNotebook(key="", name="x", content=b"", is_text=False, kept_at=NOW)])


def test_the_database_refuses_two_of_one_address():
    row = {"key": "k", "name": "x", "content": b"", "is_text": False, "kept_at": NOW}
    with pytest.raises(IntegrityError):
        KeptNotebook.objects.bulk_create([KeptNotebook(**row), KeptNotebook(**row)])
