"""What a schedule must say, and the share that lives through all its stages."""

import math
from datetime import date

import pytest

from farmops.core.growth import Need
from farmops.core.schedule import Planting, Schedule, Stage, Walked, Way

MONDAY, TUESDAY = date(2026, 5, 4), date(2026, 5, 5)
NURSERY = Stage("nursery", "nursery", Need(14), 1.0, 0.9)
FINISHING = Stage("finishing", "channel", Need(21), 1.0, 0.95)


def test_what_lives_through_all_stages_is_the_product_of_the_shares():
    assert Schedule((NURSERY, FINISHING), Way.HEAD, "head", 1.0).survive == pytest.approx(0.855, abs=1e-12)


@pytest.mark.parametrize("per_place", [0.0, -1.0, math.inf, math.nan])
def test_plants_on_a_place_must_be_above_zero(per_place):
    with pytest.raises(ValueError, match="plants on a place must be above 0"):
        Stage("bed", "bed", Need(7), per_place, 1.0)


@pytest.mark.parametrize("survive", [0.0, 1.01, -0.5])
def test_the_surviving_share_must_be_a_share(survive):
    with pytest.raises(ValueError, match="the surviving share must be above 0 and at most 1"):
        Stage("bed", "bed", Need(7), 1.0, survive)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"stages": ()}, "at least one stage"),
        ({"per_plant": 0.0}, "what is cut from a plant"),
        ({"packed": 1.2}, "packed share"),
        ({"way": Way.CUT, "cuttings": (1.0, 0.8)}, "the days between them"),
        ({"way": Way.PICKED}, "the weeks it is picked"),
    ],
)
def test_a_schedule_that_cannot_be_followed_is_refused(changes, said):
    with pytest.raises(ValueError, match=said):
        Schedule(**{"stages": (FINISHING,), "way": Way.HEAD, "unit": "head", "per_plant": 1.0} | changes)


def test_the_last_walk_is_the_latest_day_and_of_two_on_one_day_the_one_noted_later():
    first, second, third = Walked(MONDAY, ready=3), Walked(TUESDAY, ready=5), Walked(TUESDAY, days_late=2)
    schedule = Schedule((NURSERY, FINISHING), Way.HEAD, "head", 1.0)
    planting = Planting("P-1", "lettuce", schedule, MONDAY, 10, walks=(second, third, first))
    assert planting.last_walk() is third
    assert planting.last_walk(MONDAY) is first
    assert planting.last_walk(date(2026, 3, 1)) is None
