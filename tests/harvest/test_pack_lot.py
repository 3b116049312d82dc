"""Packing a lot: cut weight is not packed weight."""

from decimal import Decimal

import pytest

from farmops.growing.models import Item
from farmops.harvest.lot_of_the_day import stop_lot
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.pack_lot import check_water, pack_lot, packs_to
from farmops.harvest.stock import in_the_cold_room
from farmops.journal.refusal import NeedsYes, Refused
from tests.harvest.picks import NOW, TODAY, a_planting, lb, pick, saying

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot():
    pick("cut", a_planting(), weight="44.0")
    return Lot.objects.get()


@pytest.fixture
def greens():
    return Item.objects.create(name="washed greens", unit="lb", keeps_days=5)


def pack(key, lot, item, *, used="44.0", used_unit="lb", packed="39.6", said=None, yes=()):
    return pack_lot(
        saying=saying(key, **(said or {})),
        lot=lot,
        item=item,
        used=used,
        used_unit=used_unit,
        packed=packed,
        yes=frozenset(yes),
    )


@pytest.mark.case("G14")
def test_more_packed_than_cut_is_asked_and_both_weights_stay(lot, greens):
    """44.0 lb cut less 10 % are 39.6 lb packed; 46.0 lb of wet leaves after 44.0 cut are asked about."""
    assert packs_to(lb("44.0"), Decimal(90)) == lb("39.6")
    with pytest.raises(NeedsYes) as asked:
        pack("wet", lot, greens, packed="46.0")
    assert str(asked.value) == "46.00 lb packed is more than the 44.00 lb cut. Is that the water on the leaves?"
    assert (asked.value.question, StockMove.objects.count()) == ("water", 1)
    pack("wet", lot, greens, packed="46.0", yes={"water"})
    (packed,) = in_the_cold_room(TODAY)
    assert (packed.name, packed.amount, packed.oldest_on) == ("washed greens", lb("46.0"), TODAY)
    assert list(StockMove.objects.order_by("pk").values_list("amount", flat=True)) == [
        lb("44.0"),
        -lb("44.0"),
        lb("46.0"),
    ]


def test_bags_weigh_what_they_hold(lot):
    bag = Item.objects.create(name="bag", unit="bag", keeps_days=5, contains=Decimal(150), contains_unit="g")
    with pytest.raises(NeedsYes) as asked:
        pack("bags", lot, bag, used="1.4 kg", packed="10")
    assert str(asked.value) == "1.50 kg packed is more than the 1.40 kg cut. Is that the water on the leaves?"
    assert pack("bags", lot, bag, used="1.6 kg", packed="10").entry.said == (
        f"Packed 10 of bag out of 1.6 kg of {lot.code} as cut"
    )


def test_counts_are_not_held_against_weights():
    check_water(None, lb(50), "lb")
    check_water(lb(44), None, "lb")


def test_a_correction_replaces_what_was_packed(lot, greens):
    wrong = pack("one", lot, greens).entry
    pack("two", lot, greens, used="40", packed="36", said={"corrects": wrong})
    assert [(one.name, one.amount) for one in in_the_cold_room(TODAY)] == [
        ("green butterhead", lb(4)),
        ("washed greens", lb(36)),
    ]


def test_a_stopped_lot_is_not_packed(lot, greens):
    stop_lot(lot.entry, lot, NOW, "cut inside a wait: soap spray")
    with pytest.raises(Refused) as refused:
        pack("one", lot, greens)
    assert str(refused.value) == f"{lot.code} is stopped: cut inside a wait: soap spray. It stays where it lies."


def test_a_mix_is_no_lot_of_one_planting(lot, greens):
    mix = Lot.objects.create(code="M-1", kind="mix", made_on=TODAY, entry=lot.entry)
    with pytest.raises(Refused, match="M-1 is no lot of one planting"):
        pack("one", mix, greens)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"used_unit": "head", "used": "12 bunches"}, "“12 bunches”: this is counted in head."),
        ({"used": "0", "yes": {"used-zero"}}, "Where there is nothing there is nothing to note."),
        ({"packed": ""}, "Type how much; nothing typed is not taken for 0."),
    ],
)
def test_what_cannot_be_read_is_refused(lot, greens, typed, words):
    with pytest.raises(Refused) as refused:
        pack("one", lot, greens, **typed)
    assert (str(refused.value), StockMove.objects.count()) == (words, 1)
