"""Shade and lamps over a kind of space, set on a page. Days of every schedule were noted under them, and count anew."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext as _

from farmops.growing.models import SpaceKind
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

LEAP_YEAR = 2028  # in which every date of a year stands
MOST_SHADE, MOST_HOURS, MOST_LIGHT = Decimal(99), Decimal(24), 3000  # %, h, µmol m⁻² s⁻¹


def set_light(*, saying: Saying, kind: SpaceKind, shade: str, lamp_hours: str, lamp_light: int | None) -> Done:
    """Say what is kept out of a kind's light, and when lamps burn there; empty is nothing.

    Raises
    ------
    Refused
        If a date or a number cannot be, or lamps burn that give no light.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        kept_out = by_date_typed(shade, most=MOST_SHADE, field="shade")
        hours = by_date_typed(lamp_hours, most=MOST_HOURS, field="lamp_hours")
        if hours and not lamp_light:
            raise Refused(_("Say how much light the lamps give where the leaves are."), field="lamp_light")
        if lamp_light is not None and lamp_light > MOST_LIGHT:
            raise Refused(_("So much light no lamp gives. Write µmol/m²s, e.g. 80."), field="lamp_light")
        fresh = SpaceKind.objects.select_for_update(no_key=True).get(pk=kind.pk)
        change(entry, fresh, shade_by_date=kept_out, lamp_hours_by_date=hours, lamp_light=lamp_light)
        return said_of(fresh), {"kind": fresh.pk}

    return do_once(saying, Job.SET, write)


def said_of(kind: SpaceKind) -> str:
    """What holds there, in a line."""
    parts = [kind.name]
    if kind.shade_by_date:
        parts.append(_("%% of light kept out: %(shade)s") % {"shade": kind.shade_by_date})
    if kind.lamp_hours_by_date:
        words = _("lamps of %(light)s µmol/m²s, hours a day: %(hours)s")
        parts.append(words % {"light": kind.lamp_light, "hours": kind.lamp_hours_by_date})
    return ", ".join(parts) if len(parts) > 1 else _("%(kind)s: open sky, no lamps") % {"kind": kind.name}


def by_date_typed(text: str, *, most: Decimal, field: str) -> str:
    """What was typed as it is stored, earliest date first: 05-15=40;09-01=0. A number alone holds all year.

    Raises
    ------
    Refused
        If a date is none, a number is none or too large, or a date stands there twice.
    """
    parts = [part.strip() for part in text.split(";") if part.strip()]
    if len(parts) == 1 and "=" not in parts[0]:
        return f"01-01={_number(parts[0], parts[0], most, field)}"
    table = dict(_pair(part, most, field) for part in parts)
    if len(table) < len(parts):
        raise Refused(_("A date stands there twice. Leave one of the two."), field=field)
    found = ";".join(f"{day}={number}" for day, number in sorted(table.items()))
    longest = SpaceKind._meta.get_field("shade_by_date").max_length or 0
    if len(found) > longest:
        raise Refused(_("That is more dates than can be kept. Leave some out."), field=field)
    return found


def _pair(part: str, most: Decimal, field: str) -> tuple[str, str]:
    day, _equals, number = (one.strip() for one in part.partition("="))
    try:
        month, of_month = (int(one) for one in day.split("-"))
        day = date(LEAP_YEAR, month, of_month).strftime("%m-%d")
    except ValueError:
        raise _unreadable(part, field) from None
    return day, _number(number, part, most, field)


def _number(text: str, part: str, most: Decimal, field: str) -> str:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        raise _unreadable(part, field) from None
    if not amount.is_finite():
        raise _unreadable(part, field)
    if not 0 <= amount <= most:
        raise Refused(_("Write a number from 0 to %(most)s.") % {"most": most}, field=field)
    return f"{amount.normalize():f}"


def _unreadable(part: str, field: str) -> Refused:
    words = _("“%(text)s” is not a date and its number. Write month-day=number, e.g. 05-15=40;09-01=0.")
    return Refused(words % {"text": part[:40]}, field=field)
