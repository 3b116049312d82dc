"""Weights, money, and what people type."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.quantities import (
    SQUARE_METRES_IN_A_SQUARE_FOOT,
    Doubt,
    Weighed,
    cents,
    from_nanograms,
    line_cents,
    nanograms,
    read_amount,
    reckoned,
    rounded,
    shared_whole,
    unit_name,
    weighed_total,
)


@pytest.mark.check("U01")
def test_a_pound():
    # NIST SP 811 appendix B (memory): exact.
    assert nanograms(Decimal(1), "lb") == nanograms(Decimal("0.45359237"), "kg") == 453_592_370_000


@pytest.mark.check("U02")
def test_an_ounce():
    # NIST SP 811 appendix B (memory): exact.
    assert nanograms(Decimal(1), "oz") == nanograms(Decimal("28.349523125"), "g") == 28_349_523_125


@pytest.mark.check("U08")
def test_five_pounds_ten_ounces():
    # Computed from the exact pound and ounce.
    typed = read_amount("5 lb 10 oz")
    assert typed.amount is not None
    mass = nanograms(typed.amount, typed.unit)
    assert mass == nanograms(Decimal(90), "oz")
    # The printed value is cut at its tenth digit; exact is 2.55145708125 kg.
    assert abs(mass - nanograms(Decimal("2.5514570812"), "kg")) == 50


@pytest.mark.check("U10")
def test_pounds_a_square_foot():
    # Computed: exact pound over exact square foot.
    assert rounded(from_nanograms(nanograms(Decimal(1), "lb"), "kg") / SQUARE_METRES_IN_A_SQUARE_FOOT, 9) == Decimal(
        "4.882427636"
    )


@pytest.mark.case("H02")
def test_pounds_kilos_bunches_and_heads():
    # uvm and paperzz harvest guides; our numbers.
    typed = [read_amount(text) for text in ("2 lb 6 oz", "1.1 kg")]
    assert [(reading.text, reading.amount, reading.unit) for reading in typed] == [
        ("2 lb 6 oz", Decimal("2.375"), "lb"),
        ("1.1 kg", Decimal("1.1"), "kg"),
    ]
    masses = [nanograms(reading.amount, reading.unit) for reading in typed if reading.amount]
    assert [rounded(from_nanograms(mass, "lb"), 4) for mass in masses] == [Decimal("2.3750"), Decimal("2.4251")]
    assert rounded(from_nanograms(sum(masses), "lb"), 2) == Decimal("4.80")
    assert read_amount("2.6").amount == Decimal("2.6")
    assert read_amount("2 lb 6").amount == Decimal("2.375")
    bunches = reckoned(Decimal(24), Decimal("0.45"), "lb")
    assert (bunches.is_estimate, from_nanograms(bunches.total_ng, "lb")) == (True, Decimal("10.8"))
    total = weighed_total([Weighed(mass) for mass in masses] + [bunches])
    assert total == Weighed(sum(masses), bunches.estimated_ng)
    with pytest.raises(ValueError, match="'head' is not a unit of mass"):
        nanograms(Decimal(38), "head")


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("text", "amount", "doubt", "choices"),
    [
        ("12,5", "12.5", None, ()),
        ("40,00", "40.00", None, ()),
        ("1,250", None, Doubt.TWO_WAYS, ("1.250", "1250")),
        ("1.250", None, Doubt.TWO_WAYS, ("1.250", "1250")),
        ("1.250,5", "1250.5", None, ()),
        ("1 250,5", "1250.5", None, ()),
        ("1\u00a0250,5", "1250.5", None, ()),
        ("12.5 lb", "12.5", None, ()),
        ("½", "0.5", None, ()),
        ("4e1", None, Doubt.UNREADABLE, ()),
        ("٤٠", "40", None, ()),
        ("-3", None, Doubt.NEGATIVE, ()),
        ("−3", None, Doubt.NEGATIVE, ()),
        ("0", "0", Doubt.ZERO, ()),
        ("", None, Doubt.MISSING, ()),
    ],
)
def test_what_helpers_type_for_pounds(text, amount, doubt, choices):
    reading = read_amount(text, usual=Decimal(100))
    assert reading.text == text
    assert (None if reading.amount is None else str(reading.amount), reading.doubt) == (amount, doubt)
    assert reading.choices == tuple(Decimal(choice) for choice in choices)


@pytest.mark.case("H07")
def test_a_hundred_times_the_usual_is_asked_about():
    reading = read_amount("4000", usual=Decimal(40))
    assert (reading.amount, reading.doubt, reading.times_usual) == (4000, Doubt.UNUSUAL, 100)


@pytest.mark.parametrize("text", ["abc", "lb", "5.", "12.5.3", "1,25,0", "NaN", "Infinity", "1_000", "9" * 60, "2 3 4"])
def test_what_is_no_amount_is_not_taken_for_one(text):
    assert read_amount(text).doubt == Doubt.UNREADABLE


@pytest.mark.case("H09")
def test_money_is_rounded_half_up_line_by_line():
    # django #11756, NYUFRE #75; our numbers.
    lines = [("0.345", "9.99"), ("1.25", "2.50"), ("0.35", "4.50")]
    assert [line_cents(Decimal(amount), Decimal(price)) for amount, price in lines] == [345, 313, 158]
    assert cents(Decimal("2.675")) == 268
    assert cents(Decimal("10.01")) + cents(Decimal(20)) == 3001


@pytest.mark.case("H09")
def test_ten_tenths_of_a_pound_are_a_pound():
    assert sum(nanograms(Decimal("0.1"), "lb") for _ in range(10)) == nanograms(Decimal("1.0"), "lb")


@given(st.integers(0, 10**9))
def test_every_ten_thousandth_of_a_pound_is_exact(ten_thousandths):
    pounds = Decimal(ten_thousandths) / 10_000
    assert from_nanograms(nanograms(pounds, "lb"), "lb") == pounds


def test_units_are_written_one_way():
    assert [unit_name(text) for text in ("Lbs.", " POUNDS", "oz", "Bunches", "150 g bag")] == [
        "lb",
        "lb",
        "oz",
        "bunch",
        "150 g bag",
    ]


def test_finer_than_a_nanogram_is_refused():
    with pytest.raises(ValueError, match="finer than a nanogram"):
        nanograms(Decimal("0.00001234567"), "lb")


@given(total=st.integers(0, 10**17), shares=st.lists(st.integers(1, 1000), min_size=1, max_size=6))
def test_parts_add_up_and_are_at_most_one_from_their_share(total, shares):
    parts = shared_whole(total, shares)
    assert sum(parts) == total
    assert all(abs(part * sum(shares) - total * share) < sum(shares) for part, share in zip(parts, shares, strict=True))


@given(counts=st.lists(st.integers(0, 500), min_size=1, max_size=8), share=st.fractions(0, 1))
def test_nobody_gives_more_than_it_has(counts, share):
    total = int(sum(counts) * share)
    shares = shared_whole(total, counts)
    assert sum(shares) == total
    assert all(0 <= off <= count for off, count in zip(shares, counts, strict=True))


def test_the_largest_remainder_gets_the_odd_one_and_of_equal_ones_the_first():
    assert shared_whole(10, (1, 1, 1)) == [4, 3, 3]
    assert shared_whole(7, (2, 3, 0)) == [3, 4, 0]


@pytest.mark.parametrize(("total", "shares"), [(5, (0, 0)), (5, ()), (5, (3, -1)), (-1, (1,))])
def test_what_cannot_be_shared_out_is_refused(total, shares):
    with pytest.raises(ValueError, match="cannot be shared out"):
        shared_whole(total, shares)
