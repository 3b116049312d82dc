"""Figures of setting up as people type them."""

from decimal import Decimal

import pytest

from farmops.farm.typed_figures import (
    cents_text,
    cents_typed,
    figure_text,
    latitude_of,
    latitude_text,
    month_day_typed,
    name_of,
    number_of,
    percent_of,
    whole_number,
)
from farmops.journal.refusal import Refused


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("42.3 N", "42.3"),
        ("42,3n", "42.3"),
        ("N 42.3", "42.3"),
        ("42.3", "42.3"),
        ("42° 18' N", "42.3"),
        ("42°18′36″ north", "42.31"),
        ("33.9 S", "-33.9"),
        ("-33.9", "-33.9"),
        ("−33.9", "-33.9"),
        ("0", "0"),
        ("90 S", "-90"),
    ],
)
def test_a_latitude_is_read_as_maps_write_it(typed, degrees):
    assert latitude_of(typed) == Decimal(degrees)


@pytest.mark.parametrize("typed", ["", "Boston", "90.1 N", "-33 S", "N 42 N", "42 61 N", "42 E", "142 N"])
def test_what_is_no_latitude_is_refused(typed):
    with pytest.raises(Refused) as refused:
        latitude_of(typed)
    assert refused.value.field == "latitude"


def test_a_latitude_reads_back_as_it_was_typed():
    assert (latitude_text(Decimal("42.30000")), latitude_text(Decimal("-33.9"))) == ("42.3 N", "33.9 S")


@pytest.mark.parametrize(
    ("typed", "stored"), [("", ""), ("3-15", "03-15"), (" 11/05 ", "11-05"), ("02-29", "02-29"), ("12 1", "12-01")]
)
def test_a_day_of_the_year_is_month_and_day(typed, stored):
    assert month_day_typed(typed, field="dark_first") == stored


@pytest.mark.parametrize("typed", ["15-3", "02-30", "March", "0-1"])
def test_what_is_no_day_of_the_year_is_refused(typed):
    with pytest.raises(Refused, match=r"is not a day of the year\. Write month-day, e\.g\. 03-15 for 15 March\."):
        month_day_typed(typed, field="dark_first")


def test_numbers_keep_the_digits_that_are_kept():
    assert number_of("½", field="days", places=3) == Decimal("0.5")
    assert number_of("21", field="days", places=3) == Decimal(21)
    assert whole_number("72", field="plants") == 72
    assert whole_number("", field="plants", empty=72) == 72
    assert percent_of("92.5 %", field="survive") == Decimal("92.5")
    assert (cents_typed("$1.25", field="cost"), cents_typed("", field="cost"), cents_typed("0", field="cost")) == (
        125,
        0,
        0,
    )


@pytest.mark.parametrize(
    ("read", "typed", "words"),
    [
        (number_of, "0", "0 cannot be meant here"),
        (number_of, "1.5", "“1.5” is not a whole number"),
        (number_of, "3 trays", "write the number alone"),
        (number_of, "100001", "is more than can be: at most 100000"),
        (number_of, "", "nothing typed is not taken for 0"),
        (percent_of, "101", "is more than can be: at most 100"),
        (percent_of, "1.00001", "finer than can be kept: 4 digits behind the point"),
        (cents_typed, "1.2555", "finer than can be kept: 2 digits behind the point"),
        (cents_typed, "-1", "is less than nothing"),
    ],
)
def test_what_cannot_be_kept_is_refused_in_words(read, typed, words):
    with pytest.raises(Refused, match=words) as refused:
        read(typed, field="box")
    assert refused.value.field == "box"


def test_stored_figures_stand_in_boxes_as_one_would_type_them():
    assert (cents_text(125), cents_text(0), figure_text(Decimal("21.000")), figure_text(None)) == ("1.25", "", "21", "")


def test_a_name_has_one_spelling():
    assert name_of("  Green   buttere\u0301 ") == "Green butter\u00e9"
