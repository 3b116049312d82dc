import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from farmops.core.sizing.needs import (
    Trays,
    chance_of_at_least,
    expected_packed,
    loss_covered,
    plants_for_sure,
    plants_needed,
    steady_first_cut,
    surviving,
    trays_for,
)


@pytest.mark.case("G01")
def test_a_loss_divides_and_a_buffer_multiplies():
    # Loss as weirriverfarmcsa.blogspot.com/2014/02, buffer as a highmowingseeds.com post; arithmetic by hand.
    assert plants_needed(250, shares=[0.75]) == 334
    assert math.floor(expected_packed(315, shares=[0.75])) == 236
    assert 250 - math.floor(expected_packed(315, shares=[0.75])) == 14
    assert plants_needed(250, buffer=0.25) == 313
    assert plants_needed(250, buffer=0.20) == 300
    assert expected_packed(300, shares=[0.75]) == 225
    assert loss_covered(0.25) == pytest.approx(0.20, abs=1e-12)


@pytest.mark.case("G02")
def test_a_chain_of_losses_is_rounded_once_and_trays_are_not_filled_silently():
    # gardeningtheorganicway.com, extension.usu.edu (dividing by germination); our numbers.
    shares = [0.90, 0.95, 0.92]
    assert surviving(shares) == pytest.approx(0.7866, abs=1e-12)
    assert plants_needed(120, shares=shares) == 153
    assert trays_for(153, 72) == Trays(plants=153, trays=3, cells=216, last_tray=9)
    assert math.floor(expected_packed(144, shares=shares)) == 113
    assert math.floor(expected_packed(216, shares=shares)) == 169


@pytest.mark.oracle("O48")
def test_plants_for_forty_bunches():
    # ceil(40 / 0.7695), derived by hand.
    assert plants_needed(40, shares=[0.9, 0.95, 1 - 0.1]) == 52
    assert trays_for(52, 128).trays == 1


@pytest.mark.oracle("O49")
def test_plants_for_forty_bunches_nine_times_in_ten():
    # Binomial search, against scipy.
    assert plants_for_sure(40, 0.7695) == 57
    assert binom.sf(39, 57, 0.7695) >= 0.9 > binom.sf(39, 56, 0.7695)


@pytest.mark.check("S39")
@pytest.mark.parametrize(
    ("need", "share", "sureness", "expected", "naive"),
    [(100, 0.80, 0.95, 135, 125), (100, 0.75, 0.95, 145, 134), (128, 0.80, 0.95, 171, 160), (72, 0.65, 0.90, 121, 111)],
)
def test_seeds_for_a_target_with_assurance(need, share, sureness, expected, naive):
    # scipy binom.
    assert plants_for_sure(need, share, sureness=sureness) == expected
    assert plants_needed(need, shares=[share]) == naive
    assert binom.sf(need - 1, expected, share) >= sureness > binom.sf(need - 1, expected - 1, share)


@given(need=st.integers(0, 400), plants=st.integers(0, 600), share=st.floats(0.01, 0.999))
def test_the_chance_is_the_binomial_one(need, plants, share):
    assert chance_of_at_least(need, plants, share) == pytest.approx(binom.sf(need - 1, plants, share), abs=1e-9)


def test_the_chance_at_its_edges():
    assert chance_of_at_least(0, 0, 0.5) == 1.0
    assert chance_of_at_least(1, 0, 0.5) == 0.0
    assert chance_of_at_least(5, 5, 1.0) == 1.0
    assert chance_of_at_least(5, 9, 0.0) == 0.0
    assert plants_for_sure(0, 0.8) == 0
    assert plants_for_sure(7, 1.0) == 7


@given(
    wanted=st.integers(0, 500),
    coming=st.integers(0, 500),
    losses=st.lists(st.integers(1, 99), max_size=4),
    per_plant=st.sampled_from([0.25, 1.0, 3.0]),
)
def test_needed_is_the_fewest_plants_that_cover_what_is_short(wanted, coming, losses, per_plant):
    shares = [1 - loss / 100 for loss in losses]
    plants = plants_needed(wanted, coming, per_plant=per_plant, shares=[round(share, 2) for share in shares])
    one_gives = per_plant * math.prod(shares)
    short = max(0, wanted - coming)
    assert plants * one_gives >= short - 1e-9
    assert plants == 0 or (plants - 1) * one_gives < short


def test_a_decimal_that_binary_cannot_hold_does_not_cost_a_plant():
    # 63 / (0.7 x 0.9) = 100 exactly; binary gives 100.00000000000001.
    assert plants_needed(63, shares=[0.7, 0.9]) == 100


def test_half_trays_are_offered_where_they_may_be_sown():
    assert trays_for(153, 72, halves=True) == Trays(plants=153, trays=3, cells=180, last_tray=9)
    assert trays_for(144, 72) == Trays(plants=144, trays=2, cells=144, last_tray=72)
    assert trays_for(0, 72) == Trays(plants=0, trays=0, cells=0, last_tray=0)


def test_the_first_cut_of_a_steady_supply():
    assert steady_first_cut(40, [1, 0.8, 0.6]) == pytest.approx(16.67, abs=0.005)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: plants_needed(-1),
        lambda: plants_needed(1, per_plant=0),
        lambda: plants_needed(1, shares=[0.0]),
        lambda: plants_needed(1, shares=[1.2]),
        lambda: plants_needed(math.nan),
        lambda: plants_needed(1, buffer=-0.1),
        lambda: loss_covered(-0.1),
        lambda: trays_for(-1, 72),
        lambda: trays_for(1, 0),
        lambda: trays_for(1, 71, halves=True),
        lambda: plants_for_sure(1, 0.0),
        lambda: plants_for_sure(1, 0.5, sureness=1.0),
        lambda: chance_of_at_least(-1, 1, 0.5),
        lambda: steady_first_cut(40, []),
    ],
)
def test_numbers_out_of_range_are_refused(refused):
    with pytest.raises(ValueError, match=r"must|share"):
        refused()
