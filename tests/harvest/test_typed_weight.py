"""Weights as typed, crates taken off, and shares that add up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.quantities import from_nanograms, rounded
from farmops.harvest.typed_weight import Weighing, crates_of, weight_in_words, weight_of, without_crates
from farmops.journal.refusal import NeedsYes, Refused
from tests.harvest.picks import lb


@pytest.mark.case("H01")
def test_crates_are_taken_off_and_their_weight_is_kept():
    """Gross 14.35 lb in 3 crates of 1.60 lb is 9.55 lb (paperzz.com/doc/9497075; the case's own numbers)."""
    net = without_crates(weight_of("14.35", "lb"), crates=3, tare_ng=lb("1.60"))
    assert (net.net_ng, net.gross_ng, net.crates, net.tare_ng) == (lb("9.55"), lb("14.35"), 3, lb("1.60"))
    with pytest.raises(Refused) as refused:
        without_crates(weight_of("4.10", "lb"), crates=3, tare_ng=lb("1.60"))
    assert str(refused.value) == "4.10 lb is less than the empty crates, 4.80 lb."


def test_crates_that_hold_nothing_are_no_pick():
    with pytest.raises(Refused) as refused:
        without_crates(weight_of("4.80", "lb"), crates=3, tare_ng=lb("1.60"))
    assert str(refused.value) == "4.80 lb is just what the empty crates weigh, 4.80 lb."


@pytest.mark.case("H02")
def test_pounds_and_ounces_and_kilos_are_one_weight_and_shown_as_typed():
    """2 lb 6 oz + 1.1 kg = 4.80 lb; 1 lb = 0.453 592 37 kg (NIST SP 811)."""
    boxes, words, kilos = weight_of("2", "lb", ounces="6"), weight_of("2 lb 6", "lb"), weight_of("1.1 kg", "lb")
    assert [from_nanograms(one.net_ng, "lb") for one in (boxes, words)] == [Decimal("2.375")] * 2
    assert rounded(from_nanograms(kilos.net_ng, "lb"), 4) == Decimal("2.4251")
    assert weight_in_words(boxes.net_ng + kilos.net_ng, "lb") == "4.80 lb"
    assert (boxes.typed, words.typed, kilos.typed) == ("2 lb 6 oz", "2 lb 6", "1.1 kg")
    assert weight_of("2.6", "lb").net_ng == lb("2.6") != boxes.net_ng


@pytest.mark.parametrize(
    ("typed", "ounces", "words"),
    [
        ("2.6", "6", "Ounces stand beside whole pounds only."),
        ("2 kg", "6", "Ounces stand beside whole pounds only."),
        ("2", "16", "Ounces are less than 16; 16 of them are a pound."),
        ("2", "6 lb", "Ounces are less than 16; 16 of them are a pound."),
        (
            "24 bunches",
            "",
            "“24 bunches” is no weight. Weights are in kg, g, lb or oz; what is counted has its own box.",
        ),
    ],
)
def test_what_does_not_fit_together_is_refused(typed, ounces, words):
    with pytest.raises(Refused) as refused:
        weight_of(typed, "lb", ounces=ounces)
    assert str(refused.value) == words


@pytest.mark.case("H07")
def test_a_hundred_times_the_usual_is_asked_whatever_the_unit():
    with pytest.raises(NeedsYes) as asked:
        weight_of("4000", "lb", usual_ng=lb(40))
    assert (str(asked.value), asked.value.question) == ("“4000” is 100 times the usual. Is it meant?", "weight-unusual")
    assert weight_of("4000", "lb", usual_ng=lb(40), yes=frozenset({"weight-unusual"})).net_ng == lb(4000)
    assert weight_of("200 oz", "lb", usual_ng=lb(40)).net_ng == lb("12.5")


def test_crates_are_one_or_more():
    assert crates_of("3") == 3
    with pytest.raises(Refused, match="no crate"):
        crates_of("0", yes=frozenset({"crates-zero"}))


@given(gross=st.integers(1, 10**15), crates=st.integers(1, 60), tare=st.integers(1, 10**13))
def test_net_and_crates_are_what_the_scale_showed_or_it_is_refused(gross, crates, tare):
    weighing = Weighing(typed="a crate", unit="lb", net_ng=gross)
    if gross <= crates * tare:
        with pytest.raises(Refused):
            without_crates(weighing, crates=crates, tare_ng=tare)
    else:
        net = without_crates(weighing, crates=crates, tare_ng=tare)
        assert net.net_ng > 0
        assert net.net_ng + crates * tare == gross == net.gross_ng
