"""The answer of a run."""

import pytest

from farmops.proving.speed.measuring import Run, answer
from farmops.proving.speed.ratios import counted


@pytest.mark.parametrize(
    ("only", "wanted"),
    [((), [True, True, True]), (("queries",), [True, True, False]), (("queries:due-now",), [True, False, False])],
)
def test_a_group_is_wanted_or_a_row(only, wanted):
    names = ("queries:due-now", "queries:space", "years:due-now")
    assert [Run(only).wants(name) for name in names] == wanted
    assert Run(only).wants_any(("queries", "bare"))
    assert Run(only).wants_any(("papers",)) == (not only)


def test_one_missed_limit_is_not_all_right_and_what_was_left_out_is_said_once():
    run = Run(years=3)
    run.leave_out("page a", "no page")
    run.leave_out("page a", "no page")
    rows = [counted("queries:a", 10, 15, 1.0, unit="queries"), counted("queries:b", 16, 15, 1.0, unit="queries")]
    said = answer(rows, run)
    assert (said["format"], said["years"], said["ok"]) == (1, 3, False)
    assert said["left_out"] == [{"name": "page a", "why": "no page"}]
    assert [(row["name"], row["ratio"], row["ok"]) for row in said["rows"]] == [
        ("queries:a", 0.666667, True),
        ("queries:b", 1.066667, False),
    ]


def test_a_figure_that_is_none_is_refused():
    with pytest.raises(ValueError, match="must be finite"):
        answer([counted("queries:a", float("nan"), 15, None, unit="queries")], Run())
