"""What happens before a page is asked for."""

import pytest

from farmops.journal.models import Entry
from farmops.planning.standing_now import standing_now
from farmops.proving.speed.before import BEFORE
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("before", "is_anew"), [("", False), ("after an entry", True), ("first of the day", True)])
def test_what_stands_is_remembered_or_worked_out_anew(before, is_anew):
    a_place()
    a_planting(a_variety())
    found = standing_now(TODAY)
    entries = Entry.objects.count()
    BEFORE[before]()
    assert (standing_now(TODAY) is not found) == is_anew
    assert Entry.objects.count() - entries == (before == "after an entry")
