"""The weeks a plan looks at, and what varieties become: items sold as they are, or parts of mixes."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from farmops.core.calendar import monday_of
from farmops.core.coming import Coming, Taken
from farmops.core.quantities import unit_name
from farmops.core.sizing import Leeway, Mix, Occupancy
from farmops.planning.rows import FarmRows, Item, ItemPart
from farmops.planning.standing import convert

WEEKS = 26
WEEK = timedelta(days=7)
WEEKEND = 5  # from Saturday on, the week to plan for is the next


@dataclass(frozen=True, slots=True)
class Horizon:
    """`weeks` weeks from the Monday `start`: sowing and moving on Mondays, cutting all week.

    `as_of` is the day up to which records count; it lies in the first week, or on the weekend before it.
    """

    as_of: date
    start: date
    weeks: int = WEEKS

    @property
    def end(self) -> date:
        return self.start + WEEK * self.weeks

    def monday(self, week: int) -> date:
        return self.start + WEEK * week

    def sowing_day(self, week: int) -> date:
        """The Monday; in the first week not before `as_of`."""
        return max(self.monday(week), self.as_of)

    def week(self, day: date) -> int:
        """The week a day lies in, negative before the first."""
        return (day - self.start).days // 7

    def from_week(self, day: date) -> int:
        """First week that begins on or after a day; 0 for all days up to `as_of`."""
        return 0 if day <= self.as_of else max(0, -((self.start - day).days // 7))

    def occupied(self, taken: Taken) -> list[Occupancy]:
        """Places week by week: moved in and out on Mondays."""
        weeks = range(self.from_week(taken.from_day), min(self.weeks, self.from_week(taken.to_day)))
        return [Occupancy(taken.kind, week, taken.places) for week in weeks]

    def good_weeks(self, coming: Coming) -> tuple[int, int] | None:
        """First and last week in which heads or a cutting good between two days can be counted on.

        Whole weeks where there are any; else the week in which it is good for more of its days, the earlier of two
        alike: what is ready on a Tuesday and stands ten days serves that week's Saturday, and not the next one's.
        None where it is over before the first week.
        """
        last = (coming.last - self.start).days
        if last < 0:
            return None
        ready, whole = self.from_week(coming.first), (last + 1) // 7 - 1
        if whole < ready:
            before = max(0, self.week(coming.first))
            good_before = (self.monday(before + 1) - max(coming.first, self.monday(before))).days
            good_after = (coming.last - self.monday(before + 1)).days + 1
            ready = before if good_before >= good_after else before + 1
        return ready, max(ready, whole)


def horizon_from(as_of: date, weeks: int = WEEKS) -> Horizon:
    """From this week's Monday; on a weekend from the next."""
    monday = monday_of(as_of)
    return Horizon(as_of, monday if as_of.weekday() < WEEKEND else monday + WEEK, weeks)


@dataclass(frozen=True, slots=True)
class Target:
    """What one unit of a variety, as cut, becomes: so many of an item (or of a part of mixes)."""

    key: str
    per_unit_cut: float


@dataclass(frozen=True, slots=True)
class Products:
    """Items and mixes.

    Attributes
    ----------
    items : mapping of item to Item
        Those made of something that is grown.
    parts : mapping of item to ((variety, packed amount in the variety's unit), ...)
    targets : mapping of variety to Target
    mixes : tuple of Mix
    """

    items: Mapping[str, Item]
    parts: Mapping[str, tuple[tuple[str, float], ...]]
    targets: Mapping[str, Target]
    mixes: tuple[Mix, ...]


def products_of(rows: FarmRows) -> Products:
    """A variety sold in one item alone is that item; else it is a part of mixes, counted as packed in its own unit."""
    last_stage = {stage.variety: stage for stage in rows.schedules if stage.harvest}
    items = {item.item: item for item in rows.items}
    shares: dict[str, list[tuple[str, Decimal]]] = defaultdict(list)
    for part in rows.item_parts:
        shares[part.item].append((part.variety, part.share))
    parts = {
        name: tuple(
            (variety, float(share * _contents(items[name], last_stage[variety].unit)))
            for variety, share in of_item
            if share > 0
        )
        for name, of_item in shares.items()
    }
    uses: dict[str, list[str]] = defaultdict(list)
    for name, of_item in parts.items():
        for variety, _amount in of_item:
            uses[variety].append(name)
    targets, mixes = {}, []
    for variety, names in uses.items():
        packed = float(last_stage[variety].packed)
        if len(names) == 1 and len(parts[names[0]]) == 1:
            targets[variety] = Target(names[0], packed / parts[names[0]][0][1])
        else:
            targets[variety] = Target(part_key(variety), packed)
    for name, of_item in parts.items():
        if any(targets[variety].key != name for variety, _amount in of_item):
            leeway = tuple(
                Leeway(part_key(part.variety), float(_contents(items[name], last_stage[part.variety].unit)), down, up)
                for part in rows.item_parts
                if part.item == name and part.share > 0 and len(of_item) > 1
                for down, up in [_down_and_up(part)]
                if down or up
            )
            mixes.append(Mix(name, tuple((part_key(variety), amount) for variety, amount in of_item), leeway))
    return Products({name: items[name] for name in parts}, parts, targets, tuple(mixes))


def _down_and_up(part: ItemPart) -> tuple[float, float]:
    """How far a part's share may go down and up from the recipe's."""
    least = part.share if part.at_least is None else part.at_least
    most = part.share if part.at_most is None else part.at_most
    return float(part.share - least), float(most - part.share)


def part_key(variety: str) -> str:
    """Name of a variety that is no item by itself."""
    return f"{variety} (for mixes)"


def _contents(item: Item, unit: str) -> Decimal:
    """What one unit of an item contains, in the unit its variety is cut in."""
    return convert(item.contains or Decimal(1), unit_name(item.contains_unit or item.unit), unit_name(unit))
