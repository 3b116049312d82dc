"""An entry for rows of tests that need one."""

from datetime import UTC, date, datetime

from farmops.journal.models import Entry

SAID = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def an_entry(key: str = "a form", job: str = "set", **other: object) -> Entry:
    """A stored entry of 4 May 2026."""
    facts = {"source": "page", "farm_day": date(2026, 5, 4), "said_at": SAID, "received_at": SAID, **other}
    return Entry.objects.create(once_key=key, job=job, **facts)
