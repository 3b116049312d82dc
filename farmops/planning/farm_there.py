"""Nothing is worked out for a farm that is not there: an empty answer would read like a good one."""

from django.utils.translation import gettext as _

from farmops.planning.rows import FarmRows, Fault, FaultsFound


def check_there(rows: FarmRows) -> None:
    """Raises FaultsFound where no farm was read in yet, with how to do that."""
    if not rows.farm:
        remedy = _("Drop its sheets on the page “Sheets”, which gives blank ones too.")
        raise FaultsFound([Fault(_("farm"), None, "", _("There is no farm here yet."), remedy)])
