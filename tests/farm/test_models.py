"""Rules of the farm's tables hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.farm.models import ClosedDays, Farm

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"id": 2}, "farm_is_one"),
        ({"latitude": 91}, "farm_latitude_on_earth"),
        ({"season_first_on": date(2026, 5, 1), "season_last_on": date(2026, 4, 30)}, "farm_season_in_order"),
    ],
)
def test_a_farm_that_breaks_a_rule_is_not_stored(wrong, rule):
    with pytest.raises(IntegrityError, match=rule):
        Farm.objects.bulk_create([Farm(**{"id": 1, "name": "Mill Bend", "latitude": 42, **wrong})])


def test_closed_days_end_after_they_begin():
    with pytest.raises(IntegrityError, match="closed_days_in_order"):
        ClosedDays.objects.bulk_create([ClosedDays(first_on=date(2026, 12, 26), last_on=date(2026, 12, 25))])
