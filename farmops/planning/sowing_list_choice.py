"""What the grower says to a line of the sowing list: another number of trays, or not now."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.growing.models import Variety
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.planning.models import SowingChoice

MOST_PARTS = 500  # trays of one variety in one week: more is a slip of the finger


def choose_sowing(
    *, saying: Saying, variety: Variety, week: date, parts: int | None, proposed: float = 0.0, reason: str = ""
) -> Done:
    """Keep so many trays for a week, or none for now; the last word on a line counts.

    Parameters
    ----------
    saying : Saying
    variety : Variety
    week : date
        Its Monday.
    parts : int or None
        None: not now.
    proposed : float
        What the list said when it was chosen; stays beside it.
    reason : str

    Raises
    ------
    Refused
        If it is no number of trays, or the day is no Monday.
    """
    if week.weekday() != 0:
        raise ValueError(f"a week of the sowing list is named by its Monday, got {week}")
    if parts is not None and not 1 <= parts <= MOST_PARTS:
        raise Refused(
            _("Say how many: 1 to %(most)d. For none, press “Not now”.") % {"most": MOST_PARTS}, field="parts"
        )

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        save(SowingChoice(variety=variety, week=week, parts=parts, reason=reason.strip(), entry=entry))
        return _said(variety, week, parts, reason.strip()), {"proposed": proposed}

    return do_once(saying, Job.PLAN, write)


def parts_in_words(parts: float, part: str) -> str:
    """3 × half tray; in weeks that are not yet whole, 2.5 × half tray."""
    return f"{parts:.1f}".removesuffix(".0") + f" × {part}"


def _said(variety: Variety, week: date, parts: int | None, reason: str) -> str:
    facts = {"variety": variety.name, "day": day_in_words(week)}
    if parts is None:
        said = _("Not now: %(variety)s, week of %(day)s") % facts
    else:
        parts_words = parts_in_words(parts, variety.part)
        said = _("Chosen: %(parts)s %(variety)s, week of %(day)s") % {**facts, "parts": parts_words}
    return f"{said} ({reason})" if reason else said
