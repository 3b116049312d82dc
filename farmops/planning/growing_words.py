"""What is known of the plantings that stand and changes the figures, in words: one note for each kind."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from farmops.core.coming import Basis, Note, Outlook
from farmops.core.schedule import Planting, Way
from farmops.planning.amount_words import amount_in_words
from farmops.planning.standing import Growing

MOST_NAMES = 6
RECORDED = "recorded"
STILL_COUNTED = "past its best, still counted"
SOWN_FOR_THE_DARK = "sown to regrow in the dark weeks"
# In the order in which they are said: what wants doing first.
SENTENCES = {
    Note.DUE_NOT_MOVED: gettext_lazy("Due, but not noted as moved, so expected to move next week: %(names)s."),
    Note.PAST_ITS_BEST: gettext_lazy(
        "Past its best by the schedule, so no longer counted (note a walk if it is still good): %(names)s."
    ),
    STILL_COUNTED: gettext_lazy("Past its best by the schedule and not cut, still counted for this week: %(names)s."),
    Note.FINISHED: gettext_lazy("Seen as finished but not cleared, so it keeps its places until next week: %(names)s."),
    Note.STILL_PICKED: gettext_lazy(
        "Past the end of its picking by the schedule, still counted to the end of next week: %(names)s."
    ),
    Note.NO_STAYS: gettext_lazy("No stay is noted, so it is taken to stand where its schedule puts it: %(names)s."),
    Note.SEEN_ON_A_WALK: gettext_lazy("Forecast from what was seen on a walk, not from the plan: %(names)s."),
    RECORDED: gettext_lazy("Forecast from the real picks, not from the plan: %(names)s."),
    Note.REGROWS_IN_THE_DARK: gettext_lazy(
        "Counts on regrowth in the dark weeks, when little grows; do not promise it lightly: %(names)s."
    ),
    SOWN_FOR_THE_DARK: gettext_lazy(
        "To be sown for regrowth in the dark weeks, when little grows; do not promise it lightly: %(names)s."
    ),
}
IN_DAYS = (Note.DUE_NOT_MOVED, Note.STILL_PICKED, Note.REGROWS_IN_THE_DARK)
IN_AMOUNTS = (Note.PAST_ITS_BEST, Note.SEEN_ON_A_WALK)


def notes_on_growing(growing: Growing, sown_for_the_dark: Sequence[tuple[str, date]] = ()) -> list[str]:
    """One sentence for each kind of note, naming the plantings.

    Parameters
    ----------
    growing : Growing
    sown_for_the_dark : sequence of (variety, day)
        Sowings of the plan of which a later cutting is to come in the dark weeks.
    """
    named: dict[str, list[str]] = defaultdict(list)
    for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True):
        for kind, words in _of_planting(planting, outlook).items():
            named[kind].append(words)
    named[SOWN_FOR_THE_DARK] += [f"{variety} {day.isoformat()}" for variety, day in sown_for_the_dark]
    return [
        str(sentence) % {"names": names_in_words(named[kind])} for kind, sentence in SENTENCES.items() if named[kind]
    ]


def names_in_words(names: Sequence[str]) -> str:
    """At most six of them, then how many more."""
    words = ", ".join(names[:MOST_NAMES])
    more = len(names) - MOST_NAMES
    if more <= 0:
        return words
    return ngettext("%(names)s and %(count)d more", "%(names)s and %(count)d more", more) % {
        "names": words,
        "count": more,
    }


def _of_planting(planting: Planting, outlook: Outlook) -> Mapping[str, str]:
    """Kind of note to the planting's name with its figure."""
    name, unit = f"{planting.key} {planting.variety}", planting.schedule.unit
    figures: dict[Note, list[float]] = defaultdict(list)
    for note, figure in outlook.notes:
        figures[note].append(figure)
    found: dict[str, str] = {}
    for note, of_note in figures.items():
        kind: str = note
        if note is Note.PAST_ITS_BEST and planting.schedule.way is Way.CUT:
            kind = STILL_COUNTED
        if note in IN_DAYS:
            found[kind] = f"{name} ({_days(round(max(of_note)))})"
        elif note in IN_AMOUNTS:
            amount = sum(of_note) if note is Note.PAST_ITS_BEST else max(of_note)
            found[kind] = f"{name} ({_amount(amount, unit)})"
        else:
            found[kind] = name
    if recorded := _recorded(planting, outlook):
        found[RECORDED] = f"{name} ({recorded})"
    return found


def _days(days: int) -> str:
    return ngettext("%(days)d day", "%(days)d days", days) % {"days": days} if days else _("today")


def _recorded(planting: Planting, outlook: Outlook) -> str:
    """What the picks say beside what the plan said, of one whole harvest; "" where the plan is gone by."""
    by_day: dict[date, list[float]] = {}
    for coming in outlook.coming:
        if coming.basis is Basis.RECORDS:
            sums = by_day.setdefault(coming.first, [0.0, 0.0])
            sums[0] += coming.planned
            sums[1] += coming.amount
    if not by_day:
        return ""
    planned, amount = _first_largest(by_day.values())
    unit = planting.schedule.unit
    words = {"amount": _amount(amount, unit), "planned": _amount(planned, unit)}
    if planting.schedule.way is Way.PICKED:
        return _("%(amount)s a week as cut, plan %(planned)s") % words
    return _("%(amount)s as cut, plan %(planned)s") % words


def _first_largest(harvests: Iterable[list[float]]) -> list[float]:
    """A week begun or already picked holds less than a whole one."""
    return max(harvests, key=lambda harvest: (round(harvest[0], 9), round(harvest[1], 9)))


def _amount(amount: float, unit: str) -> str:
    return amount_in_words(Decimal(repr(amount)), unit, 2)
