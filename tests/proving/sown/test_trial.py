"""The score of a policy."""

import pytest

from farmops.planning import counting_on
from farmops.proving.sown import trial
from farmops.proving.sown.season import Week
from farmops.proving.sown.trial import ITEM_SPREADS, ROOMS, score


def week(profit, grown, sold, wanted, promised, failed, changed=0.0, expected=0.0, full=()):
    return Week(0, profit, grown, sold, wanted, promised, failed, 3.0, changed, expected, full)


def test_shares_are_of_sums():
    weeks = [week(100, 50, 40, 80, 20, 2, 1.0, 4.0, ("shelf",)), week(50, 50, 20, 40, 0, 0, 2.0, 8.0)]
    found = score("tight", 3, "product", weeks, 200.0)
    assert (found.profit, found.of_clairvoyant, found.waste) == (150, 0.75, pytest.approx(0.4))
    assert (found.served, found.failed, found.changed, found.full) == (0.5, 0.1, 0.25, 0.5)


def test_nothing_planned_before_means_nothing_known_of_changes():
    assert score("loose", 0, "newsvendor", [week(1, 1, 1, 1, 1, 0)], 0.0).changed is None


def test_a_change_costs_what_it_costs_in_the_farms_own_plan():
    assert trial.CHANGE_SHARE == counting_on.CHANGE_SHARE


def test_demand_lies_as_far_apart_as_asked_and_room_is_tight_and_loose():
    dispersion = [1 / (1 / 40 + 1 / spread) for spread in ITEM_SPREADS]
    assert [round(one, 1) for one in dispersion] == [4.8, 6.7, 11.4]
    assert ROOMS == {"tight": 0.5, "loose": 1.2}
