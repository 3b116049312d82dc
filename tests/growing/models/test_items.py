"""Rules of items and their parts hold also past the forms."""

import pytest
from django.db import IntegrityError

from farmops.growing.models import Item, ItemPart, Variety

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("wrong", [{"name": "Salad Mix"}, {"step": 0}])
def test_an_item_that_breaks_a_rule_is_not_stored(wrong):
    Item.objects.create(name="salad mix", unit="bag", keeps_days=5)
    with pytest.raises(IntegrityError):
        Item.objects.bulk_create([Item(**{"name": "basil", "unit": "bunch", "keeps_days": 4, **wrong})])


@pytest.mark.parametrize("shares", [[0], [101], [50, 50]], ids=["nothing", "more than all", "twice"])
def test_parts_that_break_a_rule_are_not_stored(shares):
    item = Item.objects.create(name="salad mix", unit="bag", keeps_days=5)
    variety = Variety.objects.create(name="mizuna", crop="mizuna")
    with pytest.raises(IntegrityError):
        ItemPart.objects.bulk_create([ItemPart(item=item, variety=variety, share_percent=share) for share in shares])
