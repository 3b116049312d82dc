"""Picks: crates, days, waits, plants and what they put into the cold room."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.models import Leaving
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.models import CrateKind, Lot, Pick, PickSheet, StockMove
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.harvest.totals import given_by
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from tests.harvest.picks import NOW, SOWN, TODAY, a_planting, a_stay, lb, pick, saying

pytestmark = pytest.mark.django_db


def refused(kind, key, planting, **other):
    """The words and the question of a pick that is not taken; nothing of it is left behind."""
    before = (Pick.objects.count(), Lot.objects.count(), StockMove.objects.count(), Leaving.objects.count())
    with pytest.raises(kind) as no:
        pick(key, planting, **{"weight": "4", **other})
    assert before == (Pick.objects.count(), Lot.objects.count(), StockMove.objects.count(), Leaving.objects.count())
    assert type(no.value) is kind
    return str(no.value), getattr(no.value, "question", "")


@pytest.mark.case("H01")
def test_a_pick_keeps_the_tare_of_its_day():
    planting, crate = a_planting(), CrateKind.objects.create(name="blue crate", tare_ng=lb("1.60"))
    done = pick("one", planting, weight="14.35", crate=crate, crates="3")
    assert done.entry.said == "Cut 14.35 lb (9.55 lb without crates) of L-13 green butterhead, Mon 4 May 2026"
    CrateKind.objects.update(tare_ng=lb("1.75"))
    kept = Pick.objects.get()
    assert (kept.mass_ng, kept.gross_ng, kept.crates) == (lb("9.55"), lb("14.35"), 3)
    assert kept.crate_tare_ng == lb("1.60")
    words, _ = refused(Refused, "two", planting, weight="4.10", crate=crate, crates="3")
    assert words == "4.10 lb is less than the empty crates, 5.25 lb."
    pick("three", planting, weight="14.35", crate=crate, crates="3")
    assert Pick.objects.latest("pk").mass_ng == lb("9.10")


def test_a_crate_from_two_plantings_is_shared_out_and_nothing_is_lost():
    one, two = a_planting("L-13"), a_planting("L-31")
    parts = [CutFrom(planting=one, share=2), CutFrom(planting=two, share=1)]
    done = pick_crop(saying=saying("one"), cut_from=parts, cut=TypedCut(weight="10"))
    masses = list(Pick.objects.order_by("planting").values_list("mass_ng", flat=True))
    assert masses == [3_023_949_133_333, 1_511_974_566_667]
    assert sum(masses) == lb(10)
    assert len(set(done.answer["lots"])) == 2


def test_a_planting_stands_in_a_crate_once():
    planting = a_planting()
    with pytest.raises(Refused, match="stands there twice"):
        pick_crop(saying=saying("a"), cut_from=[CutFrom(planting=planting)] * 2, cut=TypedCut(weight="10"))


@pytest.mark.case("H08")
def test_days_of_a_pick():
    """Ready 20 Sep, cut 12 Sep; cleared 14 Sep, typed 15 Sep for the 13th; the case's own numbers."""
    now = datetime(2026, 9, 12, 14, 0, tzinfo=UTC)
    planting = a_planting(sown_on=date(2026, 7, 20))
    other, _ = a_planting("L-14", sown_on=date(2026, 8, 1)), a_planting("L-9", variety="romaine")
    early = {"ready_on": date(2026, 9, 20), "said": {"day": date(2026, 9, 12), "said_at": now, "now": now}}
    words = "L-13 should be ready on Sun 20 Sep 2026. Was it cut before that?"
    assert refused(NeedsYes, "early", planting, **early) == (words, "before_ready")
    pick("early", planting, weight="4", yes={"before_ready"}, **early)
    assert Pick.objects.get().was_before_ready is True
    assert given_by([planting])[planting.pk].first_on == date(2026, 9, 12)
    planting.cleared_on = date(2026, 9, 14)
    planting.save()
    later = now + timedelta(days=3)
    dated = {day: {"day": date(2026, 9, day), "said_at": later, "now": later} for day in (13, 15)}
    pick("late", planting, weight="6", said=dated[13])
    assert StockMove.objects.latest("pk").moved_on == date(2026, 9, 13)
    with pytest.raises(NeedsYes) as asked:
        pick("after", planting, weight="6", said=dated[15])
    assert (asked.value.question, asked.value.offer) == ("after_clearing", {"plantings": [other.code]})
    words = "Mon 13 Sep 2027 lies ahead. Note it when it is done."
    assert refused(Refused, "ahead", planting, said={**dated[15], "day": date(2027, 9, 13)}) == (words, "")
    words = "L-13 was sown only on Mon 20 Jul 2026, so not yet on Sun 19 Jul 2026. Put the day right."
    assert refused(Refused, "before", planting, said={**dated[15], "day": date(2026, 7, 19)}) == (words, "")
    pick("after", planting, weight="6", said=dated[15], yes={"after_clearing"})
    assert given_by([planting])[planting.pk].weight.weighed_ng == lb(16)
    assert given_by([planting], until=date(2026, 9, 13))[planting.pk].weight.weighed_ng == lb(10)


