"""From a farm's market records to what to bring next time, and what running out and compost have cost."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import median

from farmops.core.demand import Advice, Ask, Learned, LookingBack, MarketRecord, Range, Sum, advise, learn, looking_back
from farmops.core.demand import Economics as StepEconomics
from farmops.planning.economics import Economics
from farmops.planning.reasons import reason_in_words

LAST_DAYS = 8  # market days that tell a market's usual weekday, hours and loads
DROPPED_AFTER = 400  # days without being brought after which an item or a market is no longer planned
LITTLE = {"sold not known", "time unknown", "gone at once"}  # marks of days that say next to nothing


@dataclass(frozen=True, slots=True)
class ItemOutlook:
    """One item at one market. Amounts are units (bunches, pounds).

    Attributes
    ----------
    market, item, unit : str
    economics : Economics
        Per unit, as given; its `assumed` names the starting guesses.
    days, ran_out_days, untimed_days : int
        Days whose sales are known; days it ran out; those of them without a time. The reason counts the same days.
    noted_days : int
        All its days in the records, those included that nobody noted a figure for.
    tells_little : int
        Days that say next to nothing: gone at once, or sold amount unknown.
    usually_brought : float
        Mean of its last eight days.
    usually_out_at : int or None
        Middle of the noted sell-out times. [min after midnight]
    bring : float
        Fresh, beyond what is carried in.
    mean, mean_low, mean_high : float
        Usual demand and its 80 % range.
    low, high : float
        One day's demand lies between with 80 %.
    simple_mean : float
        What the fall-back says.
    reason : str
        One sentence.
    advice : Advice
        The arithmetic behind it, in steps.
    past : Sum
        What running out and compost cost so far, in steps and money.
    running_out, compost : Range or None
        The same in money; None where the price (or the cost) is not known.
    """

    market: str
    item: str
    unit: str
    economics: Economics
    days: int
    ran_out_days: int
    untimed_days: int
    noted_days: int
    tells_little: int
    usually_brought: float
    usually_out_at: int | None
    bring: float
    mean: float
    mean_low: float
    mean_high: float
    low: float
    high: float
    simple_mean: float
    reason: str
    advice: Advice
    past: Sum
    running_out: Range | None
    compost: Range | None


@dataclass(frozen=True, slots=True)
class MarketOutlook:
    """One market: its next day, its hours [min after midnight], its items in the order of the alphabet."""

    market: str
    day: date
    opens: int
    closes: int
    days: int
    items: tuple[ItemOutlook, ...]


@dataclass(frozen=True, slots=True)
class Outlook:
    """All markets, and the past.

    Attributes
    ----------
    as_of : date
    first_day, last_day : date or None
        Of the records.
    markets : tuple of MarketOutlook
    running_out, compost : Range or None
        What they cost in all, over the items whose price is known; None where it is known of none. [money]
    back : LookingBack
        Day by day, and sums by item and by market.
    without_price : tuple of str
        Items whose money is left out of the sums.
    untimed : tuple of (market, item, days)
        Ran out and nobody noted when: times would tell more.
    dropped : tuple of (market, item)
        Not brought for over a year and no longer planned; item "" is the whole market.
    """

    as_of: date
    first_day: date | None
    last_day: date | None
    markets: tuple[MarketOutlook, ...]
    running_out: Range | None
    compost: Range | None
    back: LookingBack
    without_price: tuple[str, ...]
    untimed: tuple[tuple[str, str, int], ...]
    dropped: tuple[tuple[str, str], ...]


def learn_from(
    records: Sequence[MarketRecord], as_of: date, guesses: Mapping[tuple[str, str], float] | None = None
) -> Learned:
    """Learn once; give the result to `what_to_bring` as often as prices or costs change."""
    return learn(records, as_of=as_of, guesses=guesses or {})


def what_to_bring(
    records: Sequence[MarketRecord],
    economics: Mapping[str, Economics],
    *,
    as_of: date,
    next_days: Mapping[str, date] | None = None,
    guesses: Mapping[tuple[str, str], float] | None = None,
    learned: Learned | None = None,
) -> Outlook:
    """What to bring to the next day of each market, and what the past has cost.

    Parameters
    ----------
    records : sequence of MarketRecord
        Later than `as_of` are left out.
    economics : mapping of item to Economics
        Per unit; items without any take the starting guesses.
    as_of : date
    next_days : mapping of market to date, optional
        Without one: the market's commonest weekday of its last eight days.
    guesses : mapping of (market, item) to float, optional
        The grower's own guess of the usual demand. [steps]
    learned : Learned, optional
        From `learn_from` with the same records, day and guesses; learned here otherwise.
    """
    known = [record for record in records if record.day <= as_of]
    economics = _with_noted_prices(known, economics)
    learned = learned or learn_from(known, as_of, guesses)
    back = looking_back(learned, known, _worth_of_steps(known, economics))
    little = Counter((day.record.market, day.record.item) for day in back.days if LITTLE & set(day.marks))
    markets: list[MarketOutlook] = []
    dropped: list[tuple[str, str]] = []
    for market, items in sorted(_by_market(known).items()):
        rows = [record for own in items.values() for record in own]
        held = sorted({record.day for record in rows})
        if (as_of - held[-1]).days > DROPPED_AFTER:
            dropped.append((market, ""))
            continue
        gone = {item for item, own in items.items() if (as_of - own[-1].day).days > DROPPED_AFTER}
        dropped += [(market, item) for item in sorted(gone)]
        opens, closes = _usual_hours(rows)
        ask = Ask((next_days or {}).get(market) or usual_next_day(held, as_of), market, "", opens=opens, closes=closes)
        outlooks = tuple(
            _item(learned, back, little, own, economics.get(item, Economics()), replace(ask, item=item))
            for item, own in sorted(items.items(), key=lambda each: (each[0].casefold(), each[0]))
            if item not in gone
        )
        markets.append(MarketOutlook(market, ask.day, opens, closes, len(held), outlooks))
    return _outlook(as_of, known, economics, markets, back, dropped)


def _outlook(
    as_of: date,
    known: Sequence[MarketRecord],
    economics: Mapping[str, Economics],
    markets: list[MarketOutlook],
    back: LookingBack,
    dropped: list[tuple[str, str]],
) -> Outlook:
    shown = [item for market in markets for item in market.items]
    items = {record.item for record in known}
    priceless = {item for item in items if economics.get(item, Economics()).price is None}
    days = sorted(record.day for record in known)
    return Outlook(
        as_of=as_of,
        first_day=days[0] if days else None,
        last_day=days[-1] if days else None,
        markets=tuple(markets),
        running_out=back.total.lost if items - priceless else None,
        compost=back.total.compost if items - priceless else None,
        back=back,
        without_price=tuple(sorted(priceless)),
        untimed=tuple((item.market, item.item, item.untimed_days) for item in shown if item.untimed_days),
        dropped=tuple(dropped),
    )


def _with_noted_prices(records: Sequence[MarketRecord], economics: Mapping[str, Economics]) -> dict[str, Economics]:
    """An item without a price sells at what was last noted: asking at another price would shift its demand."""
    noted = {
        record.item: record.price
        for record in sorted(records, key=lambda record: record.day)
        if record.price is not None
    }
    found = {}
    for item in {record.item for record in records}:
        own = economics.get(item, Economics())
        price = noted.get(item)
        found[item] = replace(own, price=price / own.step) if own.price is None and price is not None else own
    return found


def _worth_of_steps(
    records: Sequence[MarketRecord], economics: Mapping[str, Economics]
) -> dict[tuple[str, str], StepEconomics]:
    """Money of one step; an item without a price counts nothing in the sums instead of an invented amount."""
    found = {}
    for market, item in {(record.market, record.item) for record in records}:
        own = economics.get(item, Economics())
        price, unit_cost, leftover_value = own.per_step() if own.price is not None else (0.0, 0.0, 0.0)
        found[market, item] = StepEconomics(price, unit_cost, leftover_value)
    return found


def _by_market(records: Iterable[MarketRecord]) -> dict[str, dict[str, list[MarketRecord]]]:
    grouped: dict[str, dict[str, list[MarketRecord]]] = {}
    for record in sorted(records, key=lambda record: (record.day, record.market, record.item)):
        grouped.setdefault(record.market, {}).setdefault(record.item, []).append(record)
    return grouped


def usual_next_day(days: Sequence[date], as_of: date) -> date:
    """The next day after `as_of` on the commonest weekday of the last eight market days; of equals the latest."""
    recent = sorted(set(days))[-LAST_DAYS:]
    counts = Counter(day.weekday() for day in recent)
    latest = {day.weekday(): day for day in recent}
    weekday = max(counts, key=lambda each: (counts[each], latest[each]))
    return as_of + timedelta(days=(weekday - as_of.weekday()) % 7 or 7)


def _usual_hours(records: Sequence[MarketRecord]) -> tuple[int, int]:
    held = {record.day: (record.opens, record.closes) for record in sorted(records, key=lambda record: record.day)}
    recent = [held[day] for day in sorted(held)[-LAST_DAYS:]]
    return max(recent, key=lambda hours: (recent.count(hours), hours))


def _item(
    learned: Learned,
    back: LookingBack,
    little: Mapping[tuple[str, str], int],
    rows: Sequence[MarketRecord],
    economics: Economics,
    ask: Ask,
) -> ItemOutlook:
    price, unit_cost, leftover_value = economics.per_step()
    key = (ask.market, ask.item)
    category = next((row.category for row in reversed(rows) if row.category), "")
    advice = advise(
        learned,
        replace(
            ask,
            category=category,
            price=price,
            unit_cost=unit_cost,
            leftover_value=leftover_value,
            guess=learned.guesses.get(key),
        ),
    )
    seen, step, past = advice.forecast, economics.step, back.lines[key]
    times = [minute for row in rows for minute in row.ran_out_at]
    recent = [row.brought + row.carried_in for row in rows[-LAST_DAYS:]]
    return ItemOutlook(
        market=ask.market,
        item=ask.item,
        unit=economics.unit,
        economics=economics,
        days=advice.reason.days,
        ran_out_days=advice.reason.ran_out,
        untimed_days=advice.reason.untimed,
        noted_days=len(rows),
        tells_little=little.get(key, 0),
        usually_brought=step * sum(recent) / len(recent),
        usually_out_at=round(median(times)) if times else None,
        bring=advice.fresh * step,
        mean=seen.mean * step,
        mean_low=seen.mean_low * step,
        mean_high=seen.mean_high * step,
        low=seen.low * step,
        high=seen.high * step,
        simple_mean=seen.simple_mean * step,
        reason=reason_in_words(advice.reason, step),
        advice=advice,
        past=past,
        running_out=None if economics.price is None else past.lost,
        compost=None if economics.price is None else past.compost,
    )
