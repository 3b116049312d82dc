"""Codes of lots, stopping them, and what a recall follows."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.harvest.lot_of_the_day import lot_code, lot_of_the_day, lots_to_recall, stop_lot
from farmops.harvest.models import Lot, LotParent
from farmops.journal.models import Change
from tests.harvest.picks import NOW, TODAY, a_planting, pick

KEYS = st.tuples(st.integers(1, 10**6), st.dates(date(2000, 1, 1), date(2100, 1, 1)))


def test_a_code_is_short():
    # 4 May 2026 is day 739740 = 22·32³ + 18·32² + 12·32 + 28.
    assert lot_code(13, TODAY) == "2F-QLEW"


@given(one=KEYS, other=KEYS)
def test_codes_are_not_misread_and_no_two_are_alike(one, other):
    assert set(lot_code(*one)).isdisjoint("O0I1")
    assert (lot_code(*one) == lot_code(*other)) == (one == other)


@pytest.mark.django_db
def test_a_day_of_a_planting_has_one_lot():
    planting = a_planting()
    lots = [lot_of_the_day(planting.entry, planting, day) for day in (TODAY, TODAY, TODAY - timedelta(days=1))]
    assert [lots[0] == lots[1], lots[0] == lots[2], Lot.objects.count()] == [True, False, 2]


@pytest.mark.django_db
def test_a_lot_stopped_twice_keeps_both_reasons():
    planting = a_planting()
    lot = lot_of_the_day(planting.entry, planting, TODAY)
    for reason in ("spray", "spray", "glass"):
        stop_lot(planting.entry, lot, NOW, reason)
    assert (Lot.objects.get().stopped_because, Change.objects.filter(column="stopped_at").count()) == (
        "spray; glass",
        1,
    )


@pytest.mark.django_db
def test_a_recall_follows_mixes_and_only_them():
    for code in ("L-1", "L-2"):
        pick(code, a_planting(code), weight="4")
    one, two = Lot.objects.order_by("pk")
    mix, bag = (Lot.objects.create(code=code, kind="mix", made_on=TODAY, entry=one.entry) for code in ("M-1", "M-2"))
    LotParent.objects.bulk_create([LotParent(lot=mix, parent=one), LotParent(lot=bag, parent=mix)])
    assert lots_to_recall(one) == [one, mix, bag]
    assert lots_to_recall(two) == [two]
