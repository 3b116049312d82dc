"""What was acknowledged is on disk, and reading first and writing then does not fail: asserted on the real database."""

import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.contrib.sessions.models import Session
from django.db import connection, transaction
from django.utils import timezone

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.sqlite


def pragma(name):
    with connection.cursor() as cursor:
        return cursor.execute(f"PRAGMA {name}").fetchone()[0]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "value"),
    [("journal_mode", "wal"), ("synchronous", 2), ("busy_timeout", 60000), ("foreign_keys", 1), ("temp_store", 2)],
)
def test_the_settings_have_arrived_in_the_connection(name, value):
    # A setting put at the wrong level is ignored without a word, so it is read back. synchronous 2 is FULL.
    assert pragma(name) == value


@pytest.mark.django_db(transaction=True)
def test_a_transaction_that_has_only_read_holds_the_lock_for_writing():
    """Read, then write, in one transaction: with a deferred one the other writer gets between, and ours fails."""
    insert = "insert into django_session values (?, '', '2030-01-01')"
    other = sqlite3.connect(connection.settings_dict["NAME"], timeout=0, isolation_level=None)
    try:
        with transaction.atomic():
            assert Session.objects.count() == 0
            with pytest.raises(sqlite3.OperationalError, match="database is locked"):
                other.execute(insert, ["between"])
            Session.objects.create(session_key="ours", expire_date=timezone.now())
        other.execute(insert, ["after"])
    finally:
        other.close()
    assert sorted(Session.objects.values_list("session_key", flat=True)) == ["after", "ours"]


@pytest.mark.django_db(transaction=True)
def test_reading_is_not_kept_waiting_by_a_writer():
    with transaction.atomic():
        Session.objects.create(session_key="unseen", expire_date=timezone.now())
        reader = sqlite3.connect(connection.settings_dict["NAME"], timeout=0)
        try:
            assert reader.execute("select count(*) from django_session").fetchone() == (0,)
        finally:
            reader.close()


WRITER = """
import itertools, os, sys, django
django.setup()
from django.contrib.sessions.models import Session
from django.utils import timezone
for number in itertools.count():
    key = f"{sys.argv[1]}-{number}"
    Session.objects.create(session_key=key, expire_date=timezone.now())
    os.write(1, f"{key}\\n".encode())  # acknowledged: from here on it may not be lost
"""


@pytest.mark.real_time
def test_what_was_acknowledged_survives_a_kill(tmp_path):
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"FARMOPS_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "farmops.settings"}
    subprocess.run([sys.executable, "-m", "django", "migrate", "-v", "0"], cwd=ROOT, env=environment, check=True)
    acknowledged = []
    for round_ in range(3):
        command = [sys.executable, "-c", WRITER, f"round{round_}"]
        with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as writer:
            acknowledged.append(writer.stdout.readline().strip())
            time.sleep(0.2)
            writer.kill()
            # The last line may be cut short; it then says less than what was written, so only whole lines count.
            acknowledged += [line.strip() for line in writer.stdout if line.endswith("\n")]
    database = sqlite3.connect(tmp_path / "farm.sqlite3")
    try:
        kept = {key for (key,) in database.execute("select session_key from django_session")}
        sound = database.execute("pragma integrity_check").fetchone()
    finally:
        database.close()
    assert len(acknowledged) > 3
    assert [key for key in acknowledged if key not in kept] == []
    assert sound == ("ok",)
