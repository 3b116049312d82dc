"""What lies in the cold room, as the weekly programme takes it: by the weeks it still keeps."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import timedelta

from farmops.planning.horizon import Horizon, Products
from farmops.planning.picking_stock import Stock

ByWeek = Mapping[str, tuple[float, ...]]


def stock_by_week(stock: Iterable[Stock], products: Products, horizon: Horizon) -> dict[str, tuple[float, ...]]:
    """Items that lie there now, by what they are, and within that by whole weeks they keep after this one.

    What is past its best before the first week is left out. A crop as it was cut counts as what it is packed into.

    Parameters
    ----------
    stock : iterable of Stock
    products : Products
    horizon : Horizon

    Returns
    -------
    dict of key of the programme's item to (weeks kept + 1,) float
        [items]
    """
    found: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for lot in stock:
        if lot.is_packed:
            key, items = lot.name, float(lot.amount)
        elif lot.name in products.targets:
            target = products.targets[lot.name]
            key, items = target.key, float(lot.amount) * target.per_unit_cut
        else:
            continue
        item = products.items.get(key)
        if lot.is_packed and item is None:
            continue
        kept_days = item.keeps_days if item is not None else _shortest_of_mixes(key, products)
        week = horizon.week(lot.cut_on + timedelta(days=kept_days))
        if week >= 0 and items > 0:
            longest = item.keeps_days // 7 if item is not None else 0
            found[key][min(week, longest)] += items
    return {key: tuple(of_weeks.get(week, 0.0) for week in range(max(of_weeks) + 1)) for key, of_weeks in found.items()}


def _shortest_of_mixes(key: str, products: Products) -> int:
    """Days a part keeps: those of the mix that keeps shortest, for nobody says which it will go into."""
    return min((products.items[mix.item].keeps_days for mix in products.mixes if key in dict(mix.parts)), default=0)
