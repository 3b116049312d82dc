"""Why nothing that is still to be sown is ready for a want: sown too late, out of season, or days too short."""

from collections.abc import Sequence
from datetime import date

from farmops.core.growth import through_stages
from farmops.core.schedule import Way
from farmops.core.sizing import Problem
from farmops.planning.horizon import WEEK, Horizon, Products
from farmops.planning.programme import cutting_weeks, good_from, may_be_sown
from farmops.planning.rows import FarmRows, Variety
from farmops.planning.standing import Growing, schedule_on, schedules_of
from farmops.planning.wants import Want

BACK_WEEKS = 52  # nothing takes longer from seed to harvest


class Lateness:
    """Names the cause where the programme says "too late".

    "too_late": even what is sown now is ready after it, and a sowing before today would have served it. "season": only
    a sowing outside the variety's season of sowing would. "days_short": no sowing to come is good in that week, because
    growth slows down between one that is past its best by then and the next, which is not ready yet.
    """

    def __init__(
        self, rows: FarmRows, growing: Growing, products: Products, problem: Problem, horizon: Horizon
    ) -> None:
        self.growing = growing
        self.products = products
        self.horizon = horizon
        self.keeps = {item.key: item.keeps for item in problem.items}
        self.varieties = {variety.variety: variety for variety in rows.varieties}
        self.versions = schedules_of(rows)
        self.shares = {(part.item, part.variety): part.share for part in rows.item_parts}
        self._served: dict[tuple[str, int], set[int]] = {}

    def cause(self, want: Want) -> str:
        """The cause for the part of the item that counts most among those no sowing to come is ready for."""
        week = self.horizon.week(want.day)
        causes = {
            variety: self._cause_of(self.varieties[variety], week, self._keeps(want.item, variety))
            for variety, _amount in self.products.parts[want.item]
        }
        missing = [variety for variety, cause in causes.items() if cause]
        if not missing:
            return "too_late"
        return causes[max(missing, key=lambda variety: (self.shares[want.item, variety], variety))]

    def _keeps(self, item: str, variety: str) -> int:
        return self.keeps.get(item, 0) + (
            0 if self.products.targets[variety].key == item else self.keeps.get(self.products.targets[variety].key, 0)
        )

    def _cause_of(self, variety: Variety, week: int, keeps: int) -> str:
        """ "" where a sowing to come serves the week."""
        wanted = set(range(week - keeps, week + 1))
        serving = [at for at in range(week - BACK_WEEKS, week + 1) if self._weeks(variety, at) & wanted]
        allowed = [at for at in serving if may_be_sown(variety, self._day(at))]
        if any(at >= 0 for at in allowed):
            return ""
        if any(at >= 0 for at in serving):
            return "season"
        to_come = [self._weeks(variety, at) for at in range(week + 1) if may_be_sown(variety, self._day(at))]
        if any(min(weeks) < min(wanted) for weeks in to_come):
            return "days_short"  # sown in time, but past its best by then, and the next not ready
        if allowed:
            return "too_late"
        return "season" if serving else "days_short"

    def _day(self, week: int) -> date:
        monday = self.horizon.start + WEEK * week
        return monday if week < 0 else max(monday, self.horizon.as_of)

    def _weeks(self, variety: Variety, week: int) -> set[int]:
        """Weeks in which a sowing of a week, in season or not, gives something."""
        key = (variety.variety, week)
        if key not in self._served:
            self._served[key] = set(self._weeks_of(variety, self._day(week)))
        return self._served[key]

    def _weeks_of(self, variety: Variety, day: date) -> Sequence[int]:
        schedule = schedule_on(self.versions[variety.variety], day)
        own = self.growing.own.get(variety.variety)
        ready = through_stages([stage.need for stage in schedule.stages], self.growing.place, day, own)[-1].usual
        if schedule.way is Way.CUT:
            return cutting_weeks(schedule, self.growing.place, own, ready, self.horizon)
        if schedule.way is Way.PICKED:
            first = self.horizon.week(ready)
            return range(first, first + schedule.pick_weeks)
        first, last = good_from(ready, schedule, self.horizon)
        return range(first, last + 1)
