"""Lifting a wait before its time, by somebody who says why."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from farmops.growing.balance import begin
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.waiting.models import DoNotCut, Lifted


def lift_wait(*, saying: Saying, wait: DoNotCut, reason: str) -> Done:
    """Let a planting or stay be cut after all.

    Raises
    ------
    Refused
        If nobody says why, or it is lifted or taken back already.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        planting = begin(entry, saying, wait.planting_id)
        if not reason.strip():
            raise Refused(_("Say why it may be cut after all."), field="reason")
        if not DoNotCut.objects.in_force().filter(pk=wait.pk).exists():
            raise Refused(_("That wait is lifted already."))
        save(Lifted(wait=wait, reason=reason.strip(), entry=entry))
        said = _("%(code)s %(variety)s may be cut again: %(reason)s (it waited because: %(because)s)") % {
            "code": planting.code,
            "variety": planting.variety.name,
            "reason": reason.strip(),
            "because": wait.reason,
        }
        return said, {"planting": planting.pk, "wait": wait.pk}

    return do_once(saying, Job.WAIT, write)
