"""Why a want cannot be met by what is still to be sown."""

from datetime import date

import pytest

from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.sowing import plan_sowings
from tests.exchange.sheets.small_farm import write_farm

MONDAY = date(2026, 9, 7)


def cause_of(folder, day, *, variety="03-01,10-05", stage="28,03-20,0,1,100,head,head,1,7"):
    """The cause of one order on a day that is not met, for one variety that stands good for a week."""
    answer = plan_sowings(
        read_folder(
            write_farm(
                folder,
                varieties="variety,crop,part,part_plants,part_cost,sow_first_day,sow_last_day\n"
                f"romaine,lettuce,tray,100,1,{variety}\n",
                schedules="variety,stage,stage_name,kind,days,days_at,light_response,plants_per_place,survive,harvest,"
                f"unit,units_per_plant,stands_good_days\nromaine,1,bench,bench,{stage}\n",
                spaces="space,kind,places\nB-1,bench,900\n",
                items="item,unit,keeps_days,cutting_cost\nheads,head,0,0.30\n",
                item_parts="item,variety,share\nheads,romaine,100\n",
                outlets="outlet,kind,weekday\nInn,buyer,fri\n",
                prices="item,outlet,from,price\nheads,,,3.00\n",
                standing_orders=f"buyer,item,weekday,amount,first_day,last_day\nInn,heads,fri,20,{day},{day}\n",
            )
        ),
        MONDAY,
        Settings(gap=1e-6),
        solve,
    )
    (promise,) = answer.promised
    return round(promise.met), promise.cause


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        # 28 days from a Monday, good for that week: sown on 7 September for Friday 9 October at the earliest.
        pytest.param("2026-10-02", (0, "too_late"), id="too-late-by-a-week"),
        pytest.param("2026-10-09", (20, ""), id="just-in-time"),
        pytest.param("2026-11-06", (20, ""), id="last-sowing-of-the-season"),
        pytest.param("2026-11-13", (0, "season"), id="a-week-after-it"),
    ],
)
def test_where_days_stay_the_same(tmp_path, day, expected):
    assert cause_of(tmp_path, day) == expected


def test_a_week_between_two_sowings_that_growth_leaves_out(tmp_path):
    # Half the light takes twice the days: sowings of successive autumn weeks get ready more than a week apart.
    slow = "35,03-20,100,1,100,head,head,1,7"
    fridays = [date.fromordinal(date(2026, 10, 16).toordinal() + 7 * week) for week in range(11)]
    found = []
    for number, day in enumerate(fridays):
        folder = tmp_path / str(number)
        folder.mkdir()
        found.append(cause_of(folder, day, variety="01-01,12-31", stage=slow))
    causes = [cause for _met, cause in found]
    first = causes.index("")
    assert set(causes[:first]) <= {"too_late"}
    assert set(causes[first:]) == {"", "days_short"}
    assert [met for met, cause in found if not cause] == [20] * causes.count("")
