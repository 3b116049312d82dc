"""On which days a market is held: its weekday, its season, and no day on which it or the whole farm is closed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.farm.models import ClosedDays, Farm
from farmops.growing.natural_order import natural_key
from farmops.selling.models import Outlet, OutletClosedDays


@dataclass(frozen=True, slots=True)
class OpenDays:
    """When outlets are open, asked of the tables once.

    Attributes
    ----------
    season : tuple of (date or None, date or None)
        The farm's.
    closed : tuple of (int or None, date, date)
        Outlet (None is the whole farm), first and last day.
    """

    season: tuple[date | None, date | None]
    closed: tuple[tuple[int | None, date, date], ...]

    def is_open(self, outlet: Outlet, day: date) -> bool:
        first, last = self.season
        if (first and day < first) or (last and day > last):
            return False
        if (outlet.first_on and day < outlet.first_on) or (outlet.last_on and day > outlet.last_on):
            return False
        return not any(begins <= day <= ends and whose in (None, outlet.pk) for whose, begins, ends in self.closed)


def open_days(first: date, last: date) -> OpenDays:
    """What is closed from a day to another, both counted. Three queries."""
    farm = Farm.objects.first()
    reach = {"first_on__lte": last, "last_on__gte": first}
    whole = [(None, one.first_on, one.last_on) for one in ClosedDays.objects.filter(**reach)]
    own = [(one.outlet_id, one.first_on, one.last_on) for one in OutletClosedDays.objects.filter(**reach)]
    return OpenDays((farm.season_first_on, farm.season_last_on) if farm else (None, None), (*whole, *own))


def market_dates(first: date, last: date) -> list[tuple[date, Outlet]]:
    """Every market day from one day to another, both counted, in order of days and then of names."""
    opened = open_days(first, last)
    markets = sorted(Outlet.objects.markets(), key=lambda outlet: natural_key(outlet.name))
    return [
        (day, outlet)
        for day in days_between(first, last)
        for outlet in markets
        if outlet.weekday == day.weekday() and opened.is_open(outlet, day)
    ]


def days_between(first: date, last: date) -> Iterable[date]:
    """Both ends counted."""
    return (first + timedelta(days=number) for number in range((last - first).days + 1))
