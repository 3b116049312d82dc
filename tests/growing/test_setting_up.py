"""What a farm is set up with, part by part."""

import pytest

from farmops.growing.models import Item, SeedLot
from farmops.growing.setting_up import parts_of_farm
from tests.growing.beds import a_space, a_variety

pytestmark = pytest.mark.django_db


def test_an_empty_farm_has_nothing_of_any_part():
    parts = parts_of_farm()
    assert [(part.name, part.there) for part in parts] == [
        (name, "") for name in ("The farm", "Spaces", "Varieties", "Items", "Seed", "Outlets and prices")
    ]
    assert [part.action for part in parts] == ["Begin", *["Open"] * 5]


def test_what_there_is_is_counted(django_assert_num_queries):
    a_space("F-1"), a_space("F-2")
    Item.objects.create(name="butterhead", unit="head", keeps_days=5)
    SeedLot.objects.create(name="S-1", variety=a_variety())
    with django_assert_num_queries(5):
        parts = parts_of_farm()
    assert [part.there for part in parts] == ["Two Brooks, 42 N", "2 spaces", "1 variety", "1 item", "1 lot", ""]
