"""What a reading did, in words."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.read_sheets.take_in import TakenIn


def said_of(read: TakenIn, *, dry_run: bool = False) -> str:
    """One line for each sheet, then the sum: 10,000 added, 0 already there."""
    lines = []
    for sheet in dict.fromkeys((*read.added, *read.there)):
        added, there = read.added.get(sheet, 0), read.there.get(sheet, 0)
        lines.append(f"{sheet}: {_sum_of(added, there, dry_run=dry_run)}")
    lines.append(_sum_of(sum(read.added.values()), sum(read.there.values()), dry_run=dry_run))
    lines += notices_of(read)
    if dry_run:
        lines.append(_("Nothing was written."))
    return "\n".join(lines)


def notices_of(read: TakenIn) -> list[str]:
    """What is worth knowing besides the numbers of rows."""
    lines = []
    if read.without_place:
        lines.append(ngettext("%(n)d loss has no place: nobody said where the plants stood.",
                              "%(n)d losses have no place: nobody said where the plants stood.",
                              read.without_place) % {"n": read.without_place})  # fmt: skip
    if read.lots_stopped:
        lines.append(ngettext("%(n)d lot is stopped: it was cut inside a wait.",
                              "%(n)d lots are stopped: they were cut inside a wait.",
                              read.lots_stopped) % {"n": read.lots_stopped})  # fmt: skip
    return lines


def _sum_of(added: int, there: int, *, dry_run: bool) -> str:
    words = {"added": f"{added:,}", "there": f"{there:,}"}
    if dry_run:
        return _("%(added)s would be added, %(there)s already there") % words
    return _("%(added)s added, %(there)s already there") % words
