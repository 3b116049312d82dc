"""Rules of stored answers hold also past the forms."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError

from farmops.planning.models import StoredAnswer


@pytest.mark.django_db
def test_there_is_one_answer_of_a_kind():
    facts = {"kind": "sowing", "as_of": date(2026, 5, 4), "made_at": datetime(2026, 5, 4, tzinfo=UTC), "last_entry": 0}
    with pytest.raises(IntegrityError):
        StoredAnswer.objects.bulk_create([StoredAnswer(answer={}, **facts), StoredAnswer(answer={}, **facts)])
