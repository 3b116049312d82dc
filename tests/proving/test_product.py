import random

import pytest

from farmops.proving.product import product
from tests.proving.test_habits import ask, record

PAST = [record(day, sold, left) for day, sold, left in [(3, 18, 4), (10, 22, 1), (17, 20, 3), (24, 19, 5), (31, 21, 2)]]


def test_the_product_answers_every_ask_in_order():
    answer = product(PAST, [ask(), ask(carried_in=6, shelf_markets=2, carry_loss=0.1), ask(item="kale", guess=40.0)])
    assert len(answer.bring) == len(answer.mean) == 3
    assert all(isinstance(one, int) and one >= 0 for one in answer.bring)
    # five days of about twenty, none of them short: the mean lies among them
    assert answer.mean[0] == pytest.approx(20, abs=3)


def test_neither_order_of_records_nor_of_asks_matters():
    shuffled = list(PAST)
    random.Random(4).shuffle(shuffled)
    asks = [ask(), ask(item="kale", guess=40.0), ask(price=2.0)]
    first, second = product(PAST, asks), product(shuffled, asks[::-1])
    assert first.bring == second.bring[::-1]
    assert first.mean == pytest.approx(second.mean[::-1])


def test_a_line_it_cannot_read_is_an_error_and_no_silence():
    with pytest.raises(ValueError, match="refused"):
        product([record(3, 18, date="yesterday")], [ask()])
