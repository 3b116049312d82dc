"""When a treated crop may be cut and its place entered again: days and hours counted from the end of the job.

Hours are counted in real time, not by the clock on the wall: the night the clocks change has an hour more or less.
A job without an end time counts from the end of its day. The label and the authority decide; this counts.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def job_end(ended: date, minute: int | None, zone: str) -> datetime:
    """The moment a job was over.

    Parameters
    ----------
    ended : date
        Its last day.
    minute : int or None
        After midnight; None is not noted: the end of that day. [min]
    zone : str
        The farm's time zone, e.g. America/New_York.
    """
    midnight = datetime.combine(ended, time(), ZoneInfo(zone))
    if minute is None:
        return datetime.combine(ended + timedelta(days=1), time(), ZoneInfo(zone))
    return midnight.replace(hour=minute // 60, minute=minute % 60)


def after(end: datetime, *, days: int = 0, hours: float = 0.0) -> datetime:
    """So many days of 24 hours and hours later, in real time, told by the same clock."""
    return (end.astimezone(UTC) + timedelta(days=days, hours=hours)).astimezone(end.tzinfo)


def not_before(end: datetime, harvest_days: int | None, entry_hours: float | None) -> datetime | None:
    """First moment a crop may be cut: both waits over. None where the days to harvest are not known: do not cut.

    A wait of 0 days is not "no rule": the place must be entered to cut, so entry must be allowed.
    """
    if harvest_days is None:
        return None
    return max(after(end, days=harvest_days), after(end, hours=entry_hours or 0.0))
