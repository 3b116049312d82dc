"""Where leftovers usually go."""

from datetime import timedelta

import pytest

from farmops.selling.usual_place import usual_places
from tests.selling.market import SATURDAY, a_line, an_item, back

pytestmark = pytest.mark.django_db


def place(item, before=SATURDAY):
    return usual_places([item], before)[item.pk]


def test_as_last_time_else_home_if_it_keeps_and_the_compost_if_not():
    basil, cress = an_item(), an_item("cress", keeps_days=3)
    assert (place(basil), place(cress)) == ("home", "compost")
    for weeks, where in ((2, "compost"), (1, "donated")):
        back(a_line(basil, held_on=SATURDAY - timedelta(weeks=weeks)), **{where: 2})
    assert place(basil) == "donated"


def test_none_back_and_markets_long_ago_say_nothing():
    basil = an_item()
    back(a_line(basil, held_on=SATURDAY - timedelta(weeks=1)), left=0)
    back(a_line(basil, held_on=SATURDAY - timedelta(weeks=30)), compost=4)
    assert place(basil) == "home"
