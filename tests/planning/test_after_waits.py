"""What comes of plants that wait: from the end of their wait on, place by place, and nothing that is past its best."""

from datetime import date

import pytest

from farmops.core.sizing import Heads
from farmops.exchange.sheets.read import read_folder
from farmops.planning.after_waits import after_waits
from farmops.planning.horizon import horizon_from, products_of
from farmops.planning.needs import needs_of
from farmops.planning.programme import programme_of
from farmops.planning.standing import growing_of
from tests.exchange.sheets.small_farm import write_farm

MONDAY = date(2026, 5, 4)
HEADS = "planting,variety,sown,plants\nP-1,green butterhead,2026-03-30,36\n"
IN_CHANNELS = (
    "planting,space,plants,from,to\nP-1,N-1,36,2026-03-30,2026-04-13\nP-1,F-1,18,2026-04-13,\nP-1,F-2,18,2026-04-13,"
)
MIZUNA = "planting,variety,sown,plants\nP-1,mizuna,2026-04-06,128\n"
ON_A_BENCH = "planting,space,plants,from\nP-1,B-1,128,2026-04-06"
NOT_BEFORE = "planting,space,ended,product,job,reason,not_before\n"


def rows_of(folder, waiting=None, plantings=HEADS, stays=IN_CHANNELS, **sheets):
    return read_folder(write_farm(folder, plantings=plantings, stays=stays, waiting=waiting, **sheets))


def coming(rows, as_of=MONDAY):
    growing = growing_of(rows, as_of, pace={})  # as in the schedule
    (outlook,) = after_waits(rows, growing, as_of).outlooks
    return [(f"{one.first:%d %b}", f"{one.last:%d %b}", round(one.amount, 2)) for one in outlook.coming]


def test_heads_ready_on_4_may_that_wait_until_11_may_serve_the_week_of_the_11th(tmp_path):
    # 36 plants, of which 95 in a hundred are cut: 34.2 heads, good for ten days from 4 May on.
    def weeks(rows):
        growing = after_waits(rows, growing_of(rows, MONDAY), MONDAY)
        products, horizon = products_of(rows), horizon_from(MONDAY)
        found = programme_of(rows, growing, products, needs_of(rows, products, horizon), horizon).problem.standing
        assert all(isinstance(one.harvest, Heads) for one in found)
        return [(one.harvest.ready, one.harvest.last, round(one.harvest.items, 2)) for one in found]

    assert weeks(rows_of(tmp_path)) == [(0, 0, 34.2)]
    assert weeks(rows_of(tmp_path, NOT_BEFORE + "P-1,,2026-05-01,,,hail,2026-05-11")) == [(1, 1, 34.2)]


def test_heads_wait_place_by_place(tmp_path):
    waiting = NOT_BEFORE + "P-1,F-2,2026-05-01,,,hail,2026-05-11"
    assert coming(rows_of(tmp_path)) == [("04 May", "13 May", 34.2)]
    assert coming(rows_of(tmp_path, waiting)) == [("04 May", "13 May", 17.1), ("11 May", "13 May", 17.1)]


@pytest.mark.parametrize(
    ("waiting", "left"),
    [
        pytest.param(NOT_BEFORE + "P-1,F-2,2026-05-01,,,hail,2026-05-13", [("13 May", "13 May", 17.1)], id="last day"),
        pytest.param(NOT_BEFORE + "P-1,F-2,2026-05-01,,,hail,2026-05-14", [], id="past its best"),
        pytest.param(NOT_BEFORE + "P-1,F-2,2026-05-01,,,laboratory,", [], id="until somebody lifts it"),
        pytest.param(
            "space,ended,product,job,harvest_days\nF-2,2026-05-03,soap,spray,7",
            [("11 May", "13 May", 17.1)],
            id="spray",
        ),
        pytest.param("space,ended,product,job\nF-2,2026-05-03,soap,spray", [], id="its days not known"),
        pytest.param("space,ended,product,job,harvest_days\nF-2,2026-04-01,soap,spray,60", [], id="came later"),
    ],
)
def test_what_is_past_its_best_before_its_wait_is_over_is_not_counted(tmp_path, waiting, left):
    free = [("04 May", "13 May", 17.1)]
    if "60" in waiting:  # of a job before they came into the channel they carry nothing
        left, free = [], [("04 May", "13 May", 34.2)]
    assert coming(rows_of(tmp_path, waiting)) == free + left


def test_heads_cut_of_the_free_place_are_not_missing_where_the_others_wait(tmp_path):
    # 17.1 in each; 10 were cut in F-1, and 4 where nobody noted: 2 of these in each.
    rows = rows_of(
        tmp_path,
        NOT_BEFORE + "P-1,F-2,2026-05-01,,,hail,2026-05-11",
        picks="planting,day,amount,unit,space\nP-1,2026-05-04,10,head,F-1\nP-1,2026-05-04,4,head,",
    )
    assert coming(rows) == [("04 May", "13 May", 5.1), ("11 May", "13 May", 15.1)]


def test_a_crop_that_grows_again_is_later_with_all_its_cuttings(tmp_path):
    # 128 plants, .8 of them live, .05 lb each: 5.12 lb, then 80 and 60 % of it, 14 days apart, each good for a week.
    mizuna = {"plantings": MIZUNA, "stays": ON_A_BENCH}
    plain = [("04 May", "10 May", 5.12), ("18 May", "24 May", 4.1), ("01 Jun", "07 Jun", 3.07)]
    later = [("07 May", "10 May", 5.12), ("21 May", "27 May", 4.1), ("04 Jun", "10 Jun", 3.07)]
    missed = [("25 May", "31 May", 4.1), ("08 Jun", "14 Jun", 3.07)]
    assert coming(rows_of(tmp_path, **mizuna)) == plain
    assert coming(rows_of(tmp_path, NOT_BEFORE + "P-1,,2026-05-01,,,hail,2026-05-07", **mizuna)) == later
    assert coming(rows_of(tmp_path, NOT_BEFORE + "P-1,,2026-05-01,,,hail,2026-05-11", **mizuna)) == missed


def test_a_wait_that_is_over_before_it_is_ready_changes_nothing(tmp_path):
    early = date(2026, 4, 20)
    rows = rows_of(tmp_path, NOT_BEFORE + "P-1,F-2,2026-04-14,,,hail,2026-05-01")
    assert coming(rows, early) == [("04 May", "13 May", 17.1), ("04 May", "13 May", 17.1)]


def test_plants_without_a_noted_place_wait_as_a_whole(tmp_path):
    assert coming(rows_of(tmp_path, stays=None)) == [("04 May", "13 May", 30.78)]  # .9 x .95 of 36
    rows = rows_of(tmp_path, NOT_BEFORE + "P-1,,2026-05-01,,,hail,2026-05-11", stays=None)
    assert coming(rows) == [("11 May", "13 May", 30.78)]
