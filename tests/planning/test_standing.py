"""Rows to schedules and plantings, and the farm's own pace."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from farmops.core.light import Cover
from farmops.exchange.sheets.read import read_folder
from farmops.planning.standing import convert, growing_of, plantings_of, schedule_on, schedules_of
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm


def test_a_sowing_follows_the_version_of_its_day(tmp_path):
    versions = SMALL_FARM["schedules"].replace("variety,stage,", "variety,valid_from,stage,")
    versions = versions.replace("butterhead,", "butterhead,,").replace("oakleaf,", "oakleaf,,")
    versions = versions.replace("mizuna,1", "mizuna,,1").replace("kale,", "kale,,")
    versions += """
        green butterhead,2026-06-01,1,nursery,nursery,12,0,1,90,,,,,,,,
        green butterhead,2026-06-01,2,finishing,channel,20,0,1,95,head,head,1,100,,,,10
        """
    rows = read_folder(write_farm(tmp_path, schedules=versions))
    of_variety = schedules_of(rows)["green butterhead"]
    days = [schedule_on(of_variety, day).stages[0].need.days for day in (date(2026, 5, 31), date(2026, 6, 1))]
    assert days == [14, 12]


def test_what_is_not_said_about_light_counts_half_after_the_first_stage(tmp_path):
    schedules = SMALL_FARM["schedules"].replace(",14,0,", ",14,,").replace(",21,0,", ",21,,")
    stages = schedules_of(read_folder(write_farm(tmp_path, schedules=schedules)))["green butterhead"][0][1].stages
    assert [stage.need.response for stage in stages] == [0.0, 0.5]


def test_planned_and_future_rows_are_not_records(tmp_path):
    rows = read_folder(
        write_farm(
            tmp_path,
            plantings="""
                planting,variety,sown,plants,state,cleared
                P-1,green butterhead,2026-05-04,36,,2026-06-30
                P-2,green butterhead,2026-05-11,36,planned,
                P-3,green butterhead,2026-05-18,36,,
                """,
            stays="planting,space,plants,from,state\nP-1,N-1,36,2026-05-04,\nP-1,F-1,18,2026-05-18,planned\n",
            picks="planting,day,amount,unit\nP-1,2026-06-20,3,head\n",
        )
    )
    (planting,) = plantings_of(rows, date(2026, 5, 12))
    assert (planting.key, [stand.space for stand in planting.stands], planting.picks) == ("P-1", ["N-1"], ())
    assert planting.cleared is None


def test_weights_are_converted_and_counts_are_not(tmp_path):
    assert convert(Decimal(24), "oz", "lb") == Decimal("1.5")
    assert round(convert(Decimal(150), "g", "lb"), 6) == Decimal("0.330693")
    with pytest.raises(ValueError, match="bunch cannot be counted in lb"):
        convert(Decimal(1), "bunch", "lb")


def test_plantings_that_took_a_fifth_longer_shift_what_is_expected(tmp_path):
    sown = [date(2026, 3, 2) + timedelta(weeks=week) for week in range(5)]
    plantings = "planting,variety,sown,plants\n" + "".join(
        f"P-{n},green butterhead,{day},30\n" for n, day in enumerate(sown)
    )
    stays = "planting,space,plants,from,to\n" + "".join(
        f"P-{n},N-1,30,{day},{day + timedelta(days=14)}\nP-{n},F-1,30,{day + timedelta(days=14)},\n"
        for n, day in enumerate(sown)
    )
    # Ready after 21 days by the schedule, first picked after 27: 25.25 of growing, and half of 3.5 days of waiting.
    picks = "planting,day,amount,unit\n" + "".join(
        f"P-{n},{day + timedelta(days=14 + 27)},5,head\n" for n, day in enumerate(sown[:4])
    )
    rows = read_folder(write_farm(tmp_path, plantings=plantings, stays=stays, picks=picks))
    as_of = sown[4] + timedelta(days=20)
    own = growing_of(rows, as_of).own["green butterhead"]
    assert own.plantings == 2
    assert 1.05 < own.factor_on(as_of) < 1.25
    outlook = growing_of(rows, as_of).outlooks[-1]
    assert sown[4] + timedelta(days=14 + 23) <= outlook.ready <= sown[4] + timedelta(days=14 + 26)


def test_shade_and_lamps_of_a_kind_are_in_what_its_stages_need(tmp_path):
    told = """
        space,kind,places,shade,lamp_hours,lamp_light
        N-1,nursery,144,,,
        N-2,nursery,144,,11-01=6;02-15=0,80
        F-1,channel,18,05-15=40;09-01=0,,
        B-1,bench,8,01-01=30,,
        Bed 1,bed,40,,,
        """
    versions = schedules_of(read_folder(write_farm(tmp_path, spaces=told)))
    nursery, channel = (
        stage.need.cover for stage in schedule_on(versions["green butterhead"], date(2026, 5, 4)).stages
    )
    assert nursery == Cover((), (((2, 15), 0.0), ((11, 1), 6.0)), 80.0)
    assert channel == Cover((((5, 15), 0.4), ((9, 1), 0.0)))
    mizuna = schedule_on(versions["mizuna"], date(2026, 5, 4))
    assert mizuna.regrowth.cover == mizuna.stages[0].need.cover == Cover((((1, 1), 0.3),))
    kale = schedule_on(versions["curly kale"], date(2026, 5, 4))
    assert kale.stages[-1].need.cover is None
