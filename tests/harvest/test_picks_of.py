"""A planting's picks for its page: latest first, corrected ones with what stands in their place."""

from datetime import date

import pytest
from django.template.loader import render_to_string

from farmops.harvest.models import CrateKind, Pick
from farmops.harvest.picks_of import picks_of
from tests.harvest.picks import a_planting, a_stay, lb, pick
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db


def test_what_was_typed_stands_beside_what_it_comes_to():
    planting = a_planting()
    stay = a_stay(planting)
    blue = CrateKind.objects.create(name="blue", tare_ng=lb("1.60"))
    pick("a", planting, weight="14.35", crate=blue, crates="3", culled_weight="0.5", minute=430, stay=stay)
    pick("b", planting, weight="1.1", weight_unit="kg", said={"day": date(2026, 5, 3)})
    pick("c", planting, count="38", weight="2 lb 6 oz", culled="2", said={"day": date(2026, 5, 2)})
    found = [(row.amount, row.typed, row.culled, row.where, row.minute) for row in picks_of(planting)]
    assert found == [
        ("9.55 lb", "14.35 lb", "0.5 lb", "N-1", 430),
        ("1.1 kg", "", "", "", None),
        ("38 heads, 2.375 lb", "38 head, 2 lb 6 oz", "2 heads", "", None),
    ]


def test_a_corrected_pick_stays_to_be_seen():
    planting = a_planting()
    first = pick("a", planting, weight="12.4")
    pick("b", planting, weight="2.4", said={"corrects": first.entry})
    sheet = an_entry("sheet", job="read")
    Pick.objects.create(
        planting=planting, picked_on=date(2026, 5, 1), count=3, count_unit="head", typed="3 head", entry=sheet
    )
    rows = picks_of(planting)
    assert [(row.amount, row.is_live, row.may_correct) for row in rows] == [
        ("2.4 lb", True, True),
        ("12.4 lb", False, False),
        ("3 heads", True, True),
    ]
    assert rows[1].instead == "Cut 2.4 lb of L-13 green butterhead, Mon 4 May 2026"
    page = render_to_string("harvest/_picks_of_planting.html", {"picks": rows})
    assert page.count("<s>12.4 lb</s>") == 1
    assert page.count("Put right") == 2


@pytest.mark.parametrize("picks", [3, 300])
def test_it_is_one_query(django_assert_num_queries, picks):
    planting, entry = a_planting(), an_entry("picks", job="pick")
    facts = {"planting": planting, "picked_on": date(2026, 5, 4), "entry": entry, "typed": "3 head"}
    Pick.objects.bulk_create(Pick(count=3, count_unit="head", **facts) for _one in range(picks))
    with django_assert_num_queries(1):
        assert len(picks_of(planting)) == picks
