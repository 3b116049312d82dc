"""The look back at missed sales, held against simulated stalls that know them."""

import json
from io import StringIO
from pathlib import Path

import jsonschema
import pytest
from django.core.management import call_command

from farmops.proving.missed_sales import Estimate, Trial, report, trials
from farmops.proving.product import missed_sales
from farmops.proving.worlds import WORLDS

SCHEMA = Path(__file__).resolve().parent.parent.parent / "farmops" / "exchange" / "schemas" / "try_missed_sales.json"


def trial(truth: int, mean: float, low: float, high: float) -> Trial:
    return Trial("town", 1, 0.2, truth, Estimate(mean, low, high))


def test_the_report_counts_how_often_the_range_holds_the_truth():
    found = [trial(100, 100, 80, 120), trial(100, 200, 150, 260), trial(100, 50, 30, 100), trial(100, 100, 101, 130)]
    row = report(found, 1, 1)["shares"][0]
    assert (row["stalls"], row["range_holds"], row["mean_log_error"]) == (4, 0.5, 0.0)


def test_the_truth_is_what_the_stall_knows_and_nobody_noted():
    plenty = list(trials([WORLDS["town_square"]], 1, 3, lambda records: Estimate(0, 0, 0), shares=(1.0,)))
    short = list(trials([WORLDS["town_square"]], 1, 3, lambda records: Estimate(0, 0, 0), shares=(0.2,)))
    assert plenty[0].truth < 0.1 * short[0].truth


@pytest.mark.season
def test_in_two_unlike_stalls_the_truth_lies_in_the_range_and_nothing_leans():
    names = ("town_square", "late_afternoon")
    found = list(trials([WORLDS[name] for name in names], 2, 7, missed_sales))
    # 12 half years: an honest 80 % range holds 7 or more with a chance of 98 % (binomial).
    assert sum(one.holds for one in found) >= 7
    assert abs(sum(one.error for one in found) / len(found)) <= 0.2


@pytest.mark.season
def test_the_command_answers_by_its_schema(monkeypatch):
    monkeypatch.setattr(
        "farmops.proving.management.commands.try_missed_sales.all_worlds", lambda: [WORLDS["corner_stand"]]
    )
    out = StringIO()
    call_command("try_missed_sales", "--seasons", "1", stdout=out, stderr=StringIO())
    jsonschema.validate(json.loads(out.getvalue()), json.loads(SCHEMA.read_text()))
