"""What the page of items shows: each with its unit, what it contains and what it is made of."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from farmops.growing.models import Item, ItemPart
from farmops.growing.natural_order import natural_key


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One item and its parts, the greatest share first."""

    item: Item
    parts: Sequence[ItemPart]


def items_list() -> list[ItemLine]:
    """All items in natural order. Two queries."""
    parts: dict[int, list[ItemPart]] = defaultdict(list)
    for part in ItemPart.objects.select_related("variety").order_by("-share_percent", "pk"):
        parts[part.item_id].append(part)
    items = sorted(Item.objects.all(), key=lambda one: natural_key(one.name))
    return [ItemLine(one, parts[one.pk]) for one in items]


def parts_in_order(item: Item) -> list[ItemPart]:
    """The parts of one in the order in which they were given."""
    return list(ItemPart.objects.filter(item=item).select_related("variety").order_by("pk"))
