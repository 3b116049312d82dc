"""What the pages of the cold room do not reach: the deed itself."""

import pytest

from farmops.growing.models import Item
from farmops.harvest.models import StockMove
from farmops.harvest.move_stock import Lies, count_stock, take_out
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.harvest.picks import a_planting, lb, pick, saying

pytestmark = pytest.mark.django_db


def test_only_what_goes_out_by_hand_goes_out_here():
    with pytest.raises(ValueError, match="out of the cold room by hand"):
        take_out(saying=saying("a"), what=Lies(unit="lb"), amount="1", why=StockMove.Why.LOADED)


def test_what_has_no_known_lot_is_counted_by_what_it_is():
    item = Item.objects.create(name="bag", unit="bag", keeps_days=5)
    done = count_stock(saying=saying("a"), what=Lies(item=item, unit="bag"), there="12")
    assert done.entry.said == "Counted 12 of bag; noted were 0 bags"
    variety = a_planting().variety
    count_stock(saying=saying("b"), what=Lies(variety=variety, unit="lb"), there="3")
    assert list(StockMove.objects.order_by("pk").values_list("item", "variety", "amount", "unit", "cut_on")) == [
        (item.pk, None, 12, "bag", None),
        (None, variety.pk, lb(3), "lb", None),
    ]


def test_another_unit_is_refused_and_a_count_can_be_taken_back():
    planting = a_planting()
    pick("a", planting, weight="5")
    what = Lies(lot=planting.lots.get(), variety=planting.variety, unit="lb")
    with pytest.raises(Refused, match="is no weight"):
        count_stock(saying=saying("b"), what=what, there="5 head")
    counted = count_stock(saying=saying("c"), what=what, there="4 lb")
    assert sum(StockMove.objects.live().values_list("amount", flat=True)) == lb(4)
    undo(saying("d", corrects=counted.entry))
    assert sum(StockMove.objects.live().values_list("amount", flat=True)) == lb(5)


def test_the_correction_of_a_count_counts_from_before_it():
    planting = a_planting(way="head", unit="head")
    pick("a", planting, count="10")
    what = Lies(lot=planting.lots.get(), variety=planting.variety, unit="head")
    first = count_stock(saying=saying("b"), what=what, there="6")
    again = count_stock(saying=saying("c", corrects=first.entry), what=what, there="8")
    assert again.entry.said == f"Counted 8 of green butterhead; noted were 10 heads ({what.lot.code})"
    assert sum(StockMove.objects.live().values_list("amount", flat=True)) == 8
