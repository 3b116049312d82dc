"""A pick as it is written, and its rows by hand."""

import sqlite3
from contextlib import closing

import pytest

from farmops.farm.forms import new_key
from farmops.harvest.models import Pick
from farmops.journal.models import Entry
from farmops.proving.speed.posting import DONE, ByHand, Statement, caught_writes, posts_that_are_taken
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved
from tests.planning.test_due_now import a_pick
from tests.proving.speed.browsers import browsers


@pytest.mark.django_db
def test_a_pick_that_is_taken_writes_an_entry_and_is_taken_once(phone_client, office_client):
    a_place()
    stay = moved(a_planting(a_variety()).stays.get(), "N-1", 36, TODAY)
    a_pick(stay, 2)
    phone = browsers(phone_client, office_client)["phone"]
    (post,) = posts_that_are_taken(phone)
    entries, key = Entry.objects.count(), new_key()
    with caught_writes() as statements:
        assert [post.send(phone, key) for _again in range(2)] == [DONE, DONE]
    assert Entry.objects.count() == entries + 1
    assert Pick.objects.filter(entry__once_key=key).count() == 1
    inserts = [one.sql.split('"')[1] for one in statements if one.columns]
    assert inserts[:2] == ["journal_entry", "harvest_pick"] or "harvest_pick" in inserts
    assert sum(list(one.values).count(key) for one in statements) == 1
    assert all(one.sql.count("?") == len(one.values) for one in statements)


def test_rows_by_hand_belong_to_the_new_entry(tmp_path):
    copy = tmp_path / "copy.sqlite3"
    with closing(sqlite3.connect(copy)) as made:
        made.executescript(
            'CREATE TABLE "journal_entry" ("id" integer PRIMARY KEY, "once_key" text UNIQUE);'
            'CREATE TABLE "pick" ("id" integer PRIMARY KEY, "entry_id" integer UNIQUE REFERENCES "journal_entry",'
            ' "count" integer);'
            'INSERT INTO "journal_entry" VALUES (7, \'first\'); INSERT INTO "pick" VALUES (1, 7, 24);'
        )
    statements = [
        Statement('INSERT INTO "journal_entry" ("once_key") VALUES (?) RETURNING "id"', ["first"], ["once_key"]),
        Statement('INSERT INTO "pick" ("entry_id", "count") VALUES (?, ?)', [7, 24], ["entry_id", "count"]),
        Statement('UPDATE "pick" SET "count" = ? WHERE "id" = ?', [25, 1], []),
    ]
    with closing(ByHand(statements, "first", copy)) as by_hand:
        by_hand.write("second")
        by_hand.write("third")
    with closing(sqlite3.connect(copy)) as made:
        assert made.execute('SELECT "id", "once_key" FROM "journal_entry"').fetchall() == [
            (7, "first"), (8, "second"), (9, "third"),
        ]  # fmt: skip
        assert made.execute('SELECT "entry_id", "count" FROM "pick"').fetchall() == [(7, 25), (8, 24), (9, 24)]
