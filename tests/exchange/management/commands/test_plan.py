"""The command `plan`: the answer alone on stdout, faults named, and a plan that is right on a small farm."""

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path

import jsonschema
import pytest
from django.core.management import call_command

from tests.exchange.sheets.small_farm import write_farm

ROOT = Path(__file__).resolve().parents[4]
SCHEMA = json.loads((ROOT / "farmops/exchange/schemas/plan.json").read_text(encoding="utf-8"))
ORDERS = """
    buyer,item,weekday,amount,first_day,last_day
    Inn,butterhead,fri,40,2026-06-08,2026-06-12
    """
ROOMY = """
    space,kind,places
    N-1,nursery,144
    F-1,channel,72
    B-1,bench,6
    Bed 1,bed,60
    """


def plan(folder, *more, as_of="2026-05-04"):
    out, err = StringIO(), StringIO()
    call_command("plan", "--sheets", str(folder), "--as-of", as_of, *more, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_forty_heads_in_five_weeks_are_two_half_trays_this_monday(tmp_path):
    # 40 ÷ (0.90 × 0.95) = 46.8, so 47 plants, two half trays of 36; 14 + 21 days from 4 May is 8 June.
    out, _err = plan(write_farm(tmp_path, standing_orders=ORDERS, spaces=ROOMY), "--json")
    answer = json.loads(out)
    jsonschema.validate(answer, SCHEMA)
    line = answer["sowings"][0]
    assert [(one["day"], one["variety"], one["parts"], one["plants"]) for one in answer["sowings"]] == [
        ("2026-05-04", "green butterhead", 2.0, 72.0)
    ]
    why = line["why"]
    assert (why["first_week"], why["wanted"], why["coming"], why["short"]) == ("2026-W24", 40.0, 0.0, 40.0)
    assert (why["plants"], why["parts"], why["survive"]) == (47, 2, 0.855)
    assert why["uses"] == [
        {"kind": "buyer", "outlet": "Inn", "item": "butterhead", "day": "2026-06-12", "amount": 40.0, "in_sum": 40.0}
    ]
    assert (why["unit"], why["harvest"], why["harvests"], why["more"], why["more_for"]) == ("head", 0, [], 0.0, "")
    assert [(want["amount"], want["met"], want["cause"]) for want in answer["promised"]] == [(40.0, 40.0, "")]
    # 40 heads at 2.40, less 40 × 0.30 of cutting and 2 × 2.00 of sowing.
    assert answer["objective"] == pytest.approx(40 * 2.40 - 40 * 0.30 - 4.00)
    assert answer["expected_sales"] == pytest.approx(96.0)
    assert (answer["status"], answer["gap"], answer["over_full_days"]) == ("optimal", 0.0, [])


def test_two_half_trays_that_would_not_fit_are_not_sown(tmp_path):
    # 2 × 36 × 0.90 = 64.8 plants in 54 places of channel will not go; one half tray gives 36 × 0.855 = 30.78 heads.
    answer = json.loads(plan(write_farm(tmp_path, standing_orders=ORDERS), "--json")[0])
    assert [(one["day"], one["parts"]) for one in answer["sowings"]] == [("2026-05-04", 1.0)]
    assert [(want["met"], want["cause"]) for want in answer["promised"]] == [(30.78, "room")]
    assert answer["over_full_days"] == []


def test_what_stands_already_is_not_sown_again(tmp_path):
    write_farm(
        tmp_path,
        standing_orders=ORDERS,
        plantings="planting,variety,sown,plants\nP-1,green butterhead,2026-05-02,60\n",
        stays="planting,space,plants,from\nP-1,N-1,60,2026-05-02\n",
    )
    answer = json.loads(plan(tmp_path, "--json")[0])
    assert answer["sowings"] == []
    assert [want["met"] for want in answer["promised"]] == [40.0]


def test_as_text_it_says_what_to_sow_and_the_sum(tmp_path):
    out, _err = plan(write_farm(tmp_path, standing_orders=ORDERS, spaces=ROOMY))
    assert out.splitlines()[:3] == [
        "Sow in the week of 2026-05-04:",
        "  2 × half tray (72 plants) of green butterhead",
        "      for 2026-W24 to 2026-W25: wanted 40.0 heads (Inn 40.0), coming 0.0, short 40.0; "
        "÷ 1 a plant ÷ 0.855 that survive = 47 plants = 2 × half tray; 47 of 72 cells are needed",
    ]


def test_faults_end_with_2_and_are_named_on_stderr_alone(tmp_path):
    write_farm(tmp_path, spaces="space,kind,places\nN-1,nursery,many\n")
    out, err = StringIO(), StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("plan", "--sheets", str(tmp_path), "--as-of", "2026-05-04", stdout=out, stderr=err)
    assert (stopped.value.code, out.getvalue()) == (2, "")
    assert err.getvalue().splitlines()[0] == (
        "spaces, row 2, places: “many” is not a number. "
        "Write digits and a point, e.g. 12.5, without a unit; leave it empty if it is not known."
    )


def test_a_price_that_only_the_plan_misses_is_a_fault_too(tmp_path):
    write_farm(tmp_path, standing_orders=ORDERS, prices="item,outlet,from,price\nkale,,,6.00\n")
    with pytest.raises(SystemExit) as stopped:
        plan(tmp_path, "--json")
    assert stopped.value.code == 2


def test_run_from_outside_only_the_answer_is_on_stdout(tmp_path):
    write_farm(tmp_path, standing_orders=ORDERS)
    done = subprocess.run(
        [sys.executable, "manage.py", "plan", "--sheets", str(tmp_path), "--as-of", "2026-05-04", "--json"],
        cwd=ROOT,
        capture_output=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0
    assert json.loads(done.stdout)["format"] == 1
