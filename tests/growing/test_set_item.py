"""Items set on a page: what they are, what they contain, what they are made of."""

from decimal import Decimal

import pytest

from farmops.core.quantities import NG
from farmops.growing.models import Item, ItemPart
from farmops.growing.set_item import add_item, change_item
from farmops.growing.typed_item import PartTyped, typed_of
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import a_schedule, a_variety, saying

pytestmark = pytest.mark.django_db
MIX = (PartTyped(1, "red oakleaf", "60", at_least="50", at_most="70"), PartTyped(2, "arugula", "40"))
BAG = {"unit": "Bags", "keeps_days": "5", "contains": "150", "contains_unit": "g", "cutting_cost": ".40"}


@pytest.fixture
def leaves(db):
    for name in ("red oakleaf", "arugula", "green butterhead"):
        a_variety(name)


def add(key="add", name="salad mix", parts=MIX, **other):
    return add_item(saying=saying(key), name=name, parts=parts, **{**BAG, **other}).entry


def made_of():
    return list(ItemPart.objects.order_by("pk").values_list("variety__name", "share_percent"))


def test_an_item_is_added_with_its_parts_and_taken_back(leaves):
    added = add()
    item = Item.objects.get()
    assert added.said == "salad mix is sold by the bag: red oakleaf 60 %, arugula 40 %"
    assert (item.unit, item.step, item.contains, item.cutting_cost_cents, item.keep_loss_percent) == (
        "bag", 1, 150, 40, 10
    )  # fmt: skip
    assert made_of() == [("red oakleaf", 60), ("arugula", 40)]
    undo(saying("back", corrects=added))
    assert (Item.objects.count(), ItemPart.objects.count()) == (0, 0)
    add("again")


def test_one_variety_alone_is_all_of_it_and_steps_of_a_weight_are_weights(leaves):
    add(parts=(PartTyped(1, "arugula"),), unit="lb", step="0.25", contains="", contains_unit="")
    assert made_of() == [("arugula", 100)]
    assert Item.objects.get().step == NG["lb"] // 4


def test_shares_that_do_not_add_up_are_refused_with_what_they_would_be(leaves):
    thirds = tuple(PartTyped(row, name, "30") for row, name in enumerate(("red oakleaf", "arugula"), 1))
    third = PartTyped(4, "green butterhead", "30")
    words = r"^The shares add up to 90, not to 100\. In the same proportion they would be 33\.3, 33\.3, 33\.4\.$"
    with pytest.raises(Refused, match=words) as refused:
        add(parts=(*thirds, third))
    assert (refused.value.field, Item.objects.count()) == ("share_4", 0)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": " "}, "name"),
        ({"unit": ""}, "unit"),
        ({"parts": ()}, "variety_1"),
        ({"parts": (PartTyped(2, "", "100"),)}, "variety_2"),
        ({"parts": (PartTyped(1, "nobody", "100"),)}, "variety_1"),
        ({"parts": (PartTyped(1, "arugula", "50"), PartTyped(2, "arugula", "50"))}, "variety_2"),
        ({"parts": (PartTyped(1, "arugula", "50"), PartTyped(2, "red oakleaf", ""))}, "share_2"),
        ({"parts": (PartTyped(1, "arugula", "100", at_least="101"),)}, "at_least_1"),
        ({"parts": (PartTyped(1, "arugula", "90", at_least="95"), MIX[0])}, "at_least_1"),
        ({"parts": (PartTyped(1, "arugula", "90", at_most="85"), MIX[0])}, "at_most_1"),
        ({"keeps_days": ""}, "keeps_days"),
        ({"contains": "0"}, "contains"),
        ({"contains_unit": ""}, "contains_unit"),
        ({"step": "0.25"}, "step"),
        ({"keep_loss": "110"}, "keep_loss"),
    ],
)
def test_what_cannot_be_adds_nothing(leaves, wrong, field):
    with pytest.raises(Refused) as refused:
        add(**wrong)
    assert (refused.value.field, Item.objects.count()) == (field, 0)


def test_a_name_is_given_once(leaves):
    add()
    with pytest.raises(Refused, match=r"^There is an item Salad Mix already\.$"):
        add("twice", name="Salad Mix")


def test_it_contains_what_its_varieties_are_cut_in(leaves):
    a_schedule(a_variety("arugula"), ("bed", 30, 4), way="cut", unit="lb", units_per_plant=Decimal("0.1"))
    add()
    a_schedule(a_variety("green butterhead"), ("bed", 30, 4))
    with pytest.raises(Refused, match=r"^green butterhead is cut in head, but bag of one counts g\. Say what one"):
        add("heads", name="bag of one", parts=(PartTyped(1, "green butterhead"),))


def test_parts_come_and_go_and_an_undo_brings_back_what_was(leaves):
    add()
    item = Item.objects.get()
    keys = list(ItemPart.objects.order_by("pk").values_list("pk", flat=True))
    typed = {name: text for name, text in typed_of(item, []).items()}
    parts = (PartTyped(1, "green butterhead", "25"), PartTyped(2, "red oakleaf", "75"))
    changed = change_item(saying=saying("change"), item=item, parts=parts, **{**typed, "keeps_days": "6"}).entry
    assert changed.said == "salad mix changed: green butterhead 25 %, red oakleaf 75 %"
    assert made_of() == [("red oakleaf", 75), ("green butterhead", 25)]
    assert sorted(changed.changes.values_list("column", flat=True)) == [
        "at_least_percent", "at_most_percent", "keeps_days", "share_percent"
    ]  # fmt: skip
    undo(saying("back", corrects=changed))
    assert made_of() == [("red oakleaf", 60), ("arugula", 40)]
    assert list(ItemPart.objects.order_by("pk").values_list("pk", flat=True)) == keys
    assert Item.objects.get().keeps_days == 5


def test_what_stands_in_the_boxes_leaves_it_as_it_is(leaves):
    add()
    item = Item.objects.get()
    boxes = typed_of(item, list(ItemPart.objects.select_related("variety").order_by("pk")))
    assert (boxes["variety_1"], boxes["share_1"], boxes["at_least_1"], boxes["contains"]) == (
        "red oakleaf", "60", "50", "150"
    )  # fmt: skip
    facts = {name: text for name, text in boxes.items() if name[-1] not in "123456789"}
    assert change_item(saying=saying("same"), item=item, parts=MIX, **facts).entry.changes.count() == 0
