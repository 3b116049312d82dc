"""A refused figure is shown where it stands in the sheets."""

import pytest

from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.refused import fault_of
from farmops.planning.rows import FaultsFound
from farmops.planning.sowing import plan_sowings
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm
from tests.planning.test_sowing import MONDAY


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("P-1/2.1: no cutting gives anything", ("plantings", 2, "planting")),
        ("butterhead green butterhead week 3: no plant stands to the end", ("schedules", 3, "variety")),
        ("kale: keeps -1 weeks", ("items", 4, "item")),
        ("mix kale: there is no item 'x'", ("items", 4, "item")),
        ("channel: days must be over 0", ("schedules", 3, "days")),
    ],
)
def test_the_subject_tells_the_row(tmp_path, words, place):
    rows = read_folder(write_farm(tmp_path, plantings="planting,variety,sown,plants\nP-1,mizuna,2026-04-20,128\n"))
    fault = fault_of(ValueError(words), rows)
    assert (fault.sheet, fault.row, fault.column) == place
    subject, problem = words.split(": ")
    assert str(fault) == (
        f"{place[0]}, row {place[1]}, {place[2]}: No plan can be made from these figures: {subject}: {problem}. "
        "Check them, and try again."
    )


@pytest.mark.parametrize("words", ["the horizon must be at least one week, got 0", "moon: nothing grows there"])
def test_what_names_no_row_stays_as_it_is(tmp_path, words):
    assert fault_of(ValueError(words), read_folder(write_farm(tmp_path))) is None


def test_a_stage_that_lasts_no_day_by_the_farms_own_table_is_named(tmp_path):
    schedules = SMALL_FARM["schedules"].replace("days,light_response", "days,days_by_date,light_response")
    for days in (14, 21, 28, 35):
        schedules = schedules.replace(f",{days},0,", f",{days},,0,")
    schedules = schedules.replace(
        ",nursery,nursery,14,,0,", ",nursery,nursery,14,03-30=0.000000001;06-29=0.000000001,0,"
    )
    rows = read_folder(write_farm(tmp_path, schedules=schedules))
    with pytest.raises(FaultsFound) as found:
        plan_sowings(rows, MONDAY, Settings(explain=False), solve)
    assert str(found.value).startswith("schedules, row 2, days: No plan can be made from these figures: nursery: days")
