"""Shade and lamps over a kind of space, as they are typed and kept."""

from decimal import Decimal

import pytest

from farmops.growing.models import SpaceKind
from farmops.growing.set_light import MOST_HOURS, MOST_SHADE, by_date_typed, set_light
from farmops.journal.models import Change, Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import a_kind, saying


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("", ""),
        (" ; ", ""),
        ("40", "01-01=40"),
        ("35.50", "01-01=35.5"),
        ("05-15=40;09-01=0", "05-15=40;09-01=0"),
        ("9-1 = 0; 5-15=40 ;", "05-15=40;09-01=0"),
        ("02-29=99", "02-29=99"),
    ],
)
def test_a_table_by_dates_is_kept_with_the_earliest_first(typed, kept):
    assert by_date_typed(typed, most=MOST_SHADE, field="shade") == kept


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("05-15", "is not a date and its number"),
        ("05-32=40", "is not a date and its number"),
        ("May=40", "is not a date and its number"),
        ("05-15=much", "is not a date and its number"),
        ("05-15=NaN", "is not a date and its number"),
        ("05-15=-1", "Write a number from 0 to 99"),
        ("100", "Write a number from 0 to 99"),
        ("05-15=40;5-15=20", "A date stands there twice"),
        (";".join(f"{month:02d}-{day:02d}=1.2345" for month in range(1, 13) for day in (1, 15)), "more dates than"),
    ],
)
def test_what_is_no_table_is_refused_in_words(typed, words):
    with pytest.raises(Refused, match=words) as refused:
        by_date_typed(typed, most=MOST_SHADE, field="shade")
    assert refused.value.field == "shade"


def test_a_day_has_24_hours():
    assert by_date_typed("24", most=MOST_HOURS, field="lamp_hours") == "01-01=24"
    with pytest.raises(Refused, match="from 0 to 24"):
        by_date_typed("24.5", most=MOST_HOURS, field="lamp_hours")


def light(kind, key="one", **typed):
    facts = {"shade": "", "lamp_hours": "", "lamp_light": None, **typed}
    return set_light(saying=saying(key), kind=kind, **facts)


@pytest.mark.django_db
def test_it_is_set_with_old_and_new_noted_and_an_undo_brings_back_what_was():
    kind = a_kind("nursery")
    done = light(kind, shade="01-01=35", lamp_hours="11-01=6;02-15=0", lamp_light=80)
    kind.refresh_from_db()
    assert (kind.shade_by_date, kind.lamp_hours_by_date, kind.lamp_light) == ("01-01=35", "02-15=0;11-01=6", 80)
    assert done.entry.said == (
        "nursery, % of light kept out: 01-01=35, lamps of 80 µmol/m²s, hours a day: 02-15=0;11-01=6"
    )
    noted = {(one.column, one.old, one.new) for one in Change.objects.filter(entry=done.entry)}
    assert noted == {
        ("shade_by_date", "", "01-01=35"),
        ("lamp_hours_by_date", "", "02-15=0;11-01=6"),
        ("lamp_light", None, 80),
    }
    bare = light(kind, "two").entry
    assert bare.said == "nursery: open sky, no lamps"
    undo(saying("back", corrects=bare))
    kind.refresh_from_db()
    assert (kind.shade_by_date, kind.lamp_hours_by_date, kind.lamp_light) == ("01-01=35", "02-15=0;11-01=6", 80)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"lamp_hours": "6"}, "lamp_light"),
        ({"lamp_hours": "6", "lamp_light": 0}, "lamp_light"),
        ({"lamp_light": 3001}, "lamp_light"),
        ({"shade": "all"}, "shade"),
    ],
)
def test_what_cannot_be_changes_nothing(typed, field):
    kind = a_kind("nursery")
    with pytest.raises(Refused) as refused:
        light(kind, **typed)
    assert refused.value.field == field
    assert SpaceKind.objects.get(pk=kind.pk).shade_by_date == ""
    assert Entry.objects.count() == 0


def test_the_limits_are_those_of_the_sheets():
    assert (Decimal(99), Decimal(24)) == (MOST_SHADE, MOST_HOURS)
