"""The one wording of a wait: which plants, where, until which day and hour of the farm, and why."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

from django.utils.formats import date_format
from django.utils.translation import gettext as _


def wait_in_words(
    plants: str,
    *,
    spaces: Sequence[str] = (),
    until: datetime | None,
    reason: str,
    is_own: bool,
    zone: tzinfo | None = None,
) -> str:
    """Do not cut P26-184 Genovese in F-7, F-8 before Thu 10 Sep 2026, 16:30: soap spray.

    Parameters
    ----------
    plants : str
        Number and variety of the planting.
    spaces : sequence of str
        Where they stand that wait; none: all of the planting, or nobody said where.
    until : datetime or None
        None: until it is lifted; where it is not the grower's own wait, until the label's days are known.
    reason : str
    is_own : bool
        The grower's own wait, not one of a label.
    zone : tzinfo or None
        The farm's; None: the moment is told by it already.
    """
    words = {
        "plants": _("%(plants)s in %(spaces)s") % {"plants": plants, "spaces": ", ".join(spaces)} if spaces else plants,
        "reason": reason or "?",
        "moment": moment_in_words(until, zone) if until is not None else "",
    }
    if until is not None:
        return _("Do not cut %(plants)s before %(moment)s: %(reason)s") % words
    if is_own:
        return _("Do not cut %(plants)s until it is lifted: %(reason)s") % words
    return _("Do not cut %(plants)s: %(reason)s, days to wait not noted; read the label first") % words


def moment_in_words(moment: datetime, zone: tzinfo | None = None) -> str:
    """Thu 10 Sep 2026, 16:30, by the farm's clock; `zone` as above."""
    return date_format(moment if zone is None else moment.astimezone(zone), "D j M Y, H:i")
