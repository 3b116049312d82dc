"""Advice in the cases a farm meets, beside the figures of the method's prototype."""

from dataclasses import replace
from datetime import timedelta

import pytest

from farmops.core.demand import Ask, advise, learn
from farmops.core.demand.advising import next_market
from tests.core.demand.notebooks import NEXT, TEN, advice, row, season, similar_items


def ran_out(week: int, brought: int, minute: int | None = None, **changes):
    at = () if minute is None else (480 + minute,)
    return row(week, brought=brought, sold=brought, left=0, ran_out=True, ran_out_at=at, **changes)


def full(week: int, sold: int, brought: int = 25, **changes):
    return row(week, brought=brought, sold=sold, left=brought - sold, **changes)


# Mean and quantity of the prototype for seven similar items with a mean of about 20 and critical ratio .75. Its
# records were drawn, ours are other draws of the same kind, so we hold the mean to within a fifth and the quantity to
# within a quarter (at least 2); figures that we miss by more stand with our own value and say why.
@pytest.mark.parametrize(
    ("own", "mean", "bring", "simple"),
    [
        pytest.param([], 19, 32, 22, id="no-history"),
        pytest.param([full(9, 18)], 19, 28, 20, id="one-day"),
        pytest.param(
            [full(at, sold) for at, sold in enumerate([17, 23, 20, 19, 21, 18, 22, 20, 19, 21])],
            *(19.7, 25, 19.9),
            id="never-sold-out",
        ),
        pytest.param([ran_out(at, 15, 135) for at in range(10)], 24.8, 31, 28.5, id="gone-by-45-percent"),
        pytest.param([ran_out(at, 15) for at in range(10)], 35, 48, 19, id="time-never-noted"),
        pytest.param([ran_out(at, 15, 285) for at in range(10)], 15.8, 21, 15.5, id="near-closing"),
        pytest.param([*(full(at, 20) for at in range(9)), ran_out(9, 5, 6)], 22, 27, 23, id="nine-then-gone-at-once"),
        pytest.param([*(full(at, 20) for at in range(9)), full(9, 0)], *(16.6, 21, 16.4), id="nine-of-20-and-a-zero"),
    ],
)
def test_edge_cases_stand_near_the_prototype(own, mean, bring, simple):
    found = advice(own)
    assert found.forecast.mean == pytest.approx(mean, rel=0.2)
    assert found.fresh == pytest.approx(bring, rel=0.25)
    assert found.forecast.simple_mean == pytest.approx(simple, rel=0.2)


def test_one_tiny_record_cannot_send_anybody_out_with_a_van_full():
    # Prototype: 60, 86 → capped 15.
    found = advice([ran_out(9, 5, 6)])
    assert (found.fresh, found.reason.code, found.reason.cap) == (15, "capped", 15)


def test_the_cap_does_not_last():
    found = advice([ran_out(at, 5, 60 + at) for at in range(5, 8)])
    assert found.fresh > 15
    assert found.reason.cap is None


def test_ten_days_of_nothing_suggest_dropping():
    # Prototype: mean 1.0, bring 2; fall-back 0.4.
    found = advice([full(at, 0) for at in range(10)])
    assert found.forecast.mean == pytest.approx(1.0, abs=0.4)
    assert found.fresh in (1, 2)
    assert found.reason.code == "hardly sells"


def test_one_cheap_day_hardly_moves_the_full_price_mean():
    # Prototype: 24 sold at -20 % moves the full-price mean 19.7 → 20.1; forecast at -20 % 23.5.
    usual = [full(at, TEN[at] if at < 9 else 20, brought=40, price=3.0) for at in range(10)]
    cheap = [*usual[:9], full(9, 24, brought=40, price=2.4)]
    before, after, low = advice(usual), advice(cheap), advice(cheap, price=2.4)
    assert after.forecast.mean - before.forecast.mean == pytest.approx(0.4, abs=0.4)
    assert low.forecast.mean / after.forecast.mean == pytest.approx(23.5 / 20.1, abs=0.05)


def test_brought_none_tells_nothing():
    own = [full(at, TEN[at], brought=40) for at in range(9)]
    none = row(9, brought=0, sold=0, left=0)
    assert advice([*own, none]).forecast.mean == advice(own).forecast.mean


def test_own_guess_counts_as_one_day():
    learned = learn(similar_items(), as_of=NEXT, guesses={("Saturday", "basil"): 40.0}, categories={"basil": "herbs"})
    told = advise(learned, Ask(NEXT, "Saturday", "basil", "herbs", price=3.0, unit_cost=0.75, guess=40.0))
    alone = advice([], guess=40.0)
    without = advice([])
    assert without.forecast.mean < told.forecast.mean < 40
    assert told.forecast.origin == "guess"
    assert alone.forecast.mean == pytest.approx(told.forecast.mean, rel=0.1)


def test_carried_in_comes_off_the_fresh():
    own = [full(at, TEN[at], brought=40) for at in range(10)]
    none, some, plenty = (advice(own, carried_in=count) for count in (0, 10, 200))
    assert some.fresh == none.fresh - 10
    assert (plenty.fresh, plenty.total) == (0, 200)
    assert plenty.left > 100


def test_rain_is_mixed_by_its_chance():
    records = season(2, weeks=20)
    learned = learn(records, as_of=max(one.day for one in records))
    ask = Ask(max(one.day for one in records) + timedelta(days=3), "Saturday", "item 1", "greens")
    dry, half, wet = (
        advise(learned, replace(ask, weather=weather, rain_chance=chance)).forecast.mean
        for weather, chance in (("dry", None), ("", 0.5), ("rain", None))
    )
    assert wet < half < dry
    assert half == pytest.approx((wet + dry) / 2, rel=1e-6)


def test_selling_at_a_loss_brings_none():
    found = advice([full(at, TEN[at], brought=40) for at in range(10)], price=1.0, unit_cost=1.0)
    assert (found.fresh, found.reason.code) == (0, "nothing to earn")


def test_a_box_takes_the_first_leftovers():
    own = [full(at, TEN[at], brought=40) for at in range(10)]
    assert advice(own, box_need=6, box_value=0.7).fresh > advice(own).fresh


def test_what_may_be_sold_once_more_is_brought_more():
    own = [full(at, TEN[at], brought=40) for at in range(10)]
    twice = advice(own, shelf_markets=2, carry_loss=0.1)
    assert twice.fresh > advice(own).fresh
    assert twice.leftover_worth > 0.0
    assert twice.reason.carry_use is not None


def test_next_market_by_the_usual_weekdays():
    records = season(2, weeks=6)
    learned = learn(records, as_of=max(one.day for one in records))
    saturday = Ask(NEXT, "Saturday", "item 1", "greens", weather="rain")
    after = next_market(learned, saturday)
    assert (after.market, after.day - saturday.day, after.weather) == ("Wednesday", timedelta(days=4), "")
    assert next_market(learned, after).market == "Saturday"


@pytest.mark.parametrize("wrong", [{"carry_loss": 1.5}, {"rain_chance": -0.1}, {"guess": -3.0}])
def test_impossible_asks_are_refused(wrong):
    with pytest.raises(ValueError, match="must"):
        advice([], **wrong)
