"""A plan in words: sums that can be added up by hand, causes and the plan's standing in plain English."""

import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import pytest

from farmops.core.sizing import Settings, solve
from farmops.exchange.plan_answer import as_json, as_text, status_in_words
from farmops.exchange.sheets.read import read_folder
from farmops.planning.plan_words import cause_in_words
from farmops.planning.sowing import plan_sowings
from tests.exchange.sheets.small_farm import write_farm

DEMO = Path(__file__).resolve().parents[2] / "fixtures/demo/sheets"


@pytest.fixture(scope="module")
def answer():
    return plan_sowings(read_folder(DEMO), date(2026, 9, 7), Settings(explain=False), solve)


def test_the_printed_figures_of_a_sum_add_up(answer):
    sums = [line for line in as_text(answer).splitlines() if line.startswith("      for ")]
    assert len(sums) == len([line for line in answer.lines if line.week == 0]) > 0
    for words in sums:
        wanted, uses, coming, short = re.search(
            r"wanted ([\d.]+) \w+ \((.*?)\), coming ([\d.]+), short ([\d.]+);", words
        ).groups()
        figures = [Decimal(use.split(" = ")[0].split()[-1]) for use in uses.split(" + ")]
        rounding = Decimal("0.05") * (len(figures) + 1)
        assert abs(sum(figures) - Decimal(wanted)) <= rounding
        assert abs(Decimal(wanted) - Decimal(coming) - Decimal(short)) <= Decimal("0.1")


@pytest.mark.case("G02")
def test_cells_that_the_whole_trays_have_beyond_the_need_are_said(tmp_path):
    """gardeningtheorganicway.com: divide by germination; our numbers: 120 ÷ 0.7866 = 153 of 3 × 72 cells."""
    sheets = {
        "schedules": """
            variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,units_per_plant,stands_good_days
            green butterhead,1,plugs,nursery,7,0,1,90,,,,
            green butterhead,2,nursery,nursery,7,0,1,95,,,,
            green butterhead,3,finishing,channel,21,0,1,92,head,head,1,10
            """,
        "varieties": "variety,crop,part,part_plants,part_cost\ngreen butterhead,lettuce,tray,72,4.00\n",
        "items": "item,unit,keeps_days,cutting_cost\nbutterhead,head,0,0.30\n",
        "item_parts": "item,variety,share\nbutterhead,green butterhead,100\n",
        "outlets": "outlet,kind,weekday\nInn,buyer,fri\n",
        "spaces": "space,kind,places\nN,nursery,500\nC,channel,500\n",
        "prices": "item,outlet,from,price\nbutterhead,,,3.00\n",
        "standing_orders": "buyer,item,weekday,amount,first_day,last_day\n"
        "Inn,butterhead,fri,120,2026-06-08,2026-06-12\n",
    }
    rows = read_folder(write_farm(tmp_path, **sheets))
    answer = plan_sowings(rows, date(2026, 5, 4), Settings(gap=1e-7, explain=False), solve)
    (line,) = answer.lines
    assert (line.why.plants, line.parts, line.plants) == (153, 3.0, 216.0)
    assert "survive = 153 plants = 3 × tray; 153 of 216 cells are needed" in as_text(answer)


def test_programs_get_every_use_in_the_unit_of_its_sum(answer):
    for sowing in as_json(answer)["sowings"]:
        why = sowing["why"]
        assert sum(use["in_sum"] for use in why["uses"]) == pytest.approx(why["wanted"], abs=0.01)
        assert why["unit"] in ("lb", "head", "bunch")


@pytest.mark.parametrize(
    ("status", "gap", "words"),
    [
        ("optimal", 0.0, "This is the best plan there is."),
        ("gap", 0.0044, "No other plan could earn more than 0.44 % above this one."),
        ("gap", 0.00001, "No other plan could earn more than 0.01 % above this one."),
        (
            "stopped",
            0.03,
            "The search ended early: this is the best plan found, and another may earn up to 3.00 % more.",
        ),
        ("infeasible", None, "There is no plan: the rules given cannot all hold together."),
    ],
)
def test_how_good_the_plan_is(status, gap, words):
    assert status_in_words(SimpleNamespace(status=status, gap=gap)) == words


def test_every_cause_has_words_of_its_own():
    causes = ("too_late", "season", "days_short", "room", "seed_or_work", "dearer", "not_examined")
    assert len({cause_in_words(cause) for cause in causes}) == len(causes)
