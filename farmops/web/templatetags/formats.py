"""How amounts, money, times and weeks read on screens and papers."""

from datetime import date

from django import template
from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _

from farmops.clock import today

register = template.Library()


@register.filter
def clock(minutes: int | float | None) -> str:
    """Minutes after midnight as HH:MM; nothing for an unknown time."""
    if minutes is None:
        return ""
    whole = round(minutes)
    return f"{whole // 60:02d}:{whole % 60:02d}"


@register.filter
def week(day: date) -> str:
    """The ISO week of a day, with its ISO year where that is not the day's own."""
    year, number, _weekday = day.isocalendar()
    return _("week %(number)d") % {"number": number} + (f" {year}" if year != day.year else "")


@register.filter
def in_words(day: date) -> str:
    """Sat 5 Sep 2026: a day that cannot be read two ways."""
    return date_format(day, "D j M Y")


@register.filter
def short_day(day: date) -> str:
    """Sat 5 Sep: within one season."""
    return date_format(day, "D j M")


@register.filter
def whole(value: float) -> str:
    """A number without decimals, thousands set apart."""
    return number_format(round(value), 0, use_l10n=True, force_grouping=True)


@register.filter
def one_place(value: float) -> str:
    """A number with one decimal, dropped where it is nought."""
    text = number_format(round(value, 1), 1, use_l10n=True, force_grouping=True)
    return text[:-2] if text[-1] == "0" else text


@register.filter
def dollars(value: float) -> str:
    """Money in whole units of the currency from ten up, with cents below."""
    sign = "−" if value < 0 else ""
    places = 0 if abs(value) >= 9.995 or value == 0 else 2
    return f"{sign}${number_format(abs(round(value, places)), places, use_l10n=True, force_grouping=True)}"


@register.simple_tag
def today_line() -> str:
    """The farm's day and its ISO week, for the head of every screen."""
    day = today()
    return _("Week %(week)d · %(day)s") % {"week": day.isocalendar().week, "day": in_words(day)}


@register.filter
def rows_shown(rows: tuple[int, ...]) -> str:
    """The first few row numbers of a sheet, and how many more there are."""
    shown = ", ".join(str(row) for row in rows[:6])
    return shown if len(rows) <= 6 else _("%(rows)s and %(more)d more") % {"rows": shown, "more": len(rows) - 6}


@register.filter
def amount(value: float) -> str:
    """An amount of sold units: whole where it is whole, else at most two decimals."""
    text = f"{round(value, 2):,.2f}"
    return text.rstrip("0").rstrip(".")


@register.filter
def roughly(value: float) -> str:
    """A mean of counts: whole from ten up, one decimal below."""
    return whole(value) if value >= 9.95 else one_place(value)


def _about(value: float) -> float:
    """Two figures that count: 2149 is about 2100; below ten to the unit, below one to the tenth."""
    if value < 0.95:
        return round(value, 1)
    digits = max(len(str(int(value))) - 2, 0)
    return float(round(value / 10**digits) * 10**digits)


def about_range(low: float, high: float, sign: str = "") -> str:
    """A range that owns up to its roughness: $2,100–3,400; one figure where both ends round to the same."""
    first, last = (amount(_about(max(end, 0.0))) for end in (low, high))
    return f"{sign}{first}" if first == last else f"{sign}{first}–{last}"
