"""Today's jobs."""

from datetime import UTC, date, datetime, timedelta

import pytest

from farmops.growing.models import Planting
from farmops.harvest.models import Pick, PickLine, PickSheet
from farmops.planning.due_now import due_now
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet
from farmops.waiting.models import DoNotCut
from tests.journal.entries import an_entry
from tests.planning.small_farm import NOW, TODAY, a_market, a_place, a_planting, a_variety, an_item, moved, walked

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def a_sheet(version=1, *lines):
    sheet = PickSheet.objects.create(pick_on=TODAY, version=version, made_at=NOW)
    for position, (stay, amount) in enumerate(lines, 1):
        PickLine.objects.create(
            sheet=sheet,
            position=position,
            planting=stay.planting,
            stay=stay,
            amount=amount,
            unit="head",
            packed=amount,
            packed_unit="head",
            for_whom=[["Quay", amount, 0]],
        )
    return sheet


def a_pick(stay, heads):
    entry = an_entry(f"pick {stay.pk} {heads}", job="pick")
    facts = {"typed": f"{heads}", "typed_unit": "head", "count_unit": "head", "picked_on": TODAY}
    return Pick.objects.create(planting=stay.planting, stay=stay, count=heads, entry=entry, **facts)


def picks(due):
    return [(one.line.stay.space.name, one.state, one.left, one.in_words, one.done_in_words) for one in due.picks]


def test_lines_of_the_newest_list_are_open_half_done_and_done(planting):
    first = moved(planting.stays.get(), "N-1", 36, date(2026, 3, 30))
    second = moved(planting.stays.first(), "N-2", 36, date(2026, 3, 30))
    a_sheet(1, (first, 10))
    a_sheet(2, (first, 24), (second, 12))
    assert picks(due_now(TODAY)) == [("N-1", "open", "24", "24 heads", ""), ("N-2", "open", "12", "12 heads", "")]
    a_pick(first, 20), a_pick(second, 12)
    assert picks(due_now(TODAY)) == [
        ("N-1", "half", "4", "24 heads", "20 heads"),
        ("N-2", "done", "0", "12 heads", "12 heads"),
    ]


def test_a_line_that_must_wait_says_so_and_is_no_open_job(planting):
    stay = moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    a_sheet(1, (stay, 24))
    assert due_now(TODAY).open_jobs == 2  # that line, and looking at the planting
    before = datetime(2026, 5, 6, 10, tzinfo=UTC)
    DoNotCut.objects.create(planting=planting, before=before, reason="hail", entry=an_entry("a wait", job="wait"))
    due = due_now(TODAY)
    assert [(one.state, one.waits) for one in due.picks] == [
        ("wait", ("Do not cut P26-001 green butterhead in N-1 before Wed 6 May 2026, 06:00: hail",))
    ]
    assert due.open_jobs == 1


def test_moves_stand_in_walking_order(planting):
    shelf = planting.stays.get()
    a_planting(planting.variety, "P26-002", sown=date(2026, 3, 1), plants=10)
    late = moved(shelf, "N-10", 20, date(2026, 4, 1))
    type(late).objects.filter(pk=late.pk).update(stage_number=1)
    assert [(one.here.stay.space.name, one.planting.key, one.here.plants) for one in due_now(TODAY).moves] == [
        ("S-1", "P26-002", 10),
        ("S-1", "P26-001", 52),
        ("N-10", "P26-001", 20),
    ]


def test_planned_sowings_of_today_and_before_are_due(planting):
    for code, day in (
        ("P26-010", TODAY),
        ("P26-011", TODAY - timedelta(days=3)),
        ("P26-012", TODAY + timedelta(days=1)),
    ):
        a_planting(planting.variety, code, sown=day)
    Planting.objects.exclude(pk=planting.pk).update(state="planned")
    assert [(one.code, one.plants, one.late) for one in due_now(TODAY).sowings] == [
        ("P26-011", 72, 3),
        ("P26-010", 72, 0),
    ]


def test_what_nears_its_day_is_looked_at_once_a_week(planting):
    moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    due = due_now(TODAY)
    assert [(one.planting.key, one.where, one.ready_on, one.last_on) for one in due.walks] == [
        ("P26-001", "N-1", TODAY, None)
    ]
    walked(planting, TODAY - timedelta(days=7), is_as_planned=True)
    assert [one.last_on for one in due_now(TODAY).walks] == [TODAY - timedelta(days=7)]
    walked(planting, TODAY - timedelta(days=6), is_as_planned=True)
    assert due_now(TODAY).walks == []


def test_what_is_far_from_its_day_is_left_alone(planting):
    moved(planting.stays.get(), "N-1", 72, date(2026, 4, 20))  # ready 35 days later, on 25 May
    assert due_now(TODAY).walks == []


def a_day(held_on, status="planned", **other):
    market = Outlet.objects.filter(kind="market").first() or a_market()
    return MarketDay.objects.create(
        outlet=market,
        held_on=held_on,
        opens_minute=480,
        closes_minute=780,
        status=status,
        entry=an_entry(f"market {held_on}", job="plan"),
        **other,
    )


def test_markets_of_today_and_tomorrow_and_evenings_not_closed(planting):
    yesterday, today, tomorrow, later = (TODAY + timedelta(days=days) for days in (-1, 0, 1, 2))
    held, now, next_one, _later = (a_day(day) for day in (yesterday, today, tomorrow, later))
    line = MarketLine.objects.create(
        market_day=held, item=an_item(planting.variety), unit="head", entry=an_entry("a line", job="plan")
    )
    never = due_now(TODAY)
    MarketFact.objects.create(line=line, kind="brought", amount=24, entry=an_entry("load", job="load"))
    due = due_now(TODAY)
    assert ([day.pk for day in due.markets], [day.pk for day in due.evenings]) == (
        [now.pk, next_one.pk],
        [held.pk, now.pk],
    )
    assert [day.is_loaded for day in due.evenings] == [True, False]
    assert [day.pk for day in never.evenings] == [now.pk]  # nobody loaded anything: there is nothing to come back


def test_what_was_written_down_today_and_the_newest_of_it(planting):
    an_entry("a walk", job="walk", said="Walked past P26-001")
    undone = an_entry("another", job="walk")
    an_entry("undo", job="undo", corrects=undone)
    an_entry("a sheet", job="read")
    done = due_now(TODAY).done
    assert (done.newest.said, next(iter(done.jobs))) == ("Walked past P26-001", ("walk", 1))
