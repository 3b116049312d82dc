"""What is read of own plantings at once is what the same rows tell one by one."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import pytest

from farmops.harvest.models import Pick
from farmops.journal.models import Entry
from farmops.people.models import Person, Role
from farmops.planning.from_tables import growing_rows
from farmops.planning.own_pace import OWN_DAYS, told_by
from farmops.planning.own_records import own_records, told_of
from farmops.planning.planting_rows import planting_rows
from farmops.planning.standing import plantings_of, schedules_of
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved, walked

pytestmark = pytest.mark.django_db
SOWN = date(2026, 3, 9)
LONG_AGO = date(2024, 9, 2)


def picked(planting, on, cutting=1, key="", **other):
    entry = an_entry(f"pick {planting.code} {on} {key}", job="pick", **other)
    return Pick.objects.create(
        planting=planting, picked_on=on, count=4, count_unit="head", cutting=cutting, typed="4", entry=entry
    )


@pytest.fixture
def farm():
    """Five plantings: moved in parts, picked twice a day, walked past, planned, and one of two years ago."""
    a_place()
    lettuce, mizuna = a_variety(), a_variety("mizuna")
    for number, variety in enumerate((lettuce, lettuce, mizuna)):
        sown = SOWN + timedelta(days=7 * number)
        planting = a_planting(variety, f"P26-00{number + 1}", sown=sown)
        moved(planting.stays.get(), "N-1", 30, sown + timedelta(days=22))
        moved(planting.stays.get(space__name="S-1"), "N-2", 30, sown + timedelta(days=24))
        for day in (58, 61):
            picked(planting, sown + timedelta(days=day))
            picked(planting, sown + timedelta(days=day), key="again", cutting=None if number else 1)
        walked(planting, sown + timedelta(days=50), is_as_planned=True)
        walked(planting, sown + timedelta(days=52), days_late="2.5", by_name="Odile")
        walked(planting, sown + timedelta(days=54), ready=7, stay=planting.stays.first())
    walked(planting, sown + timedelta(days=90), is_finished=True)
    a_planting(lettuce, "P24-001", sown=LONG_AGO, cleared_on=LONG_AGO + timedelta(days=70))
    a_planting(lettuce, "P24-002", sown=LONG_AGO)  # it still stands
    planned = a_planting(lettuce, "P26-009", sown=TODAY + timedelta(days=7))
    type(planned).objects.filter(pk=planned.pk).update(state="planned")
    return lettuce


def both_ways():
    rows = growing_rows(TODAY - timedelta(days=OWN_DAYS))
    by_rows = [replace(told_by(one), picks=()) for one in plantings_of(rows, date(2027, 1, 1))]
    picks = {
        one.key: Counter({(pick.day, pick.cutting) for pick in one.picks})
        for one in plantings_of(rows, date(2027, 1, 1))
    }
    at_once = told_of(own_records(TODAY), schedules_of(rows))
    found = {one.key: Counter(one.picks) for one in at_once}
    at_once = sorted((replace(one, picks=()) for one in at_once), key=lambda one: one.key)
    return at_once, sorted(by_rows, key=lambda one: one.key), found, picks


def test_what_is_read_at_once_is_what_the_rows_tell(farm):
    at_once, by_rows, found, picks = both_ways()
    assert [one.key for one in at_once] == ["P24-002", "P26-001", "P26-002", "P26-003"]
    assert at_once == by_rows
    assert found == picks


def test_the_walks_are_those_of_the_rows_in_their_order(farm):
    entry = an_entry("walk by one of the crew", job="walk", by=Person.objects.create(name="Ines", role=Role.CREW))
    planting = next(iter(farm.plantings.order_by("code").filter(code="P26-001")))
    planting.walks.create(seen_on=date(2026, 3, 20), days_late=1, entry=entry)
    known = {one.planting for one in planting_rows(TODAY - timedelta(days=OWN_DAYS)).walks}
    assert own_records(TODAY).walks == tuple(replace(one, key="") for one in planting_rows().walks)
    assert known == {"P26-001", "P26-002", "P26-003"}
    assert {one.by for one in own_records(TODAY).walks} == {"", "Odile", "Ines"}


def test_what_was_taken_back_or_never_done_tells_nothing(farm):
    planting = farm.plantings.get(code="P26-001")
    for rows in (planting.picks.all(), planting.walks.all(), planting.stays.filter(stage_number=2)):
        for row in rows:
            Entry.objects.create(
                once_key=f"undo {row.entry_id}", job="undo", source="page", farm_day=TODAY, said_at=row.entry.said_at,
                received_at=row.entry.received_at, corrects=row.entry,
            )  # fmt: skip
    planned = farm.plantings.get(code="P26-002").stays.filter(space__name="N-1")
    planned.update(state="planned", from_on=date(2026, 3, 10))
    at_once, by_rows, found, picks = both_ways()
    assert (at_once, found) == (by_rows, picks)
    told = {one.key: one for one in at_once}
    assert (told["P26-001"].entered, told["P26-001"].walks, found["P26-001"]) == (None, (), Counter())
    assert told["P26-002"].entered == SOWN + timedelta(days=7 + 24)


def test_one_query_for_three_plantings_and_for_thirty(farm, django_assert_num_queries):
    for number in range(30):
        moved(a_planting(farm, f"P26-1{number:02d}").stays.get(), "N-10", 1, date(2026, 3, 30))
    with django_assert_num_queries(1):
        assert len(own_records(TODAY).codes) == 34


def test_a_variety_without_a_schedule_tells_nothing(farm):
    records = own_records(TODAY)
    versions = schedules_of(growing_rows())
    assert [one.variety for one in told_of(records, {"mizuna": versions["mizuna"]})] == ["mizuna"]
