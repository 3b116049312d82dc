"""How many customers a market day has for each item, learned from days that ran out, and what to bring."""

from farmops.core.demand.records import Ask, MarketRecord

__all__ = ["Ask", "MarketRecord"]
