"""Which plantings tell what share leaves a stage, and what the plan then counts on."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.own_stands import counted_of, with_own_stands
from tests.exchange.sheets.small_farm import write_farm

AS_OF = date(2026, 8, 1)
SOWN = date(2026, 3, 2)


def farm(folder, *, moved=30, cut=27, losses="", cleared="", to="2026-05-11", plantings=1, picks=None):
    """So many lettuces of 36 in the nursery, so many moved on to a channel and cut there; a planting each week."""
    sown = [SOWN + timedelta(weeks=number) for number in range(plantings)]
    told = [f"P-{number},green butterhead,{day},36" for number, day in enumerate(sown, 1)]
    stays = []
    for number, day in enumerate(sown, 1):
        into = day + timedelta(days=14)
        stays.append(f"P-{number},N-1,36,{day},{into},1,{cleared}")
        stays.append(f"P-{number},F-1,{moved},{into},{to},2,")
    if picks is None:
        picks = [f"P-{number},{day + timedelta(days=63)},{cut},head" for number, day in enumerate(sown, 1)]
    sheets = {
        "plantings": "\n".join(("planting,variety,sown,plants", *told)),
        "stays": "\n".join(("planting,space,plants,from,to,stage,cleared", *stays)),
        "picks": "\n".join(("planting,day,amount,unit", *picks)),
    }
    if losses:
        sheets["losses"] = f"planting,day,plants,space\n{losses}"
    folder.mkdir(exist_ok=True)
    return read_folder(write_farm(folder, **sheets))


def shares(rows, as_of=AS_OF):
    return [(one.stage, one.said, one.entered, one.left) for one in counted_of(rows, as_of)]


def test_a_stage_whose_plants_all_went_on_tells(tmp_path):
    # The schedule says 90 % and 95 %. Of 30 in the channel 27 were cut and the rest is not accounted for.
    assert shares(farm(tmp_path)) == [(0, 0.9, 36.0, 30.0)]


def test_the_last_stage_tells_where_all_of_it_is_accounted_for(tmp_path):
    losses = "P-1,2026-04-20,2,F-1\nP-1,2026-05-10,1,F-1"
    # Two were lost before the first head was cut on 4 May; the third stood too long.
    assert shares(farm(tmp_path, losses=losses)) == [(0, 0.9, 36.0, 30.0), (1, 0.95, 30.0, 28.0)]


def test_what_was_cleared_or_still_stands_tells_nothing(tmp_path):
    assert shares(farm(tmp_path / "a", cleared="yes")) == []
    assert shares(farm(tmp_path / "b"), date(2026, 3, 10)) == []
    still = farm(tmp_path / "c", to="", losses="P-1,2026-04-20,3,F-1")
    assert shares(still) == [(0, 0.9, 36.0, 30.0)]


def test_what_was_sown_long_ago_tells_nothing(tmp_path):
    assert shares(farm(tmp_path), date(2028, 1, 1)) == []


def test_the_plan_counts_on_what_six_plantings_say_and_says_so(tmp_path):
    own = with_own_stands(farm(tmp_path, moved=24, picks=[], plantings=6), AS_OF)
    nursery, channel = (stage for stage in own.rows.schedules if stage.variety == "green butterhead")
    # By hand: 24 of 36 are 23.3 points less than 90. A planting tells with 1 / (0.05² + 0.09 / 36) = 200, the
    # schedule with 1 / 0.08² = 156.25: 23.33 x 1200 / 1356.25 = 20.65 points.
    assert nursery.survive == pytest.approx(Decimal("0.6935"), abs=Decimal("0.0001"))
    assert channel.survive == Decimal("0.95")
    assert own.notes == ("green butterhead: counted on 66 % of what is sown, not 86, as your own 6 plantings say.",)


def test_a_farm_without_plantings_keeps_its_schedules(tmp_path):
    rows = read_folder(write_farm(tmp_path))
    assert with_own_stands(rows, AS_OF).rows.schedules == rows.schedules
    assert with_own_stands(rows, AS_OF).notes == ()
