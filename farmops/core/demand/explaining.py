"""Plain figures beside the estimate, each small enough to be worked out again by hand."""

from collections.abc import Sequence
from dataclasses import dataclass

from farmops.core.demand.exposure import day_seen
from farmops.core.demand.records import MarketRecord


@dataclass(frozen=True, slots=True)
class OnTable:
    """One day at the stall.

    Attributes
    ----------
    stock : int
        Brought and carried in. [steps]
    sold : int or None
    sell_through : float or None
        Share of the stock that sold. [-]
    minutes_open : int
        While somebody was there to sell.
    minutes_out : float
        With an empty table, as far as the times are known. [min]
    first_ran_out_at : int or None
        [min after midnight]
    is_time_unknown : bool
        It ran out, nobody knows when: `sold` is a floor and no more.
    ran_out : bool
        Empty before closing and not filled again.
    """

    stock: int
    sold: int | None
    sell_through: float | None
    minutes_open: int
    minutes_out: float
    first_ran_out_at: int | None
    is_time_unknown: bool
    ran_out: bool


def on_table(record: MarketRecord) -> OnTable:
    """How one day went; what is in the van is brought, but not on the table."""
    day = day_seen(record)
    stock = record.brought + record.carried_in
    length = record.closes - record.opens
    there = sum(spell.stop - spell.start for spell in day.spells)
    sold = None if day.sold is None else int(day.sold)
    return OnTable(
        stock=stock,
        sold=sold,
        sell_through=sold / stock if sold is not None and stock > 0 else None,
        minutes_open=round(day.last * length),
        minutes_out=(day.last - there) * length,
        first_ran_out_at=min(record.ran_out_at, default=None),
        is_time_unknown=day.is_untimed,
        ran_out=day.ran_out,
    )


def even_rate_stretch(record: MarketRecord) -> float | None:
    """What would have sold at the same rate all day long.

    Parameters
    ----------
    record : MarketRecord

    Returns
    -------
    float or None
        sold × minutes open ÷ minutes on the table. [steps] Where the time is unknown, `sold` itself: at least that
        many. None where nothing is known. It is an explanation and an upper guess (mornings are busier), not the
        estimate.
    """
    day = on_table(record)
    if day.sold is None:
        return None
    there = day.minutes_open - day.minutes_out
    if day.is_time_unknown or there <= 0:
        return float(day.sold)
    return day.sold * day.minutes_open / there


@dataclass(frozen=True, slots=True)
class PlainMeans:
    """Averages over days on which there was something to sell.

    Attributes
    ----------
    days, ran_out, untimed : int
        Days offered, days that ran out, days of those without a time.
    sold : float
        Mean of sales: too low where it ran out. [steps]
    stretched : float
        Mean of the even-rate stretch: rather too high. [steps]
    sold_not_raining : float or None
        Mean of sales over days that were not rainy; None without such a day. [steps]
    """

    days: int
    ran_out: int
    untimed: int
    sold: float
    stretched: float
    sold_not_raining: float | None


def plain_means(records: Sequence[MarketRecord]) -> PlainMeans | None:
    """Averages for one item at one market; None without a day on which it was offered and counted."""
    offered = [(record, on_table(record)) for record in records]
    known = [(record, day, day.sold) for record, day in offered if day.stock > 0 and day.sold is not None]
    if not known:
        return None
    stretched = [even_rate_stretch(record) or 0.0 for record, _, _ in known]
    dry = [sold for record, _, sold in known if record.weather != "rain"]
    return PlainMeans(
        days=len(known),
        ran_out=sum(day.ran_out for _, day, _ in known),
        untimed=sum(day.is_time_unknown for _, day, _ in known),
        sold=sum(sold for _, _, sold in known) / len(known),
        stretched=sum(stretched) / len(known),
        sold_not_raining=sum(dry) / len(dry) if dry else None,
    )


@dataclass(frozen=True, slots=True)
class CountCheck:
    """Sales by counting what came back, beside the tally kept at the stall; both are kept.

    Attributes
    ----------
    by_count, by_tally, not_tallied : int
        `not_tallied` is negative where the tally says more than the count. [steps]
    """

    by_count: int
    by_tally: int
    not_tallied: int


def count_check(*, brought: int, carried_in: int = 0, left: int, tallies: Sequence[int]) -> CountCheck:
    """Compare the count of what came back with the tallies of all sellers."""
    by_count, by_tally = brought + carried_in - left, sum(tallies)
    return CountCheck(by_count, by_tally, by_count - by_tally)
