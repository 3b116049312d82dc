"""How many customers a market day has for each item, learned from days that ran out, and what to bring."""

from farmops.core.demand.advising import Advice, Reason, advise, advise_all
from farmops.core.demand.explaining import (
    CountCheck,
    OnTable,
    PlainMeans,
    count_check,
    even_rate_stretch,
    on_table,
    plain_means,
)
from farmops.core.demand.forecasting import Evidence, Forecast, forecast
from farmops.core.demand.learning import Learned, learn
from farmops.core.demand.looking_back import DayBack, Economics, LookingBack, Range, Sum, looking_back
from farmops.core.demand.records import Ask, MarketRecord

__all__ = [
    "Advice",
    "Ask",
    "CountCheck",
    "DayBack",
    "Economics",
    "Evidence",
    "Forecast",
    "Learned",
    "LookingBack",
    "MarketRecord",
    "OnTable",
    "PlainMeans",
    "Range",
    "Reason",
    "Sum",
    "advise",
    "advise_all",
    "count_check",
    "even_rate_stretch",
    "forecast",
    "learn",
    "looking_back",
    "on_table",
    "plain_means",
]
