"""How much of a written list is cut."""

from datetime import timedelta

import pytest

from farmops.harvest.models import Pick, PickLine, PickSheet
from farmops.harvest.pick_sheets import (
    Part,
    done_of,
    latest_sheet,
    lines_of,
    list_cut_for,
    note_printed,
    part_of,
    to_cut_of,
)
from tests.harvest.picks import NOW, TODAY, a_planting, a_stay, lb
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


def a_line(sheet, planting, amount, unit="head", stay=None):
    position = sheet.lines.count()
    facts = {"packed": amount, "packed_unit": unit, "stay": stay}
    return PickLine.objects.create(sheet=sheet, position=position, planting=planting, amount=amount, unit=unit, **facts)


def a_pick(planting, count=None, *, unit="head", stay=None, mass_ng=None, on=TODAY, cut_for=None):
    entry = an_entry(f"pick {Pick.objects.count()}", job="pick")
    typed = f"{count} {unit}"
    return Pick.objects.create(
        planting=planting,
        stay=stay,
        picked_on=on,
        count=count,
        count_unit=unit if count else "",
        mass_ng=mass_ng,
        typed=typed,
        typed_unit=unit,
        cut_for=cut_for,
        entry=entry,
    )


def a_sheet(version=1, on=TODAY):
    return PickSheet.objects.create(pick_on=on, version=version, made_at=NOW)


def done(sheet):
    return [(one.done, one.left, one.is_done) for one in done_of(lines_of(sheet), sheet).values()]


def test_a_pick_counts_where_it_was_cut_and_the_rest_in_order():
    planting, sheet = a_planting(), a_sheet()
    first, second, third = (a_stay(planting, f"N-{number}") for number in (1, 2, 3))
    for stay in (first, second, third):
        a_line(sheet, planting, 20, stay=stay)
    a_pick(planting, 15, stay=second)
    a_pick(planting, 24)
    assert done(sheet) == [(20, 0, True), (19, 1, False), (0, 20, False)]
    a_pick(planting, 30)
    assert done(sheet) == [(20, 0, True), (20, 0, True), (29, 0, True)]


def test_what_is_of_another_day_another_planting_or_another_unit_does_not_count():
    planting, sheet = a_planting(), a_sheet()
    a_line(sheet, planting, 20)
    a_pick(planting, 20, on=TODAY - timedelta(days=1))
    a_pick(planting, 4, unit="bunch")
    a_pick(a_planting("L-9"), 20)
    replaced = a_pick(planting, 7)
    an_entry("undo", job="undo", corrects=replaced.entry)
    assert done(sheet) == [(0, 20, False)]


def test_a_weight_is_done_up_to_a_hundredth():
    planting, sheet = a_planting(), a_sheet()
    a_line(sheet, planting, lb("5.6"), "lb")
    a_pick(planting, mass_ng=lb("5.5"))
    assert [is_done for _done, _left, is_done in done(sheet)] == [False]
    a_pick(planting, mass_ng=lb("0.09"))
    assert [is_done for _done, _left, is_done in done(sheet)] == [True]


def test_what_is_cut_the_evening_before_for_tomorrows_list_is_done_there_and_nowhere_else():
    planting, today, tomorrow = a_planting(), a_sheet(), a_sheet(on=TOMORROW)
    stay = a_stay(planting)
    for sheet in (today, tomorrow):
        a_line(sheet, planting, 14, stay=stay)
    a_pick(planting, 14, stay=stay, cut_for=tomorrow)
    assert (done(today), done(tomorrow)) == ([(0, 14, False)], [(14, 0, True)])
    a_pick(planting, 5, stay=stay, on=TOMORROW + timedelta(days=1), cut_for=tomorrow)  # the rest, a day late
    assert done(tomorrow) == [(19, 0, True)]


def test_a_version_made_after_it_found_it_in_the_cold_room():
    planting, first = a_planting(), a_sheet(on=TOMORROW)
    a_line(first, planting, 20)
    a_pick(planting, 14, cut_for=first)
    second = a_sheet(2, on=TOMORROW)
    a_line(second, planting, 6)
    a_pick(planting, 4, on=TOMORROW, cut_for=first)
    assert (done(first), done(second)) == ([(18, 2, False)], [(4, 2, False)])


def test_for_which_list_something_is_cut():
    """Said, it is that list. Else it is tomorrow's, where that asks for it and today's asks for no more."""
    planting, today, tomorrow = a_planting(), a_sheet(), a_sheet(2, on=TOMORROW)
    here, there = (a_stay(planting, name) for name in ("N-1", "N-2"))
    assert list_cut_for(planting, here, TODAY, TOMORROW) == tomorrow
    assert list_cut_for(planting, here, TODAY, TODAY) is None
    a_line(tomorrow, planting, 14, stay=here)
    a_line(today, planting, 10, stay=here)
    assert list_cut_for(planting, here, TODAY, None) is None
    a_pick(planting, 10, stay=here)
    assert list_cut_for(planting, here, TODAY, None) == tomorrow
    assert [list_cut_for(planting, stay, TODAY, None) for stay in (None, there)] == [None, None]
    a_pick(planting, 14, stay=here, cut_for=tomorrow)
    assert list_cut_for(planting, here, TODAY, None) is None


def test_only_the_newest_list_of_a_day_asks():
    planting = a_planting()
    line = a_line(a_sheet(), planting, 20)
    assert to_cut_of(planting, TODAY, TOMORROW) == {TODAY: [line]}
    a_sheet(2)
    assert to_cut_of(planting, TODAY, TOMORROW) == {}


def test_nothing_is_done_before_anything_is_cut():
    sheet = a_sheet()
    a_line(sheet, a_planting(), 1)
    assert done(sheet) == [(0, 1, False)]


def test_the_parts_of_a_list():
    planting, sheet = a_planting(), a_sheet()
    a_line(sheet, planting, 5)
    a_line(sheet, planting, 0)
    PickLine.objects.create(sheet=sheet, position=9, amount=0, unit="", packed=0, packed_unit="", words="look")
    assert [part_of(line) for line in lines_of(sheet)] == [Part.CUT, Part.OFF, Part.NOTE]


def test_the_latest_version_counts_and_the_first_printing():
    a_sheet(), a_sheet(2)
    sheet = latest_sheet(TODAY)
    assert (sheet.version, latest_sheet(TODAY - timedelta(days=1))) == (2, None)
    note_printed(sheet, NOW)
    note_printed(sheet, NOW + timedelta(hours=1))
    sheet.refresh_from_db()
    assert sheet.printed_at == NOW
