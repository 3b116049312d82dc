"""Prices, costs and guesses that somebody changes on the page: typed text to figures, nothing typed is lost."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from farmops.core.quantities import Doubt, read_amount
from farmops.planning.economics import COST_SHARE, Economics

PREFIX = "f."  # a figure's name in the address; every other name is an answer to a question about the sheet
LARGEST = 100_000.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One typed figure.

    Attributes
    ----------
    name : str
        In the address, e.g. "f.cost.sweet basil".
    text : str
        Exactly as typed.
    value : float or None
        None where nothing, or nothing readable, was typed.
    is_share : bool
        Typed with a % sign; the value is then a share of the price.
    trouble : str
        What is wrong and what to do; "" = nothing.
    """

    name: str
    text: str = ""
    value: float | None = None
    is_share: bool = False
    trouble: str = ""


def read_figure(name: str, text: str, *, may_be_share: bool = False) -> Figure:
    """Read one typed figure; what cannot be read keeps its text and says what to do."""
    typed = text.strip()
    if not typed:
        return Figure(name, text)
    is_share = typed.endswith("%")
    bare = typed.removesuffix("%").strip().removeprefix("$").strip()
    reading = read_amount(bare)
    if is_share and not may_be_share:
        return Figure(name, text, trouble=_("Type an amount here, not a share."))
    if reading.doubt is Doubt.TWO_WAYS:
        first, second = (f"{choice:f}" for choice in reading.choices[:2])
        return Figure(name, text, trouble=_("%(first)s or %(second)s? Type it without the mark that is unclear.")
                      % {"first": first, "second": second})  # fmt: skip
    if reading.doubt is Doubt.NEGATIVE:
        return Figure(name, text, trouble=_("This cannot be less than nothing."))
    if reading.amount is None or reading.unit:
        return Figure(name, text, trouble=_("Type a number, such as 1.20."))
    value = float(reading.amount) / (100.0 if is_share else 1.0)
    if value > (1.0 if is_share else LARGEST):
        return Figure(name, text, trouble=_("This is too much to be meant. Type a smaller number."))
    return Figure(name, text, value, is_share)


@dataclass(frozen=True, slots=True)
class ItemFigures:
    """What was typed for one item."""

    price: Figure
    cost: Figure
    leftover: Figure


@dataclass(frozen=True, slots=True)
class FarmFigures:
    """Everything typed on the page, by item and by (market, item)."""

    cost: Figure
    leftover: Figure
    items: dict[str, ItemFigures]
    guesses: dict[tuple[str, str], Figure]
    next_days: dict[str, date]

    def checked(self, known: Mapping[str, Economics]) -> "FarmFigures":
        """The same, with a leftover worth as much as it costs refused: it would pay to bring more without end."""
        leftover, items = self.leftover, dict(self.items)
        for item, found in self.economics(known).items():
            full = found.filled()
            if not full.leftover_value or full.leftover_value < (full.unit_cost or 0.0):
                continue
            said = _(
                "A leftover must be worth less than it cost to grow and pick (%(item)s: %(cost).2f), "
                "or it would pay to bring more without end. Until then it is reckoned with nothing."
            ) % {"cost": full.unit_cost, "item": item}
            if items[item].leftover.value is not None:
                refused = replace(items[item].leftover, value=None, trouble=said)
                items[item] = replace(items[item], leftover=refused)
            elif leftover.value is not None:
                leftover = replace(leftover, trouble=said)
        return replace(self, leftover=replace(leftover, value=None) if leftover.trouble else leftover, items=items)

    @classmethod
    def read(
        cls, given: Mapping[str, str], items: Mapping[str, Economics], places: list[tuple[str, str]]
    ) -> "FarmFigures":
        """Read what stands in the address for these items and (market, item) places."""

        def figure(name: str, *, may_be_share: bool = True) -> Figure:
            return read_figure(PREFIX + name, given.get(PREFIX + name, ""), may_be_share=may_be_share)

        return cls(
            figure("cost"),
            figure("leftover"),
            {
                item: ItemFigures(
                    figure(f"price.{item}", may_be_share=False), figure(f"cost.{item}"), figure(f"leftover.{item}")
                )
                for item in items
            },
            {
                (market, item): _above_nothing(figure(guess_name(market, item), may_be_share=False))
                for market, item in places
            },
            {market: day for market, _item in places if (day := _day(given.get(f"{PREFIX}day.{market}", "")))},
        )

    def economics(self, known: Mapping[str, Economics]) -> dict[str, Economics]:
        """The sheet's own figures with what was typed in their place, general figures where neither is known."""
        return {item: self._one(own, self.items[item]) for item, own in known.items()}

    def _one(self, own: Economics, typed: ItemFigures) -> Economics:
        price = own.price if typed.price.value is None else typed.price.value
        # Shares are of the price in the sheet: a new price for the days to come does not change what one costs.
        of_price = price if own.price is None else own.price
        cost = _money(typed.cost, of_price)
        if cost is None:
            cost = own.unit_cost if own.unit_cost is not None else _money(self.cost, of_price)
        if cost is None and of_price is not None and typed.price.value is not None:
            cost = COST_SHARE * of_price
        leftover = _money(typed.leftover, of_price)
        if leftover is None:
            leftover = own.leftover_value if own.leftover_value is not None else _money(self.leftover, of_price)
        return replace(own, price=price, unit_cost=cost, leftover_value=leftover)

    def guessed_costs(self, known: Mapping[str, Economics]) -> list[str]:
        """Items whose cost nobody has said: neither the sheet nor the page."""
        typed = {item for item, figures in self.items.items() if figures.cost.value is not None}
        return sorted(
            item
            for item, own in known.items()
            if own.unit_cost is None and self.cost.value is None and item not in typed
        )

    def guesses_in_steps(
        self, noted: Mapping[tuple[str, str], float], items: Mapping[str, Economics]
    ) -> dict[tuple[str, str], float]:
        """The sheet's guesses with typed ones in their place, in steps."""
        typed = {
            place: figure.value / items[place[1]].step
            for place, figure in self.guesses.items()
            if figure.value is not None and figure.value > 0
        }
        return {**noted, **typed}

    def general_cost(self) -> str:
        """The general cost as typed, else the starting guess."""
        return self.cost.text or f"{COST_SHARE:.0%}".replace("%", " %")


def guess_name(market: str, item: str) -> str:
    """The name of a guess in the address: no two places share one, whatever dots their names have."""
    return f"guess.{len(market)}.{market}.{item}"


def _above_nothing(guess: Figure) -> Figure:
    if guess.value == 0:
        return replace(guess, value=None, trouble=_("Type a number above nothing, or leave it empty."))
    return guess


def _money(typed: Figure, price: float | None) -> float | None:
    if typed.value is None:
        return None
    if typed.is_share:
        return None if price is None else typed.value * price
    return typed.value


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        return None
    return day if 1990 <= day.year <= 2100 else None
