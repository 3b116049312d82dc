"""How many customers a market day has for each item, learned from days that ran out, and what to bring."""

from farmops.core.demand.advising import Advice, Reason, advise, advise_all
from farmops.core.demand.forecasting import Evidence, Forecast, forecast
from farmops.core.demand.learning import Learned, learn
from farmops.core.demand.records import Ask, MarketRecord

__all__ = [
    "Advice",
    "Ask",
    "Evidence",
    "Forecast",
    "Learned",
    "MarketRecord",
    "Reason",
    "advise",
    "advise_all",
    "forecast",
    "learn",
]
