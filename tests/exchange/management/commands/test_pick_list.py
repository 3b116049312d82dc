"""The command `pick_list`: the list alone on stdout, faults named."""

from io import StringIO

import pytest
from django.core.management import call_command

from tests.exchange.sheets.small_farm import write_farm


def test_the_list_of_a_friday(tmp_path):
    write_farm(
        tmp_path,
        standing_orders="buyer,item,weekday,amount\nInn,butterhead,fri,20\n",
        plantings="planting,variety,sown,plants\nP-1,green butterhead,2026-08-04,40\n",
        stays="planting,space,plants,from\nP-1,F-1,18,2026-08-18\nP-1,F-2,18,2026-08-18\n",
    )
    out = StringIO()
    call_command("pick_list", "--sheets", str(tmp_path), "--day", "2026-09-11", stdout=out)
    assert out.getvalue().splitlines() == [
        "Pick list for Friday 11 September 2026 (2026-W37)",
        "",
        "butterhead: 20 heads = 20 heads Fri 11 Sep Inn",
        "",
        "Cut:",
        "  green butterhead: cut 20 heads for 20 heads packed",
        "      20 heads from P-1 in F-1, F-2",
    ]


def test_faults_end_with_2(tmp_path):
    out, err = StringIO(), StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("pick_list", "--sheets", str(tmp_path), "--day", "2026-09-11", stdout=out, stderr=err)
    assert (stopped.value.code, out.getvalue()) == (2, "")
    assert err.getvalue().startswith("farm: This sheet is missing. Add farm.csv: the farm itself: one row.\n")
