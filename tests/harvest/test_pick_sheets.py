"""How much of a written list is cut."""

from datetime import timedelta

import pytest

from farmops.harvest.models import Pick, PickLine, PickSheet
from farmops.harvest.pick_sheets import Part, done_of, latest_sheet, lines_of, note_printed, part_of
from tests.harvest.picks import NOW, TODAY, a_planting, a_stay, lb
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db


def a_line(sheet, planting, amount, unit="head", stay=None):
    position = sheet.lines.count()
    facts = {"packed": amount, "packed_unit": unit, "stay": stay}
    return PickLine.objects.create(sheet=sheet, position=position, planting=planting, amount=amount, unit=unit, **facts)


def a_pick(planting, count=None, *, unit="head", stay=None, mass_ng=None, on=TODAY):
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
        entry=entry,
    )


def a_sheet(version=1):
    return PickSheet.objects.create(pick_on=TODAY, version=version, made_at=NOW)


def done(sheet):
    return [(one.done, one.left, one.is_done) for one in done_of(lines_of(sheet), TODAY).values()]


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
