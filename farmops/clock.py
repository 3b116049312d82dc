"""What time it is here: the computer's clock, set back by whole days while the invented farm of the demo is open."""

from datetime import date, datetime, timedelta

from django.conf import settings
from django.utils import timezone


def now() -> datetime:
    """This instant; every page, paper and job asks here."""
    return timezone.now() - timedelta(days=settings.CLOCK_BACK_DAYS)


def today() -> date:
    """The day in the time zone in use, which is the farm's on every page."""
    return timezone.localdate(now())
