"""Six lettuces in tables that were found ready, each a few days after the schedule said; invented."""

from datetime import date, timedelta

from farmops.planning.standing_now import forget
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved, walked
from tests.planning.test_planting_page import a_pick

__all__ = ["TODAY", "six_lettuces"]
MOVED = date(2026, 2, 9)


def six_lettuces():
    """Moved to a channel each Monday from 9 February; nothing ready 39 days later, the first head cut on day 41."""
    forget()
    a_place()
    variety = a_variety()
    for number in range(6):
        into = MOVED + timedelta(weeks=number)
        planting = a_planting(variety, f"P26-00{number + 1}", sown=into - timedelta(days=21))
        moved(planting.stays.get(), "N-1", 6, into)
        walked(planting, into + timedelta(days=39), ready=0)
        a_pick(planting, into + timedelta(days=41), 6)
    return variety
