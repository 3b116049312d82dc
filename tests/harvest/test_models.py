"""Rules of crates, lots, picks, stock and pick lists hold also past the forms."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError

from farmops.growing.models import Planting, Variety
from farmops.harvest.models import CrateKind, Lot, LotParent, Pick, PickLine, PickSheet, StockMove
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 4)
LB = 453_592_370_000  # nanograms


@pytest.fixture
def planting():
    variety = Variety.objects.create(name="sweet basil", crop="basil")
    entry = an_entry()
    return Planting.objects.create(code="P-1", variety=variety, state="done", sown_on=DAY, plants=72, entry=entry)


@pytest.mark.parametrize("wrong", [{"name": "Blue Crate"}, {"tare_ng": 0}])
def test_a_kind_of_crate_that_breaks_a_rule_is_not_stored(wrong):
    CrateKind.objects.create(name="blue crate", tare_ng=LB)
    with pytest.raises(IntegrityError):
        CrateKind.objects.bulk_create([CrateKind(**{"name": "grey crate", "tare_ng": LB, **wrong})])


@pytest.mark.parametrize(
    "wrong",
    [{"code": "a-1"}, {"code": "A-2"}, {"code": "A-3", "planting": None}],
    ids=["code twice", "second lot of the day", "no planting"],
)
def test_a_lot_that_breaks_a_rule_is_not_stored(planting, wrong):
    facts = {"code": "A-1", "kind": "harvest", "planting": planting, "made_on": DAY, "entry": planting.entry}
    Lot.objects.create(**facts)
    with pytest.raises(IntegrityError):
        Lot.objects.bulk_create([Lot(**{**facts, **wrong})])


def test_a_lot_is_no_parent_of_itself_nor_twice_of_another(planting):
    facts = {"kind": "mix", "made_on": DAY, "entry": planting.entry}
    mix, other = (Lot.objects.create(code=code, **facts) for code in ("M-1", "M-2"))
    with pytest.raises(IntegrityError):
        LotParent.objects.bulk_create([LotParent(lot=mix, parent=other), LotParent(lot=mix, parent=other)])


def test_a_lot_is_not_its_own_parent(planting):
    mix = Lot.objects.create(code="M-1", kind="mix", made_on=DAY, entry=planting.entry)
    with pytest.raises(IntegrityError, match="lot_not_its_own_parent"):
        LotParent.objects.bulk_create([LotParent(lot=mix, parent=mix)])


@pytest.mark.parametrize(
    ("amounts", "rule"),
    [
        ({}, "pick_counted_or_weighed"),
        ({"count": 0, "count_unit": "head"}, "pick_more_than_nothing"),
        ({"mass_ng": 0}, "pick_more_than_nothing"),
        ({"count": 24}, "pick_count_has_unit"),
        ({"mass_ng": LB, "gross_ng": 2 * LB}, "pick_gross_keeps_tare"),
        ({"mass_ng": LB, "gross_ng": 2 * LB, "crates": 1}, "pick_gross_keeps_tare"),
    ],
)
def test_a_pick_that_breaks_a_rule_is_not_stored(planting, amounts, rule):
    facts = {"planting": planting, "picked_on": DAY, "typed": "1", "typed_unit": "lb", "entry": planting.entry}
    with pytest.raises(IntegrityError, match=rule):
        Pick.objects.bulk_create([Pick(**facts, **amounts)])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [({"amount": 0}, "stock_move_moves_something"), ({"variety": None}, "stock_move_names_what")],
)
def test_a_stock_move_that_breaks_a_rule_is_not_stored(planting, wrong, rule):
    facts = {"variety": planting.variety, "moved_on": DAY, "amount": LB, "unit": "lb", "why": "picked", **wrong}
    with pytest.raises(IntegrityError, match=rule):
        StockMove.objects.bulk_create([StockMove(entry=planting.entry, **facts)])


@pytest.fixture
def sheet():
    return PickSheet.objects.create(pick_on=DAY, version=1, made_at=datetime(2026, 5, 4, 9, 40, tzinfo=UTC))


def test_versions_of_a_days_list_are_numbered_once(sheet):
    with pytest.raises(IntegrityError):
        PickSheet.objects.bulk_create([PickSheet(pick_on=DAY, version=1, made_at=sheet.made_at)])


@pytest.mark.parametrize("below", ["amount", "packed", "short"])
def test_amounts_of_a_list_are_not_below_nothing(sheet, below):
    facts = {"position": 1, "amount": 5, "unit": "head", "packed": 5, "packed_unit": "head", "short": 0, below: -1}
    with pytest.raises(IntegrityError, match="pick_line_not_below_nothing"):
        PickLine.objects.bulk_create([PickLine(sheet=sheet, **facts)])


def test_two_lines_do_not_stand_at_one_place(sheet):
    facts = {"sheet": sheet, "position": 1, "amount": 5, "unit": "head", "packed": 5, "packed_unit": "head"}
    with pytest.raises(IntegrityError):
        PickLine.objects.bulk_create([PickLine(**facts), PickLine(**facts)])