def test_an_hour_that_lies_ahead_is_refused():
    words = "10:00 lies ahead. Note it when it is cut."  # the farm's clock says 09:00
    assert refused(Refused, "ahead", a_planting(), minute=10 * 60) == (words, "")


def test_what_is_not_sown_is_not_cut():
    assert refused(Refused, "one", a_planting(state="planned")) == ("L-13 is not sown.", "")


def test_it_is_cut_where_it_stands():
    planting, other = a_planting(), a_planting("L-31")
    elsewhere, later = a_stay(other, "N-2"), a_stay(planting, "N-3", from_on=date(2026, 5, 3))
    assert refused(Refused, "a", planting, stay=elsewhere) == ("L-13 does not stand there in N-2.", "")
    words = "They came into N-3 only on Sun 3 May 2026, so not yet on Sat 2 May 2026. Put the day right."
    assert refused(Refused, "b", planting, stay=later, said={"day": date(2026, 5, 2)}) == (words, "")


WAIT = {"wait_until": NOW + timedelta(days=2), "wait_reason": "soap spray"}


def test_nothing_is_cut_now_inside_a_wait():
    words = "Do not cut L-13 green butterhead before Wed 6 May 2026, 09:00: soap spray"
    assert refused(Refused, "a", a_planting(), **WAIT) == (words, "")
    words = "Do not cut L-31 green butterhead until it is lifted: label not known"
    assert refused(Refused, "b", a_planting("L-31"), wait_reason="label not known") == (words, "")


@pytest.mark.parametrize(
    ("said", "minute"),
    [({"day": date(2026, 5, 3)}, None), ({"said_at": NOW - timedelta(hours=2)}, None), ({}, 7 * 60)],
    ids=["yesterday", "said two hours ago", "typed with its hour"],
)
def test_what_was_cut_inside_a_wait_is_a_fact_and_its_lot_is_stopped(said, minute):
    done = pick("one", a_planting(), weight="4", said=said, minute=minute, **WAIT)
    lot = Lot.objects.get()
    assert done.answer["stopped"] == [lot.code]
    assert (lot.stopped_at, lot.stopped_because) == (NOW, "cut inside a wait: soap spray")


def test_a_lot_goes_again_only_when_every_pick_inside_the_wait_is_taken_back():
    planting, early = a_planting(), {"day": date(2026, 5, 3)}
    one = pick("one", planting, weight="4", said=early, **WAIT).entry
    later = {**early, "now": NOW + timedelta(minutes=5)}
    two = pick("two", planting, weight="4", said=later, **WAIT).entry
    with pytest.raises(Refused, match="Take that back first"):
        undo(saying("undo one", corrects=one))
    undo(saying("undo two", corrects=two))
    assert Lot.objects.get().stopped_at == NOW
    undo(saying("undo one", corrects=one))
    assert Lot.objects.get().stopped_at is None


def test_what_was_cut_after_the_wait_is_not_stopped():
    pick("one", a_planting(), weight="4", wait_until=NOW - timedelta(hours=1), wait_reason="soap spray")
    assert Lot.objects.get().stopped_at is None


