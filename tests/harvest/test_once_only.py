"""One form is one pick, however often it comes; two true crates alike are two; corrections keep what was."""

import threading
from datetime import date, timedelta

import pytest
from django.db import connection

from farmops.core.quantities import NG
from farmops.growing.balance import balance_of
from farmops.harvest.lot_of_the_day import lots_to_recall
from farmops.harvest.models import Lot, Pick, StockMove
from farmops.harvest.totals import given_by
from farmops.journal.deed import save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.harvest.picks import NOW, TODAY, a_planting, a_stay, lb, pick, saying
from tests.journal.entries import an_entry


@pytest.mark.case("H05")
@pytest.mark.django_db
def test_double_tap_late_replay_and_back_button_are_one_crate_and_two_forms_are_two():
    """Twice within 300 ms, again after 2 h, back and again; two crates of 12.0 lb 40 s apart (whatwg/html #5312)."""
    planting = a_planting()
    first = pick("a form", planting, weight="12.0")
    for later in (timedelta(milliseconds=300), timedelta(hours=2), timedelta(hours=3)):
        again = pick("a form", planting, weight="12.0", said={"now": NOW + later})
        assert (again.was_there, again.entry, again.answer) == (True, first.entry, first.answer)
    assert Pick.objects.count() == 1
    pick("another form", planting, weight="12.0", said={"now": NOW + timedelta(seconds=40)})
    assert (Pick.objects.count(), Lot.objects.count()) == (2, 1)
    assert given_by([planting])[planting.pk].weight.weighed_ng == lb("24.0")


@pytest.mark.django_db
def test_a_replay_is_answered_though_it_would_not_be_taken_any_more():
    planting = a_planting()
    first = pick("a form", planting, weight="12.0")
    planting.cleared_on = date(2026, 5, 2)
    planting.save()
    assert pick("a form", planting, weight="12.0").entry == first.entry


@pytest.mark.case("H05")
@pytest.mark.django_db(transaction=True)
def test_two_posts_of_one_form_at_once_are_one_crate():
    planting, gate, said = a_planting(way="head", unit="head"), threading.Barrier(2), []
    a_stay(planting)

    def post():
        try:
            gate.wait()
            said.append(pick("a form", planting, count="12").entry.pk)
        finally:
            connection.close()

    threads = [threading.Thread(target=post) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert said == [Entry.objects.get(job=Job.PICK).pk] * 2
    assert (Pick.objects.count(), StockMove.objects.count(), balance_of(planting).in_stays) == (1, 1, 108)


def test_ten_tenths_of_a_pound_are_one():
    assert sum([lb("0.1")] * 10) == NG["lb"]


@pytest.mark.case("H09")
@pytest.mark.django_db
def test_ten_picks_of_a_tenth_are_one_pound():
    planting = a_planting()
    for number in range(10):
        pick(f"pick {number}", planting, weight="0.1")
    assert given_by([planting])[planting.pk].weight.weighed_ng == NG["lb"]
    assert sum(StockMove.objects.values_list("amount", flat=True)) == NG["lb"]


@pytest.mark.case("H04")
@pytest.mark.django_db
def test_a_pick_on_the_wrong_planting_is_put_right_after_it_was_sold():
    """12.4 lb noted on L-31 were of L-13; two restaurants and 30 boxes had them by then; the case's own numbers."""
    right, wrong = a_planting("L-13"), a_planting("L-31")
    noted = pick("noted", wrong, weight="12.4").entry
    crates = Lot.objects.get()
    for number, (why, whom) in enumerate([("delivered", "Bistro"), ("delivered", "Inn"), ("boxed", "30 boxes")]):
        out = an_entry(f"out {number}", "stock")
        facts = {"lot": crates, "variety": wrong.variety, "moved_on": TODAY, "unit": "lb", "entry": out}
        save(StockMove(amount=-lb(4), why=why, where_to=whom, **facts))
    tomorrow = NOW + timedelta(days=1)
    put_right = pick("right", right, weight="12.4", said={"corrects": noted, "said_at": tomorrow, "now": tomorrow})
    given = given_by([right, wrong])
    assert [given[one.pk].weight.weighed_ng for one in (right, wrong)] == [lb("12.4"), 0]
    assert [entry.said for entry in (put_right.entry, put_right.entry.corrects)] == [
        "Cut 12.4 lb of L-13 green butterhead, Mon 4 May 2026",
        "Cut 12.4 lb of L-31 green butterhead, Mon 4 May 2026",
    ]
    assert (put_right.entry.corrects, put_right.entry.said_at) == (noted, tomorrow)
    assert list(Pick.objects.order_by("pk").values_list("planting__code", flat=True)) == ["L-31", "L-13"]
    for lot in Lot.objects.all():
        out = StockMove.objects.live().filter(lot__in=lots_to_recall(lot), amount__lt=0)
        assert sorted(out.values_list("where_to", flat=True)) == ["30 boxes", "Bistro", "Inn"]


@pytest.mark.django_db
def test_a_correction_gives_the_heads_back_to_where_they_stood():
    right, wrong = a_planting("L-13", way="head", unit="head"), a_planting("L-31", way="head", unit="head")
    a_stay(right, "N-1"), a_stay(wrong, "N-2")
    noted = pick("noted", wrong, count="120").entry
    pick("right", right, count="12", said={"corrects": noted})
    assert [balance_of(one).in_stays for one in (right, wrong)] == [108, 120]
    assert wrong.stays.get().is_over is False
    with pytest.raises(Refused, match="just corrected this entry"):
        pick("again", right, count="14", said={"corrects": noted})


@pytest.mark.django_db
def test_the_first_pick_of_a_lot_can_be_taken_back_while_others_stay():
    planting = a_planting()
    first = pick("one", planting, weight="4").entry
    pick("two", planting, weight="6")
    undo(saying("undo", corrects=first))
    assert given_by([planting])[planting.pk].weight.weighed_ng == lb(6)
    assert Lot.objects.count() == 1
