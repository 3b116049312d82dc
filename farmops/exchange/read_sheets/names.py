"""What names of the sheets stand for: rows of the tables, and those that this reading will add to them."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Self, TypeVar

from django.db.models import Model

from farmops.growing.models import Item, Planting, Schedule, SeedLot, Space, SpaceKind, Variety
from farmops.selling.models import MarketDay, Outlet

M = TypeVar("M", bound=Model)


@dataclass(slots=True)
class Names:
    """Rows by name; `schedules` by variety, each version with the day from which it holds, earliest first."""

    kinds: dict[str, SpaceKind] = field(default_factory=dict)
    varieties: dict[str, Variety] = field(default_factory=dict)
    spaces: dict[str, Space] = field(default_factory=dict)
    seed_lots: dict[str, SeedLot] = field(default_factory=dict)
    items: dict[str, Item] = field(default_factory=dict)
    outlets: dict[str, Outlet] = field(default_factory=dict)
    plantings: dict[str, Planting] = field(default_factory=dict)
    schedules: dict[str, list[tuple[date, Schedule]]] = field(default_factory=dict)
    market_days: dict[tuple[str, date], MarketDay] = field(default_factory=dict)

    @classmethod
    def of_farm(cls) -> Self:
        """All that the tables know. A query for each."""
        names = cls(
            kinds=_by_name(SpaceKind.objects.all()),
            varieties=_by_name(Variety.objects.all()),
            spaces=_by_name(Space.objects.select_related("kind")),
            seed_lots=_by_name(SeedLot.objects.all()),
            items=_by_name(Item.objects.all()),
            outlets=_by_name(Outlet.objects.all()),
            plantings=_by_name(Planting.objects.select_related("variety", "schedule")),
        )
        for schedule in Schedule.objects.select_related("variety").prefetch_related("stages"):
            names.add_schedule(schedule)
        for day in MarketDay.objects.select_related("outlet"):
            names.market_days[day.outlet.name, day.held_on] = day
        return names

    def add_schedule(self, schedule: Schedule) -> None:
        versions = self.schedules.setdefault(schedule.variety.name, [])
        versions.append((schedule.valid_from or date.min, schedule))
        versions.sort(key=lambda version: version[0])

    def schedule_on(self, variety: str, sown: date) -> Schedule | None:
        """The version that a sowing of a day follows."""
        versions = self.schedules.get(variety)
        if not versions:
            return None
        return next((schedule for day, schedule in reversed(versions) if day <= sown), versions[0][1])


def _by_name(rows: Iterable[M]) -> dict[str, M]:
    return {str(row): row for row in rows}
