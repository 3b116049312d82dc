"""The invented farm's records: filled once from its sheets, on the day on which these end; then its days go on."""

from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings

from farmops import clock
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.farm.models import Farm
from farmops.people.models import Person, Role

DEMO_SHEETS: Path = settings.BASE_DIR / "fixtures" / "demo" / "sheets"
LAST_DAY = date(2026, 9, 7)  # of the sheets
ZONE = ZoneInfo("America/New_York")
PEOPLE = (("Maud", Role.GROWER), ("Tobin", Role.CREW))  # as its sheets name them


def is_filled() -> bool:
    return Farm.objects.exists()


def fill_demo(now: datetime) -> None:
    """Set the clock back to the last day of the sheets, keep by how much, and read them in; all or nothing.

    Parameters
    ----------
    now : datetime
        By the computer's clock.
    """
    settings.CLOCK_BACK_DAYS = days_back(now)
    (Path(settings.DATA_DIR) / "days-back").write_text(f"{settings.CLOCK_BACK_DAYS}\n", encoding="ascii")
    read_sheets(DEMO_SHEETS, now=clock.now())
    for name, role in PEOPLE:
        Person.objects.get_or_create(name=name, defaults={"role": role})


def days_back(now: datetime) -> int:
    """Whole days, with which an instant falls on the last day of the sheets by the clock of that farm.

    Its summer time may have ended since, so that late in the evening it takes a day more.
    """
    days = (now.astimezone(ZONE).date() - LAST_DAY).days
    there = (now - timedelta(days=days)).astimezone(ZONE).date()
    return days + (there - LAST_DAY).days
