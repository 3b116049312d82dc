"""Sowing, from a plan or anew: numbers, seed lots, trays that are half done, and where they stand."""

import threading
from datetime import date

import pytest
from django.db import connection

from farmops.growing.balance import balance_of
from farmops.growing.models import Planting, SeedLot, Stay
from farmops.growing.plan_sowing import plan_sowing
from farmops.growing.room_for import Into
from farmops.growing.sow import seed_lots_of, sow
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_kind, a_planting, a_schedule, a_space, a_variety, saying

pytestmark = pytest.mark.django_db


@pytest.fixture
def basil():
    variety = a_variety("sweet basil", part="half tray", part_plants=36)
    a_schedule(variety, ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    return variety


def planned_basil(basil, plants=108, into=()):
    lot = SeedLot.objects.create(name="L26-10", variety=basil)
    done = plan_sowing(
        saying=saying("plan"), variety=basil, plants=plants, sow_on=date(2026, 5, 3), seed_lot=lot, into=into
    )
    return Planting.objects.get(pk=done.answer["planting"])


def test_a_sowing_nobody_planned_gets_its_number_lot_and_stay(basil):
    lot = SeedLot.objects.create(name="L26-10", variety=basil)
    shelf = a_space("S-1", 8, "seedling shelf")
    done = sow(saying=saying("one"), variety=basil, plants=108, seed_lot=lot, into=[Into(shelf, 108)])
    assert done.entry.said == "Sown P26-001: 3 × half tray sweet basil, 108 plants, in S-1, Mon 4 May 2026"
    planting = Planting.objects.get()
    assert (planting.code, planting.state, planting.sown_on, planting.plants) == ("P26-001", "done", TODAY, 108)
    assert (planting.seed_lot, planting.schedule, planting.planned_plants) == (lot, basil.schedules.get(), None)
    stay = Stay.objects.get()
    assert (stay.space, stay.plants, stay.stage_number, stay.from_on) == (shelf, 108, 1, TODAY)
    assert done.answer == {"planting": planting.pk, "code": "P26-001", "rest": 0}


def test_a_plan_that_is_carried_out_keeps_its_number_and_what_was_planned(basil):
    planned = planned_basil(basil)
    done = sow(saying=saying("one"), variety=basil, plants=108, planned=planned)
    planned.refresh_from_db()
    assert (done.answer["code"], done.answer["rest"], Planting.objects.count()) == ("P26-001", 0, 1)
    assert (planned.state, planned.sown_on, planned.planned_on) == ("done", TODAY, date(2026, 5, 3))
    assert (planned.plants, planned.planned_plants, planned.seed_lot.name) == (108, 108, "L26-10")


def test_half_done_is_fewer_trays_and_the_rest_remains_planned(basil):
    shelf = a_space("S-1", 8, "seedling shelf")
    planned = planned_basil(basil, into=[Into(shelf, 108)])
    done = sow(saying=saying("one"), variety=basil, plants=72, planned=planned, into=[Into(shelf, 72)])
    assert done.entry.said == (
        "Sown P26-001: 2 × half tray sweet basil, 72 plants, in S-1, Mon 4 May 2026; "
        "still to sow: 1 × half tray sweet basil, 36 plants, P26-002"
    )
    rest = Planting.objects.get(code="P26-002")
    assert (rest.state, rest.plants, rest.sown_on, rest.seed_lot.name) == ("planned", 36, date(2026, 5, 3), "L26-10")
    open_stays = (
        Stay.objects.live().filter(is_over=False).order_by("pk").values_list("planting__code", "plants", "state")
    )
    assert list(open_stays) == [("P26-001", 72, "done"), ("P26-002", 36, "planned")]


def test_more_than_planned_is_taken_as_it_is(basil):
    done = sow(saying=saying("one"), variety=basil, plants=144, planned=planned_basil(basil))
    assert (done.answer["rest"], Planting.objects.get().plants, Planting.objects.get().planned_plants) == (0, 144, 108)


def test_an_undo_makes_it_planned_again_and_the_rest_not_sown(basil):
    shelf = a_space("S-1", 8, "seedling shelf")
    planned = planned_basil(basil, into=[Into(shelf, 108)])
    sown = sow(saying=saying("one"), variety=basil, plants=72, planned=planned, into=[Into(shelf, 72)]).entry
    undo(saying("undo", corrects=sown))
    facts = Planting.objects.order_by("pk").values_list("code", "state", "plants", "sown_on")
    assert list(facts) == [
        ("P26-001", "planned", 108, date(2026, 5, 3)),
        ("P26-002", "not sown", 36, date(2026, 5, 3)),
    ]
    assert list(Stay.objects.live().filter(is_over=False).values_list("plants", "state")) == [(108, "planned")]


def test_an_undone_sowing_is_not_sown_and_its_number_is_not_given_again(basil):
    undo(saying("undo", corrects=sow(saying=saying("one"), variety=basil, plants=36).entry))
    assert Planting.objects.get().state == "not sown"
    assert sow(saying=saying("two"), variety=basil, plants=36).answer["code"] == "P26-002"


def test_a_correction_keeps_the_number_that_stands_on_the_trays(basil):
    wrong = sow(saying=saying("one"), variety=basil, plants=36).entry
    done = sow(saying=saying("two", corrects=wrong), variety=basil, plants=72)
    assert (done.answer["code"], Planting.objects.get().plants, Planting.objects.get().state) == ("P26-001", 72, "done")
    assert balance_of(Planting.objects.get()).left == 72


def test_a_corrected_sowing_from_a_plan_starts_from_the_plan_again(basil):
    planned = planned_basil(basil)
    wrong = sow(saying=saying("one"), variety=basil, plants=36, planned=planned).entry
    sow(saying=saying("two", corrects=wrong), variety=basil, plants=108, planned=planned)
    facts = Planting.objects.order_by("pk").values_list("code", "state", "plants", "planned_plants")
    assert list(facts) == [("P26-001", "done", 108, 108), ("P26-002", "not sown", 72, None)]


def test_numbers_go_on_from_the_farms_own_and_begin_anew_each_year(basil):
    for code in ("P26-263", "P26-264", "p26-007", "P-900", "P26-x", "P25-999"):
        a_planting(code)
    assert sow(saying=saying("one"), variety=basil, plants=36).answer["code"] == "P26-265"
    done = plan_sowing(saying=saying("two"), variety=basil, plants=36, sow_on=date(2027, 1, 1))
    assert done.answer["code"] == "P27-001"


@pytest.mark.django_db(transaction=True)
def test_two_people_sowing_at_once_get_two_numbers():
    variety, gate, codes = a_variety("sweet basil", part_plants=36), threading.Barrier(2), []
    a_kind()

    def post(number):
        try:
            gate.wait()
            codes.append(sow(saying=saying(f"form {number}"), variety=variety, plants=36).answer["code"])
        finally:
            connection.close()

    threads = [threading.Thread(target=post, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(codes) == ["P26-001", "P26-002"]


@pytest.mark.django_db(transaction=True)
def test_one_plan_is_sown_once():
    variety, gate, heard = a_variety("sweet basil", part_plants=36), threading.Barrier(2), []
    planned = a_planting("P26-001", 108, variety=variety, state="planned")

    def post(number):
        try:
            gate.wait()
            heard.append(sow(saying=saying(f"form {number}"), variety=variety, plants=108, planned=planned).entry.job)
        except Refused as refused:
            heard.append(str(refused))
        finally:
            connection.close()

    threads = [threading.Thread(target=post, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(heard) == ["P26-001 was sown on Mon 4 May 2026 already.", "sow"]


def test_a_full_shelf_refuses_with_the_numbers_unless_it_is_said_why(basil):
    shelf = a_space("S-1", 1, "seedling shelf")
    with pytest.raises(Refused) as refused:
        sow(saying=saying("one"), variety=basil, plants=108, into=[Into(shelf, 108)])
    assert str(refused.value) == "S-1 has 1 place, 0 taken on Mon 4 May: 1 free, 1.5 needed. 72 plants fit."
    sow(
        saying=saying("two"),
        variety=basil,
        plants=108,
        into=[Into(shelf, 108)],
        over_full_because="two trays stand on the floor",
    )
    assert Stay.objects.get().over_full_because == "two trays stand on the floor"


def test_what_cannot_have_been_is_refused(basil):
    other = SeedLot.objects.create(name="L26-99", variety=a_variety("mizuna"))
    shelf = a_space("S-1", 8, "seedling shelf")
    for key, facts, words in (
        ("a", {"plants": 0}, "Say how many: 1 or more."),
        ("f", {"plants": 100_001}, "More than 100000 plants at once: is there a figure too many?"),
        ("b", {"seed_lot": other}, "Seed lot L26-99 is not of sweet basil."),
        ("c", {"into": [Into(shelf, 36)]}, "36 plants are placed, 72 are sown. Place all of them, or none."),
        ("d", {"into": [Into(shelf, 36)] * 2}, "The same space stands there twice."),
    ):
        with pytest.raises(Refused) as refused:
            sow(saying=saying(key), variety=basil, **{"plants": 72, **facts})
        assert str(refused.value) == words
    tomorrow = date(2026, 5, 5)
    with pytest.raises(Refused, match=r"^Tue 5 May 2026 lies ahead\."):
        sow(saying=saying("e", day=tomorrow, now=saying("x").now), variety=basil, plants=36)
    year_ago = date(2025, 5, 2)
    with pytest.raises(Refused, match=r"^Fri 2 May 2025 is more than a year ago\. Put the year right;"):
        sow(saying=saying("f", day=year_ago), variety=basil, plants=36)
    assert Planting.objects.count() == 0


def test_the_likeliest_seed_is_the_newest_with_seed_left(basil):
    facts = [
        ("old", 500, "2025-01-20"),
        ("empty", 0, "2026-04-01"),
        ("new", 200, "2026-01-20"),
        ("unknown", None, None),
    ]
    for name, seeds, received in facts:
        SeedLot.objects.create(name=name, variety=basil, seeds=seeds, received_on=received)
    assert [lot.name for lot in seed_lots_of(basil)] == ["new", "old", "unknown", "empty"]
