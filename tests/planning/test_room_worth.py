"""What more room would earn: two plans, subtracted."""

import pytest

from farmops.core.sizing import Problem
from farmops.core.sizing import Space as Room
from farmops.growing.models import SpaceSpell
from farmops.planning.room_worth import room_answer, usual_places, with_more_places, work_out_room
from farmops.planning.rows import FarmRows, Space
from farmops.planning.stored_answers import stored
from farmops.planning.views.sowing_list_page import sowing_list
from tests.planning.sown_farm import NOW, TODAY, a_sown_farm, quick, worked_out


def test_one_space_is_the_middle_one_of_its_kind():
    spaces = [("a", "channel", 18), ("b", "channel", 18), ("c", "channel", 40), ("d", "bench", 6)]
    rows = FarmRows(spaces=tuple(Space(space=name, kind=kind, places=places) for name, kind, places in spaces))
    assert (usual_places(rows, "channel"), usual_places(rows, "bench")) == (18, 6)


def test_a_closed_week_stays_closed():
    problem = Problem(3, (Room("channel", (18.0, 0.0, 36.0)), Room("bench", (1.0, 1.0, 1.0))), ())
    assert with_more_places(problem, "channel", 18).spaces == (
        Room("channel", (36.0, 0.0, 54.0)),
        Room("bench", (1.0, 1.0, 1.0)),
    )


@pytest.mark.django_db
def test_more_room_earns_what_the_two_plans_differ_by():
    a_sown_farm()
    SpaceSpell.objects.update(places=36)
    poor = worked_out().answer
    (worth,) = [one for one in room_answer(TODAY, quick)["kinds"] if one["kind"] == "channel"]
    assert (worth["places"], worth["about"] > 50, worth["at_most"] >= worth["about"]) == (36, True, True)
    SpaceSpell.objects.filter(space__name="N-3").update(places=72)
    rich = worked_out().answer
    # sales grow by more than profit does: more trays are sown for them
    assert rich["expected_sales"] - poor["expected_sales"] >= worth["about"]


@pytest.mark.django_db
def test_the_list_shows_what_was_worked_out_and_what_there_would_be_without_a_limit():
    a_sown_farm(days=((150, 700, None), (150, 700, None), (150, 700, None)))
    SpaceSpell.objects.update(places=72)
    kept = worked_out()
    work_out_room(TODAY, NOW, solver=quick)
    page = sowing_list(kept, TODAY, stored("room"))
    (first, *_rest) = page.room.lines
    assert first.startswith("One more channel (72 places) would earn about $")
    assert page.room.how.startswith(
        "Worked out anew with one space more, every kind by itself, and subtracted: over 26"
    )
    (line,) = page.lines
    assert (line.words, dict(line.sum)["Without the limit of room"]) == ("2 × tray", "6 × tray")


@pytest.mark.django_db
def test_where_room_limits_nothing_there_is_nothing_to_earn():
    a_sown_farm()
    SpaceSpell.objects.update(places=3000)
    assert (room_answer(TODAY, quick)["kinds"], worked_out().answer["without_room"]) == ([], None)
