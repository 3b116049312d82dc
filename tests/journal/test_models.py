"""Rules of the journal's tables hold also past the forms."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError

from farmops.journal.models import Entry, RefusedPost

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 9, 11, 10, 0, tzinfo=UTC)


def entry(**other):
    facts = {"once_key": "k", "job": "set", "source": "page", "farm_day": date(2026, 9, 11), "said_at": NOW}
    return Entry(**{**facts, "received_at": NOW, **other})


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"once_key": ""}, "entry_has_once_key"),
        ({"id": 7, "corrects_id": 7}, "entry_corrects_another"),
        ({"job": "undo"}, "entry_undo_names_what"),
    ],
)
def test_an_entry_that_breaks_a_rule_is_not_stored(wrong, rule):
    with pytest.raises(IntegrityError, match=rule):
        Entry.objects.bulk_create([entry(**wrong)])


@pytest.mark.parametrize("alike", ["once_key", "corrects"])
def test_keys_and_corrections_are_unique(alike):
    first = entry()
    first.save()
    second = {"once_key": {"once_key": "k"}, "corrects": {"once_key": "k-2", "corrects": first}}[alike]
    third = {"once_key": {"once_key": "k"}, "corrects": {"once_key": "k-3", "corrects": first}}[alike]
    with pytest.raises(IntegrityError, match=alike):
        Entry.objects.bulk_create([entry(**second), entry(**third)])


def test_a_refusal_has_its_reason():
    with pytest.raises(IntegrityError, match="refused_post_says_why"):
        RefusedPost.objects.bulk_create([RefusedPost(once_key="k", address="/", typed={}, why="", received_at=NOW)])
