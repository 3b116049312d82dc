"""The farm that is measured on."""

from datetime import date

import pytest

from farmops import clock
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.people.models import Person, Phone
from farmops.proving.speed.asking import Browser
from farmops.proving.speed.farm_at_hand import (
    DEMO,
    TODAY,
    back_to_its_day,
    let_in,
    phone_cookies,
    rows_in,
    write_folder,
)
from farmops.proving.speed.years import farm_of_years


def test_rows_written_as_sheets_are_read_again(tmp_path):
    rows = farm_of_years(read_folder(DEMO), 2, TODAY)
    write_folder(rows, tmp_path / "sheets")
    again = read_folder(tmp_path / "sheets")
    assert [len(getattr(again, sheet.name)) for sheet in SHEETS] == [len(getattr(rows, sheet.name)) for sheet in SHEETS]
    assert rows_in(rows) > 8000
    assert [row.planting for row in again.plantings] == [row.planting for row in rows.plantings]


# 13:00 in London's summer is 5:00 the next morning on the far islands: their day is what counts.
@pytest.mark.parametrize(("zone", "days"), [("America/New_York", -126), ("Pacific/Kiritimati", -125)])
def test_the_clock_is_set_to_the_day_of_the_demo(settings, zone, days):
    back_to_its_day(zone)
    assert days == settings.CLOCK_BACK_DAYS
    assert clock.now().date() in {date(2026, 9, 6), date(2026, 9, 7)}


def test_a_phone_and_the_grower_are_let_in(db):
    browsers = let_in()
    assert [browsers[who].get("/day-book/").status for who in ("phone", "office")] == [200, 200]
    assert browsers["phone"].get("/people/").status == 302
    assert Browser(phone_cookies("Van")).get("/day-book/").status == 200
    assert (Phone.objects.count(), [one.name for one in Person.objects.order_by("pk")]) == (2, ["Odile", "Shed", "Van"])
