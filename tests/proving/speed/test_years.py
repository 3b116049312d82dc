"""A farm with more years of records."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from farmops.exchange.sheets.checks import check_rows
from farmops.exchange.sheets.read import read_folder
from farmops.planning.standing import growing_of
from farmops.proving.speed.years import farm_of_years

LAST = date(2026, 9, 7)


@pytest.fixture(scope="module")
def demo(request):
    return read_folder(request.config.rootpath / "fixtures/demo/sheets")


def test_a_year_more_is_the_same_year_weeks_earlier(demo):
    one, three = (farm_of_years(demo, years, LAST) for years in (1, 3))
    sown = [row for row in one.plantings if LAST - timedelta(weeks=52) <= row.sown < LAST]
    copies = [row for row in three.plantings if row.planting.endswith("~2")]
    assert len(three.plantings) == len(one.plantings) + 2 * len(sown)
    assert [(row.planting, row.sown + timedelta(weeks=104), row.plants) for row in copies] == [
        (f"{row.planting}~2", row.sown, row.plants) for row in sown
    ]
    assert all(row.cleared is not None and row.cleared <= LAST - timedelta(weeks=104) for row in copies)
    assert len(three.market_days) == 3 * len([day for day in one.market_days if day.date < LAST]) + len(
        [day for day in one.market_days if day.date >= LAST]
    )


def test_what_stands_is_the_same_however_many_years_lie_behind(demo):
    one, four = (farm_of_years(demo, years, LAST) for years in (1, 4))
    standing = [{stand.key: outlook.coming for stand, outlook in zip(found.plantings, found.outlooks, strict=True)}
                for found in (growing_of(rows, LAST, pace={}) for rows in (one, four))]  # fmt: skip
    assert standing[0] == standing[1]
    assert len(standing[0]) > 20


def test_the_rows_still_hold_together(demo):
    assert check_rows(replace(farm_of_years(demo, 3, LAST), missing=())) == []


def test_no_year_at_all_is_no_farm(demo):
    with pytest.raises(ValueError, match="got 0"):
        farm_of_years(demo, 0, LAST)
