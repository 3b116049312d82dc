"""What the sheet says about price, cost, worth of leftovers and the grower's own guess: the latest row wins."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from farmops.exchange.notebook.lines import Line, Reading
from farmops.planning.economics import Economics


def starting_economics(reading: Reading, steps: dict[str, Decimal]) -> dict[str, Economics]:
    """Each item's figures per unit, from its latest rows; None where the sheet has none.

    A cost written as a share (30%) is that share of the latest price.
    """
    latest = _latest(reading.lines, lambda line: (line.item,))
    units: dict[str, str] = {}
    for line in sorted(reading.lines, key=_day):
        if line.unit:
            units[line.item] = line.unit
    items = dict.fromkeys(line.item for line in reading.lines)
    found = {}
    for item in items:
        price = _money(latest.get((item, "price")), None)
        found[item] = Economics(
            price=price,
            unit_cost=_money(latest.get((item, "unit_cost")), price),
            leftover_value=_money(latest.get((item, "leftover_value")), price),
            unit=units.get(item, ""),
            step=float(steps[item]),
        )
    return found


def guesses_of(reading: Reading, steps: dict[str, Decimal]) -> dict[tuple[str, str], float]:
    """The latest guess for each market and item. [steps]"""
    latest = _latest(reading.lines, lambda line: (line.market, line.item))
    return {
        (key[0], key[1]): float(amount / steps[key[1]])
        for key, (amount, _is_percent) in latest.items()
        if key[2:] == ("guess",)
    }


def _day(line: Line) -> tuple[date, int]:
    return line.day or date.min, line.number


def _latest(lines: list[Line], key: Callable[[Line], tuple[str, ...]]) -> dict[tuple[str, ...], tuple[Decimal, bool]]:
    found: dict[tuple[str, ...], tuple[Decimal, bool]] = {}
    for line in sorted(lines, key=_day):
        for name in ("price", "unit_cost", "leftover_value", "guess"):
            amount = line.amount(name)
            if amount is not None:
                found[(*key(line), name)] = (amount, name in line.percents)
    return found


def _money(found: tuple[Decimal, bool] | None, price: float | None) -> float | None:
    if found is None:
        return None
    amount, is_percent = found
    if not is_percent:
        return float(amount)
    return None if price is None else float(amount) / 100 * price
