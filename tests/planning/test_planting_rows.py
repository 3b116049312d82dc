"""Plantings of the tables as rows."""

from datetime import UTC, date, datetime

import pytest

from farmops.growing.models import Planting
from farmops.harvest.models import Pick
from farmops.planning.planting_rows import planting_rows
from farmops.planning.rows import Loss, Stay, Waiting, Walk
from farmops.waiting.models import DoNotCut, Treatment
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_place, a_planting, a_stay, a_variety, left, moved, walked

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def on_shelf(planting):
    return planting.stays.get(space__name="S-1")


def test_plants_that_moved_on_together_are_a_row_and_those_that_stay_another(planting):
    shelf = on_shelf(planting)
    moved(shelf, "N-1", 36, date(2026, 3, 30))
    left(shelf, 4, date(2026, 4, 2), "lost", cause="slugs")
    rows = planting_rows()
    assert rows.stays == (
        Stay(planting="P26-001", space="S-1", plants=36, from_day=date(2026, 3, 9), to_day=date(2026, 3, 30), stage=1),
        Stay(planting="P26-001", space="S-1", plants=36, from_day=date(2026, 3, 9), stage=1),
        Stay(
            planting="P26-001", space="N-1", plants=36, from_day=date(2026, 3, 30), stage=2, moved_from="S-1"
        ),
    )  # fmt: skip
    assert rows.losses == (Loss(planting="P26-001", day=date(2026, 4, 2), plants=4, space="S-1", cause="slugs"),)


def test_what_was_lost_ends_with_the_last_that_moved(planting):
    shelf = on_shelf(planting)
    left(shelf, 4, date(2026, 3, 28), "lost")
    moved(shelf, "N-1", 36, date(2026, 3, 30))
    moved(shelf, "N-2", 32, date(2026, 4, 1))
    assert [(row.plants, row.to_day) for row in planting_rows().stays if row.space == "S-1"] == [
        (36, date(2026, 3, 30)),
        (36, date(2026, 4, 1)),
    ]


def test_a_stay_that_was_cut_out_ends_with_its_last_head(planting):
    shelf = on_shelf(planting)
    left(shelf, 40, date(2026, 5, 1), "cut")
    left(shelf, 32, date(2026, 5, 3), "cut")
    assert [(row.plants, row.to_day) for row in planting_rows().stays] == [(72, date(2026, 5, 3))]


def test_a_planned_stay_ends_when_it_is_planned_to(planting):
    a_stay(planting, "N-1", 36, date(2026, 6, 1), state="planned", planned_to_on=date(2026, 7, 1))
    planned = planting_rows().stays[-1]
    assert (planned.state, planned.from_day, planned.to_day) == ("planned", date(2026, 6, 1), date(2026, 7, 1))


def test_as_planned_is_a_walk_that_found_it_no_days_late(planting):
    walked(planting, date(2026, 5, 3), is_as_planned=True)
    walked(planting, date(2026, 5, 4), ready=30, by_name="Maud")
    assert planting_rows().walks == (
        Walk(planting="P26-001", day=date(2026, 5, 3), days_late=0),
        Walk(planting="P26-001", day=date(2026, 5, 4), by="Maud", ready=30),
    )


def test_a_pick_speaks_in_the_kind_of_unit_its_variety_is_cut_by(planting):
    facts = {"planting": planting, "picked_on": date(2026, 5, 4), "entry": an_entry("a pick")}
    Pick.objects.create(
        count=12, count_unit="head", mass_ng=453_592_370_000, typed="12, 1 lb", typed_unit="head", **facts
    )
    assert [(row.amount, row.unit) for row in planting_rows().picks] == [(12, "head")]


def test_a_wait_of_a_stay_is_one_of_every_stay_its_plants_have_gone_to_since(planting):
    shelf = on_shelf(planting)
    first = moved(shelf, "N-1", 36, date(2026, 3, 30))
    moved(shelf, "N-2", 36, date(2026, 3, 30))
    moved(first, "S-1", 4, date(2026, 3, 31))  # before anybody said so
    moved(first, "N-10", 10, date(2026, 4, 9))
    said = an_entry("a wait", farm_day=date(2026, 4, 1))
    before = datetime(2026, 5, 6, 10, 30, tzinfo=UTC)  # 06:30 on the farm's clock
    DoNotCut.objects.create(planting=planting, stay=first, before=before, reason="hail", entry=said)
    told = {
        "planting": "P26-001",
        "product": "hail",
        "reason": "hail",
        "not_before": date(2026, 5, 6),
        "not_before_at": 390,
    }
    assert planting_rows().waiting == (
        Waiting(space="N-1", ended=date(2026, 4, 1), **told),
        Waiting(space="N-10", ended=date(2026, 4, 9), **told),
    )


def test_a_treatment_without_its_days_stays_without_them(planting):
    entry = an_entry("a spray")
    Treatment.objects.create(planting=planting, ended_on=date(2026, 5, 1), product="soap", how="spray", entry=entry)
    assert planting_rows().waiting == (
        Waiting(planting="P26-001", ended=date(2026, 5, 1), product="soap", job="spray", harvest_days=None),
    )


def test_what_was_undone_is_no_row(planting):
    loss = left(on_shelf(planting), 4, date(2026, 3, 28), "lost")
    an_entry("undo", job="undo", corrects=loss.entry)
    Planting.objects.filter(pk=planting.pk).update(state="not sown")
    assert (planting_rows().losses, planting_rows().plantings) == ((), ())


def test_what_was_cleared_before_a_day_is_left_out_and_what_stood_is_not(planting):
    other = a_planting(planting.variety, "P25-900", sown=date(2025, 3, 1))
    assert [row.planting for row in planting_rows(date(2026, 1, 1)).plantings] == ["P26-001", "P25-900"]
    Planting.objects.filter(pk=other.pk).update(cleared_on=date(2025, 6, 1))
    assert [row.planting for row in planting_rows(date(2026, 1, 1)).plantings] == ["P26-001"]


@pytest.mark.parametrize("more", [0, 12])
def test_as_many_queries_for_many_as_for_few(planting, django_assert_num_queries, more):
    for number in range(more):
        other = a_planting(planting.variety, f"P26-1{number}")
        moved(on_shelf(other), "N-1", 1, date(2026, 4, 1))
        DoNotCut.objects.create(planting=other, reason="hail", entry=an_entry(f"wait {number}"))
    with django_assert_num_queries(8):
        planting_rows()
