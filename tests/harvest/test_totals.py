"""What plantings gave."""

import pytest

from farmops.core.quantities import Weighed
from farmops.harvest.totals import given_by
from tests.harvest.picks import TODAY, a_planting, lb, pick

pytestmark = pytest.mark.django_db


@pytest.mark.case("H02")
def test_bunches_are_an_estimate_beside_what_was_weighed_and_heads_stay_heads():
    """2 lb 6 oz + 1.1 kg = 4.80 lb; 24 bunches of 0.45 lb are about 10.8 lb; 38 heads are 38 heads."""
    planting = a_planting()
    pick("a", planting, weight="2", ounces="6")
    pick("b", planting, weight="1.1 kg")
    pick("c", planting, count="24 bunches")
    pick("d", planting, count="38 heads")
    given = given_by([planting], each_ng={"bunch": lb("0.45")})[planting.pk]
    assert given.weight == Weighed(weighed_ng=lb("2.375") + 11 * 10**11, estimated_ng=lb("10.8"))
    assert (given.weight.is_estimate, given.counted, given.first_on) == (True, {"bunch": 24, "head": 38}, TODAY)
    typed = list(planting.picks.order_by("pk").values_list("typed", flat=True))
    assert typed == ["2 lb 6 oz", "1.1 kg", "24 bunches", "38 heads"]


def test_one_question_for_all_plantings(django_assert_num_queries):
    plantings = [a_planting(f"L-{number}") for number in range(5)]
    with django_assert_num_queries(1):
        assert {given.first_on for given in given_by(plantings).values()} == {None}
