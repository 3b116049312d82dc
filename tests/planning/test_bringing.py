from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.demand import MarketRecord
from farmops.planning.bringing import learn_from, usual_next_day, what_to_bring
from farmops.planning.economics import Economics

FIRST = date(2026, 5, 2)  # a Saturday


def record(week, item="Basil", market="Town", brought=48, left=0, out=700, price=3.0, **fields):
    """One market day; Basil runs out between 11:20 and 12:04 when `out` is 11:40."""
    return MarketRecord(
        day=FIRST + timedelta(weeks=week),
        market=market,
        item=item,
        brought=brought,
        left=left,
        ran_out=left == 0,
        ran_out_at=(out + (7 * week) % 31 - 13,) if left == 0 and out else (),
        price=price,
        **fields,
    )


def season():
    return [
        *(record(week) for week in range(10)),
        *(record(week, "Kale", brought=40, left=5 + week % 6, price=2.5) for week in range(10)),
    ]


ECONOMICS = {"Basil": Economics(price=3.0, unit="bunch"), "Kale": Economics(price=2.5, unit_cost=1.0)}
AS_OF = FIRST + timedelta(weeks=9)


def test_each_item_of_each_market():
    outlook = what_to_bring(season(), ECONOMICS, as_of=AS_OF)
    (town,) = outlook.markets
    basil, kale = town.items
    assert (town.market, town.day, town.opens, town.closes, town.days) == ("Town", date(2026, 7, 11), 480, 780, 10)
    assert (basil.item, basil.unit, basil.days, basil.ran_out_days, basil.untimed_days) == ("Basil", "bunch", 10, 10, 0)
    assert (basil.usually_out_at, basil.usually_brought) == (700, 48.0)
    assert basil.bring > 48 > kale.bring
    assert (outlook.first_day, outlook.last_day) == (FIRST, AS_OF)


def test_what_ran_out_and_compost_cost():
    outlook = what_to_bring(season(), ECONOMICS, as_of=AS_OF)
    basil, kale = outlook.markets[0].items
    back = sum(5 + week % 6 for week in range(10))
    assert kale.compost is not None
    assert kale.compost.mean == pytest.approx(back * 1.0)
    assert (kale.running_out.mean, basil.compost.mean) == (0.0, 0.0)
    # Turned away × (price - 30 % of it).
    assert basil.running_out.mean == pytest.approx(basil.past.turned_away.mean * 2.1)
    assert 0 < basil.running_out.low < basil.running_out.mean < basil.running_out.high
    assert outlook.compost.mean == pytest.approx(kale.compost.mean)


def test_without_prices_quantities_stand_and_money_is_not_invented():
    bare = [replace(each, price=None) for each in season()]
    outlook = what_to_bring(bare, {}, as_of=AS_OF)
    assert [item.bring > 0 for item in outlook.markets[0].items] == [True, True]
    assert (outlook.running_out, outlook.compost, outlook.without_price) == (None, None, ("Basil", "Kale"))
    assert [(item.running_out, item.compost) for item in outlook.markets[0].items] == [(None, None)] * 2


def test_prices_that_never_changed_say_nothing_about_demand():
    bare = what_to_bring([replace(each, price=None) for each in season()], {}, as_of=AS_OF)
    priced = what_to_bring(season(), ECONOMICS, as_of=AS_OF)
    for one, other in zip(bare.markets[0].items, priced.markets[0].items, strict=True):
        assert one.mean == pytest.approx(other.mean, rel=1e-6)


def test_a_price_that_nobody_gave_is_the_one_last_noted():
    outlook = what_to_bring(season(), {"Basil": Economics(step=0.5)}, as_of=AS_OF)
    assert [item.economics.price for item in outlook.markets[0].items] == [6.0, 2.5]
    assert outlook.without_price == ()


def test_one_item_without_a_price_is_named_and_left_out_of_the_sums():
    records = [replace(each, price=None) if each.item == "Kale" else each for each in season()]
    outlook = what_to_bring(records, {"Basil": Economics(price=3.0)}, as_of=AS_OF)
    assert outlook.without_price == ("Kale",)
    assert (outlook.compost.mean, outlook.running_out.mean > 0) == (0.0, True)


def test_records_after_the_day_do_not_count():
    late = [record(20, brought=500, left=400)]
    one, other = (what_to_bring(each, ECONOMICS, as_of=AS_OF) for each in ([*season(), *late], season()))
    assert [item.mean for item in one.markets[0].items] == [item.mean for item in other.markets[0].items]
    assert (one.compost, one.last_day) == (other.compost, other.last_day)


def test_a_price_changed_on_the_page_uses_what_was_learned():
    learned = learn_from(season(), AS_OF)
    dear = what_to_bring(season(), {"Basil": Economics(price=3.0, unit_cost=2.9)}, as_of=AS_OF, learned=learned)
    cheap = what_to_bring(season(), {"Basil": Economics(price=3.0, unit_cost=0.1)}, as_of=AS_OF, learned=learned)
    assert dear.markets[0].items[0].bring < cheap.markets[0].items[0].bring
    assert dear.markets[0].items[0].mean == cheap.markets[0].items[0].mean


