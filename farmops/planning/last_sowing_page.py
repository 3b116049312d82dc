"""The last days to sow, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class LastDay:
    """The last day for one variety and one end; `is_asked` is False where no such end is in sight.

    `usual` None: too late already. `sure` is the day that is early enough nine times in ten.
    """

    is_asked: bool
    usual: date | None
    sure: date | None


@dataclass(frozen=True, slots=True)
class LastSowing:
    variety: str
    sold: LastDay
    dark: LastDay

    @property
    def is_over(self) -> bool:
        """Nothing sown from now on would be ready in time for anything."""
        return self.sold.usual is None and self.dark.usual is None


@dataclass(frozen=True, slots=True)
class LastSowings:
    """The table; `sold` is the last selling day, `dark` the first day of the dark weeks."""

    sold: date | None
    dark: date | None
    lines: tuple[LastSowing, ...]

    @property
    def coming(self) -> list[LastSowing]:
        return [line for line in self.lines if not line.is_over]

    @property
    def over(self) -> list[str]:
        return [line.variety for line in self.lines if line.is_over]


def last_sowings_shown(kept: Mapping[str, Any]) -> LastSowings:
    """From what was kept with the sowing list."""
    lines = (LastSowing(one["variety"], _day(one["sold"]), _day(one["dark"])) for one in kept["lines"])
    return LastSowings(_date(kept["sold"]), _date(kept["dark"]), tuple(lines))


def _day(found: Mapping[str, str | None] | None) -> LastDay:
    if found is None:
        return LastDay(is_asked=False, usual=None, sure=None)
    return LastDay(is_asked=True, usual=_date(found["usual"]), sure=_date(found["sure"]))


def _date(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
