"""What a pick must know of a planting: when it should be ready, what it must wait for, what it usually gives."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Avg, Q
from django.utils.translation import gettext as _

from farmops.core.quantities import NG, is_mass, unit_name
from farmops.growing.models import Planting, Stay, Walk
from farmops.growing.natural_order import walking_key
from farmops.harvest.forms import PickForm
from farmops.harvest.models import Pick
from farmops.harvest.pick_crop import CutFrom, cut_at, pick_crop
from farmops.harvest.pick_sheets import list_cut_for
from farmops.journal.deed import Done, Saying
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.planning.from_tables import growing_rows
from farmops.planning.own_pace import OWN_DAYS
from farmops.planning.standing import growing_of
from farmops.waiting.models import DoNotCut, Treatment
from farmops.waiting.waits_for import Wait, Waits, waits_for


@dataclass(frozen=True, slots=True)
class Usual:
    """What a planting gives at once, roughly; far more is asked about. [ng, counts]"""

    mass_ng: int | None
    count: int | None


def note_pick(saying: Saying, planting: Planting, form: PickForm) -> Done:
    """Note what the form of a pick says of a planting, and of those in the same crate.

    Raises
    ------
    Refused, NeedsYes
        As `pick_crop`; also where it names a planting that is none.
    """
    typed = form.cleaned_data
    if typed["planting"].strip() and typed["planting"].strip().casefold() != planting.code.casefold():
        raise Refused(_("There is no planting %(code)s.") % {"code": typed["planting"].strip()}, field="planting")
    others = [(other, share) for other, share in form.in_the_crate if other.pk != planting.pk]
    parts = cut_from(
        [(planting, typed["parts"] or 1), *others],
        day=saying.day,
        moment=cut_at(saying, form.minute),
        stay=form.chosen_stay,
        corrects=saying.corrects,
    )
    usual = usual_of(planting, saying.corrects)
    cut_for = None
    if saying.corrects is None:
        cut_for = list_cut_for(planting, form.chosen_stay, saying.day, form.list_day)
    return pick_crop(
        saying=saying,
        cut_from=parts,
        cut=replace(form.cut, usual_ng=usual.mass_ng, usual_count=usual.count),
        minute=form.minute,
        cutting=typed["cutting"],
        cut_for=cut_for,
        yes=form.answered,
    )


def cut_from(
    parts: Sequence[tuple[Planting, int]],
    *,
    day: date,
    moment: datetime,
    stay: Stay | None = None,
    corrects: Entry | None = None,
) -> list[CutFrom]:
    """The plantings of one crate with what is known of each on that day; the first may say where it was cut.

    Parameters
    ----------
    parts : sequence of (Planting, share)
    day : date
    moment : datetime
        When it was cut: waits that were over by then are over.
    stay : Stay or None
    corrects : Entry or None
        The pick that is replaced; it tells nothing of when the planting was ready.
    """
    plantings = [planting for planting, _share in parts]
    ready = _ready_on(plantings, day, corrects)
    waits = waits_for(plantings, moment) if _may_have_to_wait(plantings) else {}
    found = []
    for number, (planting, share) in enumerate(parts):
        where = stay if number == 0 else None
        wait = _longest(waits.get(planting.pk), where)
        found.append(
            CutFrom(
                planting=planting,
                stay=where,
                share=share,
                ready_on=ready.get(planting.pk),
                wait_until=wait.until if wait else None,
                wait_reason=wait.reason if wait else "",
                wait_is_own=wait is not None and wait.wait is not None,
                wait_in=_places_of(wait, waits[planting.pk], planting) if wait else (),
            )
        )
    return found


def _longest(waits: Waits | None, stay: Stay | None) -> Wait | None:
    """The wait that counts where it is cut: of all that stands in that space, or of any where nobody says which."""
    if waits is None:
        return None
    if stay is None:
        return waits.longest()
    here = Stay.objects.filter(planting=stay.planting_id, space=stay.space_id).values_list("pk", flat=True)
    found = [wait for key in here if (wait := waits.longest(key)) is not None]
    return max(found, key=lambda wait: wait.last_first, default=waits.longest(stay.pk))


def _places_of(wait: Wait, waits: Waits, planting: Planting) -> tuple[str, ...]:
    """In which of its spaces it holds, in walking order."""
    here = Stay.objects.live().filter(planting=planting, state=Stay.State.DONE, is_over=False)
    return waits.spaces_of(wait, sorted(here.select_related("space__kind"), key=lambda one: walking_key(one.space)))


def _may_have_to_wait(plantings: Iterable[Planting]) -> bool:
    """Whether anything was ever noted that could make them wait; most often nothing was, and nothing is reckoned."""
    keys = [planting.pk for planting in plantings]
    treated = Q(planting__in=keys) | Q(space__stays__planting__in=keys)
    waits = DoNotCut.objects.in_force().filter(planting__in=keys)
    return waits.exists() or Treatment.objects.live().filter(treated).exists()


def _ready_on(plantings: Sequence[Planting], day: date, corrects: Entry | None) -> dict[int, date]:
    """The first good day of those that nothing has proven ready by then."""
    proven = _proven_ready(plantings, day, corrects)
    open_ones = {planting.code: planting for planting in plantings if planting.pk not in proven}
    if not open_ones:
        return {}
    # How long the variety really takes here, is told by its other plantings.
    siblings = Q(variety__in={one.variety_id for one in open_ones.values()}, sown_on__gte=day - timedelta(OWN_DAYS))
    rows = growing_rows(only=siblings | Q(code__in=list(open_ones)))
    growing = growing_of(rows, day)
    return {
        open_ones[planting.key].pk: outlook.ready
        for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True)
        if planting.key in open_ones and outlook.ready is not None
    }


def _proven_ready(plantings: Iterable[Planting], day: date, corrects: Entry | None) -> set[int]:
    """Plantings that were cut already by that day, or seen ready on a walk: nothing has to be reckoned."""
    keys = [planting.pk for planting in plantings]
    picks = Pick.objects.live().filter(planting__in=keys, picked_on__lte=day)
    if corrects is not None:
        picks = picks.exclude(entry=corrects)
    seen = Walk.objects.live().filter(planting__in=keys, seen_on__lte=day, ready__gt=0)
    return {*picks.values_list("planting", flat=True), *seen.values_list("planting", flat=True)}


def usual_of(planting: Planting, corrects: Entry | None = None) -> Usual:
    """By what it gave so far; before its first pick by all its plants could give."""
    picks = Pick.objects.live().filter(planting=planting)
    if corrects is not None:
        picks = picks.exclude(entry=corrects)
    given = picks.aggregate(mass=Avg("mass_ng"), count=Avg("count"))
    mass_ng, count = given["mass"], given["count"]
    schedule = planting.schedule
    if schedule is not None:
        all_of_it = planting.plants * schedule.units_per_plant
        if is_mass(schedule.unit):
            mass_ng = mass_ng or all_of_it * NG[unit_name(schedule.unit)]
        else:
            count = count or all_of_it
    return Usual(int(mass_ng) if mass_ng else None, int(count) if count else None)
