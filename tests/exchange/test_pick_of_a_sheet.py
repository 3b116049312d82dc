"""A pick that a sheet told, put right on its page like one that was noted on a phone."""

import pytest
from django.urls import reverse

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.take_back.take_back import take_back
from farmops.growing.balance import balance_of
from farmops.harvest.models import CrateKind, Pick, StockMove
from farmops.journal.deed import Saying
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from tests.exchange.grown_farm import write_grown, write_only
from tests.harvest.picks import NOW, TODAY
from tests.pages import send, typed_in

pytestmark = pytest.mark.django_db


def test_a_pick_of_a_sheet_is_put_right_like_any_other_and_puts_nothing_into_the_cold_room(phone_client, tmp_path):
    read_sheets(write_grown(tmp_path), now=NOW)
    old = Pick.objects.select_related("entry").get(typed="10 head")
    correct = reverse("correct-pick", args=[old.pk])
    page = phone_client.get(correct)
    assert [typed_in(page, name) for name in ("planting", "count", "day", "at")] == [
        "P-1",
        "10 head",
        "2026-05-01",
        "07:10",
    ]
    typed = {"planting": "P-1", "count_unit": "head", "day": "2026-05-01", "at": "07:10", "stay": old.stay_id}
    assert send(phone_client, correct, **typed, count="2").status_code == 303
    now = Pick.objects.live().get(picked_on="2026-05-01", count=2)
    assert (now.entry.corrects, now.by_name, now.lot_id) == (old.entry, "Ines", old.lot_id)
    assert StockMove.objects.count() == 0
    stood = balance_of(old.planting)  # 22 stood there, with the 8 that were not cut after all 30
    assert (stood.in_stays, stood.out) == (30, {"lost": 5, "cut": 5})
    again = read_sheets(tmp_path, now=NOW)
    assert (again.added, Pick.objects.live().filter(picked_on="2026-05-01", count=10).count()) == ({}, 0)
    assert send(phone_client, reverse("correct-pick", args=[now.pk]), **typed, count="3").status_code == 303
    assert (StockMove.objects.count(), balance_of(old.planting).in_stays) == (0, 29)
    assert [str(one) for one in check_farm(TODAY)] == []


def test_the_boxes_of_a_sheets_pick_hold_what_it_says_without_its_crates(phone_client, tmp_path):
    picks = """planting,day,amount,unit,also,also_unit,gross_g,crates,tare_g,typed
        P-2,2026-04-20,9.5,lb,,,5761.0,1,1452,12.7 lb
        P-2,2026-04-21,2.5,lb,12,bunches,,,,"""
    read_sheets(write_grown(tmp_path, picks=picks), now=NOW)
    CrateKind.objects.create(name="blue", tare_ng=725_747_792_000)
    boxes = [
        [
            typed_in(phone_client.get(reverse("correct-pick", args=[pick.pk])), name)
            for name in ("count", "weight", "crates")
        ]
        for pick in Pick.objects.order_by("pk")
    ]
    assert boxes == [["", "9.5 lb", ""], ["12", "2.5 lb", ""]]


def test_a_reading_is_not_taken_back_under_a_pick_of_it_that_was_put_right(phone_client, tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    more = write_only(tmp_path / "more", picks="planting,day,amount,unit\nP-2,2026-04-22,3,lb")
    reading = read_sheets(more, now=NOW).entry
    old = Pick.objects.get(picked_on="2026-04-22")
    typed = {"planting": "P-2", "weight": "4", "weight_unit": "lb", "day": "2026-04-22", "cutting": ""}
    assert send(phone_client, reverse("correct-pick", args=[old.pk]), **typed).status_code == 303
    said = Entry.objects.get(corrects=old.entry).said
    with pytest.raises(Refused) as refused:
        take_back(Saying(key="back", body={}, day=TODAY, said_at=NOW, now=NOW, corrects=reading))
    assert str(refused.value) == f"Later entries rest on this one: {said}. Take those back first."
