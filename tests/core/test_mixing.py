"""Mixes by weight from shares."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.mixing import Part, against_order, changed_mix, most_of_strict_mix


def lb(**amounts):
    return {name: Decimal(str(amount)) for name, amount in amounts.items()}


SHARES = {"lettuce": "0.50", "mizuna": "0.20", "arugula": "0.15", "kale": "0.15"}
MIX = {name: Part(Decimal(share)) for name, share in SHARES.items()}
CUT = lb(lettuce=22, mizuna=12, arugula=9, kale=10)


@pytest.mark.case("G13")
def test_a_strict_mix_is_as_large_as_its_scarcest_part_allows():
    # SARE case study "Harvesting Greens" 2011, nevegetable.org; our numbers.
    assert sum(CUT.values()) == 53
    most = most_of_strict_mix(CUT, MIX)
    assert most == 44
    assert {name: most * part.share for name, part in MIX.items()} == lb(lettuce=22, mizuna=8.8, arugula=6.6, kale=6.6)


@pytest.mark.case("G13")
def test_for_fifty_pounds_lettuce_is_short_and_the_rest_spare():
    assert against_order(Decimal(50), CUT, MIX) == lb(lettuce=-3, mizuna=2, arugula=1.5, kale=2.5)


@pytest.mark.case("G13")
def test_a_change_stays_inside_its_limits_and_adds_up():
    assert changed_mix(Decimal(50), CUT, MIX) is None
    loose = {
        "lettuce": Part(Decimal("0.50"), Decimal("0.40"), Decimal("0.60")),
        "mizuna": Part(Decimal("0.20"), Decimal("0.15"), Decimal("0.22")),
        "arugula": Part(Decimal("0.15"), Decimal("0.10"), Decimal("0.18")),
        "kale": Part(Decimal("0.15"), Decimal("0.10"), Decimal("0.20")),
    }
    changed = changed_mix(Decimal(50), CUT, loose)
    assert sum(changed.values()) == Decimal("50.00")
    assert changed["lettuce"] == 22
    assert all(loose[name].least * 50 <= amount <= loose[name].most * 50 for name, amount in changed.items())
    assert all(amount <= CUT[name] for name, amount in changed.items())


@pytest.mark.case("G13")
def test_shares_that_do_not_add_up_are_refused():
    thirds = {name: Part(Decimal("0.333")) for name in ("a", "b", "c")}
    with pytest.raises(ValueError, match=r"shares must add up to 100 %, got 99\.9"):
        most_of_strict_mix(lb(a=1, b=1, c=1), thirds)


@given(
    there=st.lists(st.integers(0, 3000), min_size=4, max_size=4),
    order=st.integers(1, 6000),
    give=st.integers(0, 15),
)
def test_a_changed_mix_is_found_exactly_when_the_limits_allow_one(there, order, give):
    give_way = Decimal(give) / 100
    parts = {
        name: Part(Decimal(share), Decimal(share) - give_way, Decimal(share) + give_way)
        for name, share in SHARES.items()
    }
    available = {name: Decimal(amount) / 100 for name, amount in zip(SHARES, there, strict=True)}
    wanted = Decimal(order) / 100
    changed = changed_mix(wanted, available, parts)
    possible = all(available[name] >= wanted * part.least for name, part in parts.items()) and (
        sum(min(available[name], wanted * part.most) for name, part in parts.items()) >= wanted + Decimal("0.04")
    )
    if possible:
        assert changed is not None
    if changed is not None:
        assert sum(changed.values()) == wanted
        for name, amount in changed.items():
            assert amount <= available[name]
            assert wanted * parts[name].least - Decimal("0.01") <= amount <= wanted * parts[name].most
