"""Shade and lamps in the sheet of spaces."""

import pytest

from farmops.exchange.sheets.light_checks import light_faults
from farmops.exchange.sheets.read import read_folder
from tests.exchange.sheets.small_farm import write_farm
from tests.exchange.sheets.test_checks import faults_of

HEAD = "space,kind,places,shade,lamp_hours,lamp_light"
REST = "B-1,bench,8,,,\nBed 1,bed,40,,,"


def spaces(*told):
    return "\n".join((HEAD, *told, REST))


def test_what_can_be_is_no_fault(tmp_path):
    told = spaces(
        "N-1,nursery,144,35;04-01=45,11-01=6;02-15=0,80".replace("35;", "01-01=35;"),
        "N-2,nursery,144,,,",
        "N-3,nursery,144,04-01=45;01-01=35,11-01=6;02-15=0,80",
        "F-1,channel,18,05-15=40;09-01=0,,",
    )
    rows = read_folder(write_farm(tmp_path, spaces=told))
    assert list(light_faults(rows)) == []
    assert rows.spaces[0].shade == rows.spaces[2].shade


@pytest.mark.parametrize(
    ("told", "row", "column", "problem"),
    [
        ("N-1,nursery,144,01-01=100,,", 2, "shade", "So much cannot be meant here."),
        ("N-1,nursery,144,,11-01=25,80", 2, "lamp_hours", "So much cannot be meant here."),
        ("N-1,nursery,144,,11-01=6,4000", 2, "lamp_light", "So much cannot be meant here."),
        (
            "N-1,nursery,144,,11-01=6,",
            2,
            "lamp_light",
            "Lamps burn there, and it is not said how much light they give.",
        ),
        ("N-1,nursery,144,40,,", 2, "shade", "“40” is not a date and its number."),
    ],
)
def test_what_cannot_be_is_said(tmp_path, told, row, column, problem):
    assert faults_of(tmp_path, spaces=spaces(told, "F-1,channel,18,,,")) == [("spaces", row, column, problem)]


def test_two_rows_of_a_kind_that_say_two_things(tmp_path):
    told = spaces("N-1,nursery,144,01-01=30,,", "N-2,nursery,144,01-01=40,,", "F-1,channel,18,,,")
    assert faults_of(tmp_path, spaces=told) == [
        ("spaces", 3, "shade", "Another row of this kind says something else of its light.")
    ]
