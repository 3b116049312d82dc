"""Plants followed through rows: each sum worked out by hand."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.follow_plants import Harvest, follow, heads_cut
from farmops.planning.rows import Loss, Pick, Planting, Stay

SOWN = date(2026, 3, 2)
MOVED = date(2026, 3, 16)
CUT = date(2026, 5, 4)
HEADS = Harvest("head", "head", Decimal(1))


def planting(plants=100, cleared=None):
    return Planting(planting="P-1", variety="green butterhead", sown=SOWN, plants=plants, cleared=cleared)


def stay(space, plants, day, to=None, moved_from="", **other):
    return Stay(planting="P-1", space=space, plants=plants, from_day=day, to_day=to, moved_from=moved_from, **other)


def loss(plants, day, space=""):
    return Loss(planting="P-1", day=day, plants=plants, space=space, row=7)


def pick(amount, day, space="", **other):
    return Pick(planting="P-1", day=day, amount=Decimal(amount), unit="head", space=space, **other)


def followed(stays, losses=(), picks=(), **other):
    return follow(planting(**other), stays, losses, [(one, heads_cut(one, HEADS)) for one in picks])


def ways(found):
    return [(str(gone.how), one.row.space, gone.plants, gone.day) for one in found.stays for gone in one.gone]


def test_a_move_takes_its_plants_out_of_where_they_came_from_and_a_loss_that_day_is_one_of_the_rest():
    found = followed(
        [stay("S-1", 100, SOWN, MOVED), stay("N-1", 90, MOVED, moved_from="S-1")], [loss(10, MOVED, "S-1")]
    )
    assert ways(found) == [("moved", "S-1", 90, MOVED), ("lost", "S-1", 10, MOVED)]
    assert [one.left for one in found.stays] == [0, 90]
    assert found.faults == []


def test_what_is_left_on_the_last_day_went_without_a_note():
    found = followed([stay("S-1", 100, SOWN, MOVED), stay("N-1", 90, MOVED, moved_from="S-1")])
    assert ways(found) == [("moved", "S-1", 90, MOVED), ("not noted", "S-1", 10, MOVED)]


@pytest.mark.parametrize(("last", "cleared"), [(CUT, False), (None, False), (CUT, True)])
def test_what_is_left_when_the_planting_or_the_stay_is_cleared_was_cleared(last, cleared):
    found = followed([stay("S-1", 100, SOWN, last, cleared=cleared)], cleared=None if cleared else CUT)
    assert ways(found) == [("cleared", "S-1", 100, CUT)]


def test_heads_are_cut_out_of_the_space_that_is_named():
    found = followed([stay("F-1", 50, SOWN), stay("F-2", 50, SOWN)], picks=[pick(20, CUT, "F-2")])
    assert ways(found) == [("cut", "F-2", 20, CUT)]
    assert found.spaces_of(found.stays[1].gone[0].row) == {"F-2"}


def test_more_heads_than_stood_there_are_cut_as_far_as_there_were_plants():
    found = followed([stay("F-1", 15, SOWN)], picks=[pick(20, CUT)], plants=15)
    assert ways(found) == [("cut", "F-1", 15, CUT)]
    assert found.faults == []


def test_a_stay_that_lasted_longer_keeps_a_plant_to_last_with():
    first, last = date(2026, 5, 1), CUT
    stays = [stay("F-1", 10, SOWN, last), stay("F-1", 10, SOWN, last)]
    found = followed(stays, picks=[pick(12, first, "F-1"), pick(8, last, "F-1")], plants=20)
    assert ways(found) == [
        ("cut", "F-1", 9, first),
        ("cut", "F-1", 1, last),
        ("cut", "F-1", 3, first),
        ("cut", "F-1", 7, last),
    ]


def test_a_loss_without_a_place_is_put_where_plants_went_missing_and_the_rest_has_none():
    stays = [stay("S-1", 100, SOWN, MOVED), stay("N-1", 90, MOVED, moved_from="S-1")]
    given = loss(14, MOVED)
    found = followed(stays, [given])
    assert found.lost_of(given) == [(found.stays[0], 10), (None, 4)]
    assert found.nowhere == [(given, 4)]


def test_plants_out_of_two_stays_are_two_stays():
    stays = [stay("S-1", 60, SOWN, MOVED), stay("S-1", 40, SOWN, MOVED), stay("N-1", 100, MOVED, moved_from="S-1")]
    found = followed(stays)
    assert [(one.row.space, one.row.plants, one.said.plants) for one in found.stays[2:]] == [
        ("N-1", 60, 100),
        ("N-1", 40, 100),
    ]
    assert [one.left for one in found.stays] == [0, 0, 60, 40]


def test_a_second_stay_that_does_not_say_so_was_a_move_when_all_plants_had_a_place():
    found = followed([stay("S-1", 100, SOWN, MOVED), stay("N-1", 95, MOVED)])
    assert found.stays[1].came_from is found.stays[0]
    assert ways(found) == [("moved", "S-1", 95, MOVED), ("not noted", "S-1", 5, MOVED)]


@pytest.mark.parametrize(
    ("stays", "losses", "problem"),
    [
        ([stay("N-1", 90, MOVED, moved_from="S-1")], [], "P-1 did not stand in S-1 on 2026-03-16."),
        (
            [stay("S-1", 80, SOWN), stay("N-1", 90, MOVED, moved_from="S-1")],
            [],
            "80 plants of P-1 were left in S-1 to come from there.",
        ),
        ([stay("S-1", 100, SOWN), stay("N-1", 1, MOVED)], [], "0 plants of P-1 had no place yet."),
        ([stay("S-1", 100, SOWN)], [loss(3, MOVED, "S-2")], "P-1 did not stand in S-2 on 2026-03-16."),
        ([stay("S-1", 100, SOWN)], [loss(103, MOVED, "S-1")], "100 plants of P-1 were left there to lose."),
        ([stay("S-1", 100, SOWN)], [loss(103, MOVED)], "100 plants of P-1 were left to lose."),
    ],
)
def test_what_cannot_be_is_named(stays, losses, problem):
    assert [fault.problem for fault in followed(stays, losses).faults] == [problem]


@pytest.mark.parametrize(
    ("harvest", "cut", "plants"),
    [
        (HEADS, pick(14, CUT, culled=2), 16),
        (Harvest("head", "head", Decimal("0.5")), pick(7, CUT), 14),
        (Harvest("cut", "lb", Decimal("0.05")), pick(7, CUT), 0),
        (None, pick(7, CUT), 7),
        (HEADS, Pick(planting="P-1", day=CUT, amount=Decimal(3), unit="lb"), 0),
        (HEADS, Pick(planting="P-1", day=CUT, amount=Decimal(3), unit="lb", also=Decimal(9), also_unit="heads"), 9),
    ],
)
def test_only_whole_heads_take_their_plants(harvest, cut, plants):
    assert heads_cut(cut, harvest) == plants


@pytest.mark.parametrize("last", [None, date(2026, 4, 26)])
def test_a_head_was_cut_where_a_stay_ended_if_all_that_stood_elsewhere_was_lost(last):
    """43 sown: 19 and 17 lost, 6 cut at once, 1 moved and cut there: nothing is left, and no plant twice."""
    moved, cut = date(2026, 3, 27), date(2026, 4, 11)
    found = followed(
        [stay("N-1", 43, SOWN, last), stay("F-1", 1, moved, date(2026, 4, 26), "N-1")],
        [loss(17, SOWN), loss(19, SOWN, "N-1")],
        [pick(6, SOWN, "N-1"), pick(1, cut)],
        plants=43,
    )
    assert ways(found) == [
        ("moved", "N-1", 1, moved),
        ("lost", "N-1", 19, SOWN),
        ("cut", "N-1", 6, SOWN),
        *([("lost", "N-1", 16, SOWN), ("lost", "N-1", 1, SOWN)] if last else []),
        ("cut", "F-1", 1, cut),
    ]
    assert (found.faults, [plants for _loss, plants in found.nowhere]) == ([], [] if last else [17])


def test_more_lost_without_a_place_than_can_have_been_is_a_fault():
    found = followed([stay("N-1", 43, SOWN), stay("F-1", 20, MOVED, CUT, "N-1")], [loss(24, SOWN)], plants=43)
    assert [(fault.row, fault.problem) for fault in found.faults] == [(7, "23 plants of P-1 were left to lose.")]
