"""Tables of selling."""

from farmops.selling.models.markets import MarketDay, MarketFact, MarketLine
from farmops.selling.models.outlets import Outlet, OutletClosedDays, Price
from farmops.selling.models.wants import BoxCount, StandingOrder, Want

__all__ = [
    "BoxCount",
    "MarketDay",
    "MarketFact",
    "MarketLine",
    "Outlet",
    "OutletClosedDays",
    "Price",
    "StandingOrder",
    "Want",
]
