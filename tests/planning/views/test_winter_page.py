"""What the winter plan shows: trays rounded so that their sum stays, runs of weeks."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.planning.views.winter_page import in_runs, whole_trays


def answer(*parts):
    return {"sowings": [[f"week {number:03d}", "kale", one] for number, one in enumerate(parts)]}


def test_what_is_rounded_off_goes_into_the_next_week():
    assert list(whole_trays(answer(2, 0.4, 0.4, 1.3, 0.9)).values()) == [2, 0, 1, 1, 1]


@given(st.lists(st.floats(0, 9), min_size=1, max_size=60))
def test_their_sum_is_never_half_a_tray_off(parts):
    whole = list(whole_trays(answer(*parts)).values())
    for number in range(1, len(parts) + 1):
        assert sum(whole[:number]) == pytest.approx(sum(parts[:number]), abs=0.5 + 1e-6)
    assert min(whole) >= 0


@given(st.lists(st.integers(0, 9), min_size=1, max_size=60))
def test_whole_trays_stay_as_they_are(parts):
    assert list(whole_trays(answer(*parts)).values()) == parts


@pytest.mark.case("G12")
def test_weeks_run_on_over_week_53_and_new_year():
    # "31 Dec and 1 Jan are both 2026-W53": the week after it is the first of 2027.
    assert in_runs([date(2026, 12, 21), date(2026, 12, 28), date(2027, 1, 4), date(2027, 2, 1)]) == "52–1, 5"
