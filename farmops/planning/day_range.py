"""The days that can be reckoned with: everything beyond them is a slip of the pen."""

from datetime import date

from django.utils.translation import gettext as _

from farmops.planning.rows import Fault, FaultsFound

FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2100, 12, 31)


def check_day(day: date) -> None:
    """FaultsFound if the day lies outside the range."""
    if not FIRST_DAY <= day <= LAST_DAY:
        words = {"first": FIRST_DAY, "last": LAST_DAY}
        raise FaultsFound(
            [
                Fault(
                    _("the day asked for"),
                    None,
                    "",
                    _("%(day)s cannot be meant.") % {"day": day},
                    _("Give a day from %(first)s to %(last)s.") % words,
                )
            ]
        )
