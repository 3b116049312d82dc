"""Tables of what grows."""

from farmops.growing.models.items import Item, ItemPart
from farmops.growing.models.plantings import Leaving, Planting, Stay, Walk
from farmops.growing.models.spaces import Space, SpaceKind, SpaceSpell
from farmops.growing.models.varieties import Schedule, SeedLot, Stage, Variety

__all__ = [
    "Item",
    "ItemPart",
    "Leaving",
    "Planting",
    "Schedule",
    "SeedLot",
    "Space",
    "SpaceKind",
    "SpaceSpell",
    "Stage",
    "Stay",
    "Variety",
    "Walk",
]
