from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.sizing import Settings
from farmops.core.sizing.dive import dive
from farmops.core.sizing.matrix import Matrix
from farmops.core.sizing.model import build
from farmops.core.sizing.solve import Answer, _recounted, _relax, run
from tests.core.sizing.hand_farm import hand_farm
from tests.core.sizing.random_farms import tiny_farm

EXACT = Settings(gap=0.0, whole_weeks=None)


def knapsack() -> Matrix:
    """Three kinds of things to take whole, worth 8, 11 and 6, of sizes 5, 7 and 4, into 14."""
    matrix = Matrix()
    columns = [matrix.column(worth, whole=True) for worth in (8.0, 11.0, 6.0)]
    matrix.at_most(dict(zip(columns, (5.0, 7.0, 4.0), strict=True)), 14.0)
    return matrix


def test_a_knapsack_worked_out_by_hand():
    # 14 = 5+5+4 gives 22, 7+7 gives 22, 5+4+4 = 13 gives 20: 22 is the most.
    answer = run(knapsack(), EXACT)
    assert (answer.status, answer.objective, answer.bound) == ("optimal", pytest.approx(22), pytest.approx(22))


def test_a_gap_that_suffices_ends_the_search():
    answer = run(knapsack(), replace(EXACT, gap=0.5))
    assert answer.status in {"gap", "optimal"}
    assert answer.objective is not None
    assert answer.bound is not None
    assert answer.bound - answer.objective <= 0.5 * answer.objective


def test_no_columns():
    assert run(Matrix(offset=3.0), EXACT).objective == 3.0
    empty = Matrix()
    empty.row({}, 1.0, 2.0)
    assert run(empty, EXACT).status == "infeasible"


def test_a_model_without_end_is_told():
    matrix = Matrix()
    matrix.column(1.0)
    with pytest.raises(ArithmeticError, match="solver"):
        run(matrix, EXACT)


def test_an_answer_that_breaks_a_row_is_not_passed_on():
    model = build(hand_farm(20), EXACT)
    answer = run(model.matrix, EXACT)
    assert answer.values is not None
    wrong = replace(answer, values=answer.values + 1.0)
    with pytest.raises(ArithmeticError, match="breaks row"):
        _recounted(model.matrix, wrong)


def test_a_worth_that_the_solver_miscounts_is_counted_again():
    model = build(hand_farm(20), EXACT)
    answer = run(model.matrix, EXACT)
    flattered = Answer("optimal", answer.values, 999.0, 999.0, 0.0)
    assert _recounted(model.matrix, flattered).objective == pytest.approx(82)


@settings(max_examples=30)
@given(seed=st.integers(0, 100_000))
def test_a_dive_ends_in_whole_parts_between_nothing_and_the_best(seed):
    model = build(tiny_farm(seed), EXACT)
    found = dive(_relax(model.matrix, EXACT), model.matrix)
    assert found is not None  # rounding down always fits where nobody insists on anything
    values, worth = found
    assert all(float(values[column]).is_integer() for column in model.matrix.whole)
    best = run(model.matrix, EXACT)
    assert best.objective is not None
    assert worth <= best.objective + 1e-6