def test_amounts_by_weight_are_said_in_units():
    counted = [record(week, "Salad", brought=80, left=4 + week % 4, price=2.0) for week in range(8)]
    outlook = what_to_bring(counted, {"Salad": Economics(price=8.0, unit="lb", step=0.25)}, as_of=AS_OF)
    (salad,) = outlook.markets[0].items
    assert salad.usually_brought == 20.0
    assert salad.bring == salad.advice.fresh * 0.25
    assert 15 < salad.mean < 22


def test_what_was_not_brought_for_over_a_year_is_named_and_not_planned():
    old = [record(-60, "Chard"), record(-60, "Basil", market="Mill")]
    outlook = what_to_bring([*season(), *old], ECONOMICS, as_of=AS_OF)
    assert [market.market for market in outlook.markets] == ["Town"]
    assert outlook.dropped == (("Mill", ""), ("Town", "Chard"))


def test_sell_outs_without_a_time_are_named():
    records = [record(week, out=None) for week in range(4)]
    outlook = what_to_bring(records, ECONOMICS, as_of=AS_OF)
    assert outlook.untimed == (("Town", "Basil", 4),)
    assert outlook.markets[0].items[0].tells_little == 4


def test_a_guess_counts():
    few = [record(0, brought=20, left=2)]
    plain = what_to_bring(few, ECONOMICS, as_of=AS_OF).markets[0].items[0]
    guessed = what_to_bring(few, ECONOMICS, as_of=AS_OF, guesses={("Town", "Basil"): 60.0}).markets[0].items[0]
    assert guessed.mean > plain.mean


def test_nothing_to_learn_from():
    outlook = what_to_bring([], {}, as_of=AS_OF)
    assert (outlook.markets, outlook.running_out, outlook.first_day) == ((), None, None)


@pytest.mark.parametrize(
    ("days", "as_of", "expected"),
    [
        # Eight Saturdays: the next one, a week on when asked on a Saturday.
        ([FIRST + timedelta(weeks=week) for week in range(8)], date(2026, 6, 20), date(2026, 6, 27)),
        ([FIRST + timedelta(weeks=week) for week in range(8)], date(2026, 6, 24), date(2026, 6, 27)),
        # Twenty old Wednesdays do not outweigh the last eight days.
        (
            [date(2026, 1, 7) + timedelta(weeks=week) for week in range(12)]
            + [FIRST + timedelta(weeks=week) for week in range(8)],
            date(2026, 6, 20),
            date(2026, 6, 27),
        ),
        # One of each: the later one.
        ([date(2026, 6, 17), date(2026, 6, 20)], date(2026, 6, 20), date(2026, 6, 27)),
    ],
)
def test_the_usual_next_day(days, as_of, expected):
    assert usual_next_day(days, as_of) == expected


@settings(max_examples=15)
@given(st.permutations(season()))
def test_the_order_of_records_does_not_matter(records):
    one, other = what_to_bring(records, ECONOMICS, as_of=AS_OF), what_to_bring(season(), ECONOMICS, as_of=AS_OF)
    assert [item.bring for item in one.markets[0].items] == [item.bring for item in other.markets[0].items]
    assert one.running_out == other.running_out


@settings(max_examples=15)
@given(st.floats(0.05, 40.0))
def test_money_in_another_currency_changes_no_quantity(factor):
    records = [replace(each, price=each.price * factor) for each in season()]
    scaled = {
        item: Economics(price=own.price * factor, unit_cost=own.unit_cost and own.unit_cost * factor)
        for item, own in ECONOMICS.items()
    }
    one, other = what_to_bring(records, scaled, as_of=AS_OF), what_to_bring(season(), ECONOMICS, as_of=AS_OF)
    assert [item.bring for item in one.markets[0].items] == [item.bring for item in other.markets[0].items]


def test_days_are_counted_as_in_the_reason():
    unknown = replace(record(10), left=None, ran_out=False, ran_out_at=())
    outlook = what_to_bring([*season(), unknown, record(11, out=None)], ECONOMICS, as_of=FIRST + timedelta(weeks=11))
    basil = outlook.markets[0].items[0]
    assert (basil.days, basil.ran_out_days, basil.untimed_days, basil.noted_days) == (11, 11, 1, 12)
    reason = basil.advice.reason
    assert (reason.days, reason.ran_out, reason.untimed) == (11, 11, 1)
    assert "11 of 11 days" in basil.reason


def test_items_stand_in_the_order_of_the_alphabet_ignoring_capitals():
    records = [record(week, item) for week in range(3) for item in ("kale", "Salad", "basil", "Chard")]
    outlook = what_to_bring(records, {}, as_of=AS_OF)
    assert [item.item for item in outlook.markets[0].items] == ["basil", "Chard", "kale", "Salad"]
