"""What the notebook's page shows: words and figures ready for screen and paper."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.safestring import SafeString

from farmops.exchange.notebook import Doubt


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure as it is shown, and what stands under it."""

    shown: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class SumLine:
    """One line of a sum that a figure opens into."""

    words: str
    value: str


@dataclass(frozen=True, slots=True)
class DayLine:
    """One past market day of one item."""

    day: str
    brought: str
    left: str
    ran_out: str
    missed: str


@dataclass(frozen=True, slots=True)
class Field:
    """One figure that can be changed on the page."""

    id: str
    name: str
    label: str
    hint: str
    text: str
    shown: str
    trouble: str


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One item at one market."""

    id: str
    name: str
    unit: str
    bring: str
    brought: str
    ran_out: str
    demand: str
    chart: SafeString
    running_out: Shown
    compost: Shown
    reason: str
    sum: tuple[SumLine, ...]
    days: tuple[DayLine, ...]
    guess: Field


@dataclass(frozen=True, slots=True)
class PriceLine:
    """The figures of one item that can be changed."""

    name: str
    unit: str
    price: Field
    cost: Field
    leftover: Field


@dataclass(frozen=True, slots=True)
class MarketBlock:
    """One market with its items."""

    name: str
    line: str
    top: str
    items: tuple[ItemLine, ...]


@dataclass(frozen=True, slots=True)
class ColumnLine:
    """One meaning and the column of the sheet that was taken for it."""

    field: str
    meaning: str
    heading: str
    sample: str
    chosen: str
    is_said: bool
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Change:
    """A change that is worth most: what to do, and the money behind it."""

    words: str
    money: str


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """One market's part of the headline figures."""

    market: str
    ran_out: str
    missed: str
    running_out: str
    compost: str


@dataclass(frozen=True, slots=True)
class NotebookPage:
    """Everything the page shows."""

    key: str
    address: str
    answers: str
    is_kept: bool
    read_line: str
    last_day: date
    running_out: Shown
    compost: Shown
    ran_out_days: int
    item_days: int
    timed_words: str
    changes: tuple[Change, ...]
    parts: tuple[MoneyLine, ...]
    reckoned: str
    stale: str
    general: tuple[Field, ...]
    prices: tuple[PriceLine, ...]
    markets: tuple[MarketBlock, ...]
    tells_little: tuple[str, ...]
    unknown: tuple[str, ...]
    warnings: tuple[str, ...]
    left_out: tuple[str, ...]
    differences: tuple[str, ...]
    columns: tuple[ColumnLine, ...]
    settled: tuple[Doubt, ...]

    @property
    def paper_address(self) -> str:
        return self._with_answers(reverse("notebook-paper", args=[self.key]))

    @property
    def pdf_address(self) -> str:
        return self._with_answers(reverse("notebook-pdf", args=[self.key]))

    def _with_answers(self, address: str) -> str:
        return f"{address}?{self.answers}" if self.answers else address
