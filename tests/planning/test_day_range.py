"""Days that cannot be meant are a fault for whoever asks, page or command."""

from datetime import date

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.day_range import FIRST_DAY, LAST_DAY, check_day
from farmops.planning.picking import pick_list
from farmops.planning.rows import FaultsFound
from farmops.planning.sowing import plan_sowings
from tests.exchange.sheets.small_farm import write_farm

WORDS = "the day asked for: 9999-12-31 cannot be meant. Give a day from 1990-01-01 to 2100-12-31."


def test_the_first_and_the_last_day_are_within():
    check_day(FIRST_DAY)
    check_day(LAST_DAY)


@pytest.mark.parametrize("ask", [plan_sowings, pick_list])
def test_neither_plan_nor_pick_list_is_made_for_a_day_beyond(tmp_path, ask):
    rows = read_folder(write_farm(tmp_path))
    with pytest.raises(FaultsFound) as found:
        ask(rows, date.max)
    assert [str(fault) for fault in found.value.faults] == [WORDS]
    with pytest.raises(FaultsFound):
        ask(rows, date.min)


@pytest.mark.parametrize("day", [FIRST_DAY, LAST_DAY])
def test_a_pick_list_at_either_end_is_only_empty(tmp_path, day):
    assert pick_list(read_folder(write_farm(tmp_path)), day).cuts == ()
