"""Notes on what grows: one sentence for each kind, with the plantings named."""

from datetime import date

import pytest

from farmops.core.coming import Basis, Coming, Line, Note, Outlook
from farmops.core.growth import Need, Place
from farmops.core.schedule import Planting, Schedule, Stage, Way
from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.growing_words import names_in_words, notes_on_growing
from farmops.planning.sowing import plan_sowings
from farmops.planning.standing import Growing, growing_of
from tests.exchange.sheets.small_farm import write_farm

CUT = Schedule((Stage("bench", "bench", Need(28.0), 128.0, 0.8),), Way.CUT, "lb", 0.05, cuttings=(1.0,))


def notes(*outlooks, schedule=CUT):
    plantings = tuple(Planting(one.key, "mizuna", schedule, date(2026, 8, 3), 100.0) for one in outlooks)
    return notes_on_growing(Growing(Place(42.4), plantings, {}, outlooks))


def test_nothing_to_say_is_not_said():
    assert notes(Outlook("P-1", notes=[])) == []


def test_notes_of_a_kind_are_one_sentence_in_a_fixed_order():
    found = notes(
        Outlook("P-1", notes=[(Note.NO_STAYS, 0.0), (Note.DUE_NOT_MOVED, 1.0), (Note.DUE_NOT_MOVED, 3.0)]),
        Outlook("P-2", notes=[(Note.DUE_NOT_MOVED, 1.0)]),
        Outlook("P-3", notes=[(Note.DUE_NOT_MOVED, 0.0)]),
    )
    assert found == [
        "Due, but not noted as moved, so expected to move next week: "
        "P-1 mizuna (3 days), P-2 mizuna (1 day), P-3 mizuna (today).",
        "No stay is noted, so it is taken to stand where its schedule puts it: P-1 mizuna.",
    ]


def test_cut_crops_past_their_best_are_still_counted_and_heads_are_not():
    old = Outlook("P-1", notes=[(Note.PAST_ITS_BEST, 4.0), (Note.PAST_ITS_BEST, 1.25)])
    heads = Schedule((Stage("channel", "channel", Need(28.0), 1.0, 0.8),), Way.HEAD, "head", 1.0)
    assert notes(old) == [
        "Past its best by the schedule and not cut, still counted for this week: P-1 mizuna (5.25 lb)."
    ]
    assert notes(Outlook("P-1", notes=[(Note.PAST_ITS_BEST, 95.0)]), schedule=heads) == [
        "Past its best by the schedule, so no longer counted (note a walk if it is still good): P-1 mizuna (95 heads)."
    ]


def test_what_the_picks_say_stands_beside_the_plan():
    coming = [
        Coming(2, date(2026, 9, 14), date(2026, 9, 20), 3.0, 4.0, Basis.RECORDS),
        Coming(3, date(2026, 9, 28), date(2026, 10, 4), 2.25, 3.0, Basis.RECORDS),
        Coming(4, date(2026, 10, 12), date(2026, 10, 18), 9.0, 9.0),
    ]
    assert notes(Outlook("P-1", [Line(coming=coming)])) == [
        "Forecast from the real picks, not from the plan: P-1 mizuna (3 lb as cut, plan 4 lb)."
    ]


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "a"),
        (6, "a, b, c, d, e, f"),
        (7, "a, b, c, d, e, f and 1 more"),
        (8, "a, b, c, d, e, f and 2 more"),
    ],
)
def test_at_most_six_are_named(count, words):
    assert names_in_words(list("abcdefgh")[:count]) == words


REGROWS = {
    "farm": """
        name,latitude,dark_first_day,dark_end_day,dark_pace
        Low Meadow,42.4,11-07,02-04,{pace}
        """,
    "schedules": """
        variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,units_per_plant,packed,cuttings,days_between,stands_good_days
        mizuna,1,bench,bench,28,0,128,80,cut,lb,0.05,90,100;80,14,7
        """,
    "varieties": "variety,crop,part,part_plants,part_cost\nmizuna,mizuna,tray,128,4.00\n",
    "spaces": "space,kind,places\nB-1,bench,12\n",
    "items": "item,unit,step,keeps_days,cutting_cost\nmizuna bag,lb,0.25,0,1.00\n",
    "item_parts": "item,variety,share\nmizuna bag,mizuna,100\n",
    "outlets": "outlet,kind,weekday\nInn,buyer,sun\n",
    "prices": "item,outlet,from,price\nmizuna bag,,,9.00\n",
    "standing_orders": "buyer,item,weekday,amount,first_day,last_day\nInn,mizuna bag,sun,3,2026-10-26,2026-12-20\n",
    "plantings": "planting,variety,sown,plants\nM-1,mizuna,2026-09-28,128\n",
    "stays": "planting,space,plants,from\nM-1,B-1,128,2026-09-28\n",
}


def test_regrowth_promised_in_the_dark_weeks_is_warned_of(tmp_path):
    """Ready 26 October; of the 14 days of regrowth 12 are over by 7 November, and 2 more take 4 at half the pace."""
    sheets = {**REGROWS, "farm": REGROWS["farm"].format(pace=50)}
    rows = read_folder(write_farm(tmp_path, **sheets))
    as_of = date(2026, 10, 5)
    (planting,) = growing_of(rows, as_of).outlooks
    assert [coming.first for coming in planting.coming] == [date(2026, 10, 26), date(2026, 11, 11)]
    standing, sown = plan_sowings(rows, as_of, Settings(gap=1e-7, explain=False), solve).notes
    assert standing == (
        "Counts on regrowth in the dark weeks, when little grows; do not promise it lightly: M-1 mizuna (16 days)."
    )
    heading = "To be sown for regrowth in the dark weeks, when little grows; do not promise it lightly: mizuna 2026-1"
    assert sown[: len(heading)] == heading


def test_a_lit_place_has_no_dark_weeks(tmp_path):
    sheets = {**REGROWS, "farm": REGROWS["farm"].format(pace=100)}
    answer = plan_sowings(
        read_folder(write_farm(tmp_path, **sheets)), date(2026, 10, 5), Settings(explain=False), solve
    )
    assert answer.notes == ()
    assert len(answer.lines) > 0
