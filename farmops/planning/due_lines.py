"""What is due as lines of the page: where each leads back to once it is done, and moves of one planting in one."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Generic, TypeVar
from urllib.parse import quote

from farmops.core.schedule import Planting, Stage
from farmops.farm.models import ClosedDays
from farmops.growing.natural_order import spaces_in_short
from farmops.planning.day_needs import is_harvest_day
from farmops.planning.due_now import DueNow, SowDue, WalkDue
from farmops.planning.from_tables import farm_row
from farmops.planning.rows import ClosedDay, FarmRows
from farmops.planning.standing_now import MoveDue

AHEAD = 14  # days in which the next harvest day is looked for
MARKETS, TOP = "due-markets", "due-now"


Due = TypeVar("Due", MoveDue, SowDue, WalkDue)


@dataclass(frozen=True, slots=True)
class Line(Generic[Due]):
    """A line that goes when its job is done; `back` is the line that then stands in its place."""

    due: Due
    anchor: str
    back: str = TOP


@dataclass(frozen=True, slots=True)
class MoveGroup:
    """Plants of one planting that are due for the same move, one line for each place."""

    lines: Sequence[Line[MoveDue]]

    @property
    def planting(self) -> Planting:
        return self.lines[0].due.planting

    @property
    def next_stage(self) -> Stage:
        return self.lines[0].due.next_stage

    @property
    def due_on(self) -> date:
        return min(line.due.due_on for line in self.lines)

    @property
    def plants(self) -> int:
        return sum(line.due.here.plants for line in self.lines)

    @property
    def where(self) -> str:
        return spaces_in_short([line.due.here.stay.space for line in self.lines])


@dataclass(frozen=True, slots=True)
class DueLines:
    """The page's lines, but for those of the pick list, which stay where they are when they are done."""

    moves: Sequence[MoveGroup]
    sowings: Sequence[Line[SowDue]]
    walks: Sequence[Line[WalkDue]]


def due_lines(due: DueNow) -> DueLines:
    """In the order of the page: whatever is done, one comes back to the next line, and after the last to the one
    before it."""
    groups = [[Line(one, f"move-{one.here.stay.pk}") for one in group] for group in _of_one_move(due.moves)]
    sowings = [Line(one, _anchor("sow", one.code)) for one in due.sowings]
    walks = [Line(one, _anchor("walk", one.planting.key)) for one in due.walks]
    anchors = [
        *(line.anchor for group in groups for line in group),
        *(line.anchor for line in sowings),
        *(line.anchor for line in walks),
    ]
    last = MARKETS if due.markets or due.evenings else next(iter(anchors[-2:-1]), TOP)
    following = dict(zip(anchors, [*anchors[1:], last], strict=False))
    return DueLines(
        moves=[MoveGroup([replace(line, back=following[line.anchor]) for line in group]) for group in groups],
        sowings=[replace(line, back=following[line.anchor]) for line in sowings],
        walks=[replace(line, back=following[line.anchor]) for line in walks],
    )


def _of_one_move(moves: Iterable[MoveDue]) -> list[list[MoveDue]]:
    """By planting and next stage, in the order in which one comes to the first of each."""
    found: dict[tuple[str, str], list[MoveDue]] = {}
    for one in moves:
        found.setdefault((one.planting.key, one.next_stage.name), []).append(one)
    return list(found.values())


def _anchor(job: str, code: str) -> str:
    return f"{job}-{quote(code, safe='').replace('%', '_')}"


def next_harvest(today: date) -> date | None:
    """Today, or the day on which the farm cuts next; None where that is far off. One query."""
    closed = ClosedDays.objects.filter(last_on__gte=today, first_on__lte=today + timedelta(days=AHEAD))
    days = closed.values_list("first_on", "last_on")
    rows = FarmRows(farm=farm_row(), closed_days=tuple(ClosedDay(first_day=one, last_day=last) for one, last in days))
    ahead = (today + timedelta(days=number) for number in range(AHEAD))
    return next((day for day in ahead if is_harvest_day(rows, day)), None)
