"""What the page of a planned stay shows: the planting, how many plants it has, and every space with its places."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from farmops.growing.ground_now import balance_now, ground_now
from farmops.growing.models import Planting, Space


@dataclass(frozen=True, slots=True)
class PlanStayPage:
    """The page of a planned stay; `plants` is how many may be planned for."""

    planting: Planting
    plants: int
    spaces: Sequence[Space]
    today: date


def plan_stay_page(planting: Planting, today: date) -> PlanStayPage:
    """The page of a planned stay of a planting, sown or still planned."""
    is_planned = planting.state == Planting.State.PLANNED
    plants = planting.plants if is_planned else balance_now(planting, today).left
    spaces = [room.space for room in ground_now(today).rooms.values()]
    return PlanStayPage(planting, plants, spaces, today)