def test_cut_heads_leave_where_they_stood_and_the_plants_balance():
    planting = a_planting(way="head", unit="head")
    first, second = a_stay(planting, "N-1", 50), a_stay(planting, "N-2", 70)
    done = pick("one", planting, count="60", culled="4")
    balance = balance_of(planting)
    assert (dict(balance.out), balance.in_stays, balance.not_placed) == ({"cut": 64}, 56, 0)
    first.refresh_from_db()
    assert (first.is_over, done.answer["plants_not_there"]) == (True, 0)
    undo(saying("undo", corrects=done.entry))
    first.refresh_from_db()
    assert (first.is_over, balance_of(planting).in_stays) == (False, 120)
    done = pick("two", planting, count="80", stay=second)
    assert (balance_of(planting).plants_in(second), done.answer["plants_not_there"]) == (0, 10)
    words = "Cut 80 heads of L-13 green butterhead, Mon 4 May 2026; 10 plants more than stood there"
    assert done.entry.said == words
    assert StockMove.objects.live().get().amount == 80


@pytest.mark.parametrize("cut", [80, 120])
def test_fewer_heads_after_all_of_a_planting_cleared_since_were_cleared_with_it(cut):
    planting = a_planting(way="head", unit="head")
    stay = a_stay(planting)
    first = pick("one", planting, count=str(cut)).entry
    clearing = clear_planting(saying=saying("clear"), planting=planting).entry
    pick("right", planting, count="76", said={"corrects": first})
    assert (dict(balance_of(planting).out), balance_of(planting).left) == ({"cut": 76, "cleared": 44}, 0)
    stay.refresh_from_db()
    assert stay.is_over is True
    undo(saying("undo", corrects=clearing))
    stay.refresh_from_db()
    assert (dict(balance_of(planting).out), stay.is_over, balance_of(planting).in_stays) == ({"cut": 76}, False, 44)


@pytest.mark.parametrize(("way", "boxes"), [("cut", {"count": "60"}), ("head", {"weight": "20"})])
def test_what_grows_again_or_was_only_weighed_leaves_its_plants(way, boxes):
    planting = a_planting(way=way)
    a_stay(planting)
    pick("one", planting, **boxes)
    assert balance_of(planting).in_stays == 120


@pytest.mark.parametrize(
    ("way", "unit", "moved"),
    [("cut", "lb", (lb("12.5"), "lb")), ("head", "head", (38, "head")), (None, "", (38, "head"))],
)
def test_the_cold_room_counts_as_the_schedule_does(way, unit, moved):
    planting = a_planting(way=way, unit=unit)
    pick("one", planting, count="38", weight="12.5")
    move = StockMove.objects.get()
    assert (move.amount, move.unit, move.why, move.cut_on) == (*moved, "picked", TODAY)
    assert (move.lot.planting, move.variety) == (planting, planting.variety)


def test_a_pick_needs_a_planting():
    with pytest.raises(ValueError, match="needs a planting"):
        pick_crop(saying=saying("one"), cut_from=[], cut=TypedCut(weight="1"))


def test_a_share_of_a_crate_is_one_or_more():
    parts = [CutFrom(planting=a_planting(code), share=share) for code, share in (("L-13", 1), ("L-31", 0))]
    with pytest.raises(ValueError, match=r"shares are 1 or more, got \[1, 0\]"):
        pick_crop(saying=saying("one"), cut_from=parts, cut=TypedCut(weight="5"))


def test_a_pick_asks_as_much_of_the_database_whatever_was_cut_before():
    planting, counts = a_planting(), []
    for number in range(30):
        with CaptureQueriesContext(connection) as asked:
            pick(f"pick {number}", planting, weight="4")
        counts.append(len(asked))
    assert counts[29] == counts[1]


def test_sown_day_itself_is_not_before_sowing():
    pick("one", a_planting(), weight="4", said={"day": SOWN})
    assert Lot.objects.get().made_on == SOWN


def test_a_pick_that_is_put_right_stays_with_the_list_it_was_cut_for():
    planting = a_planting()
    tomorrow = PickSheet.objects.create(pick_on=TODAY + timedelta(days=1), version=1, made_at=NOW)
    a_stay(planting)
    first = pick("one", planting, count="38", cut_for=tomorrow).entry
    assert first.said == "Cut 38 heads of L-13 green butterhead, Mon 4 May 2026, for the list of Tue 5 May 2026"
    pick("two", planting, count="83", said={"corrects": first})
    assert [(one.count, one.cut_for) for one in Pick.objects.live()] == [(83, tomorrow)]
