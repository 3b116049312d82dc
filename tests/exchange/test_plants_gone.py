"""What went from a stay went from another, where else more would have gone than stood: each sum worked out by hand."""

from collections import Counter
from datetime import timedelta

from tests.exchange.test_follow_plants import CUT, MOVED, SOWN, followed, loss, stay


def later(days):
    return SOWN + timedelta(days=days)


def ways_of(one):
    """How many went how and when, earliest first."""
    plants = Counter()
    for gone in one.gone:
        plants[gone.day, str(gone.how)] += gone.plants
    return [(how, plants[day, how], day) for day, how in sorted(plants)]


def test_what_was_lost_of_two_stays_in_one_space_leaves_a_plant_for_a_loss_before_the_second_came():
    """2 sown and moved into one space on two days: the one lost there stood in the second, the other went before."""
    stays = [stay("S-1", 2, SOWN, MOVED), stay("F-1", 1, SOWN, CUT, "S-1"), stay("F-1", 1, later(3), CUT, "S-1")]
    found = followed(stays, [loss(1, SOWN), loss(1, later(3), "F-1")], plants=2)
    assert (found.faults, found.nowhere) == ([], [])
    assert [(one.row.from_day, *ways_of(one)) for one in found.stays] == [
        (SOWN, ("moved", 1, SOWN), ("moved", 1, later(3))),
        (SOWN, ("lost", 1, SOWN)),
        (later(3), ("lost", 1, later(3))),
    ]


def test_room_is_made_by_what_went_from_a_third_stay():
    """5 sown, 2 moved on, 1 of these back: 3 lost before, 1 where it came back, 1 somewhere, so in the stay between."""
    stays = [
        stay("N-1", 5, SOWN, CUT),
        stay("F-1", 2, later(8), CUT, "N-1"),
        stay("N-1", 1, later(14), CUT, "F-1"),
    ]
    found = followed(stays, [loss(3, later(4)), loss(1, later(15), "N-1"), loss(1, later(29))], plants=5)
    assert (found.faults, found.nowhere) == ([], [])
    assert [ways_of(one) for one in found.stays] == [
        [("lost", 3, later(4)), ("moved", 2, later(8))],
        [("moved", 1, later(14)), ("lost", 1, later(29))],
        [("lost", 1, later(15))],
    ]


def test_a_move_out_of_two_stays_in_one_space_came_from_the_one_with_plants_left():
    """16 sown, 12 lost at once, 4 moved on, 2 back and on again: the 12 leave no doubt which 2 these were."""
    stays = [
        stay("N-1", 16, SOWN, CUT),
        stay("F-2", 4, SOWN, CUT, "N-1"),
        stay("N-1", 2, later(3), CUT, "F-2"),
        stay("F-2", 2, later(4), CUT, "N-1"),
    ]
    found = followed(stays, [loss(12, SOWN, "N-1")], plants=16)
    assert found.faults == []
    assert found.stays[3].came_from is found.stays[2]
    assert ways_of(found.stays[0]) == [("lost", 12, SOWN), ("moved", 4, SOWN)]
