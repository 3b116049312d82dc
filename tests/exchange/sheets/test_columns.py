"""The sheets, their columns, and the rows they become agree with each other."""

import dataclasses

from farmops.exchange.sheets.column import Kind
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import CLASSES, DEFINED_IN, FIELDS, MAY_BE_GONE
from farmops.planning.rows import FarmRows, Row


def test_every_sheet_has_a_class_with_a_field_for_each_column():
    shared = {field.name for field in dataclasses.fields(Row)}
    of_columns = {sheet.name: {FIELDS.get(column.name, column.name) for column in sheet.columns} for sheet in SHEETS}
    of_classes = {name: {field.name for field in dataclasses.fields(row)} - shared for name, row in CLASSES.items()}
    assert of_columns == of_classes


def test_a_field_can_be_left_out_exactly_where_the_column_can():
    for sheet in SHEETS:
        fields = {field.name: field for field in dataclasses.fields(CLASSES[sheet.name])}
        for column in sheet.columns:
            field = fields[FIELDS.get(column.name, column.name)]
            has_default = field.default is not dataclasses.MISSING
            assert has_default == (not column.required or column.may_be_empty or sheet.name == "farm"), column


def test_the_rows_of_a_farm_are_its_sheets_in_order():
    assert [field.name for field in dataclasses.fields(FarmRows)] == [
        *(sheet.name for sheet in SHEETS),
        "lights",
        "missing",
    ]


def test_joined_names_stand_in_columns_of_names():
    kinds = {(sheet.name, column.name): column.kind for sheet in SHEETS for column in sheet.columns}
    for places in (DEFINED_IN, MAY_BE_GONE):
        assert {kinds[place] for pair in places.items() for place in pair} == {Kind.NAME}


def test_only_choices_have_words_to_choose_from():
    for sheet in SHEETS:
        for column in sheet.columns:
            assert bool(column.choices) == (column.kind is Kind.CHOICE), column


def test_columns_that_change_nothing_yet_say_so():
    said = {column.name for sheet in SHEETS for column in sheet.columns if "(noted, not used yet)" in column.meaning}
    assert said == {"units", "currency", "paper", "germination", "over_full_because"}
