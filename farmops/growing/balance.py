"""Plants balance: what was sown stands in stays or left them. Every deed takes plants through here, under a lock.

Rows are locked in key order, plantings before spaces, so that two deeds never wait for each other.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.quantities import shared_whole
from farmops.farm.days import day_in_words, farm_day
from farmops.growing.models import Leaving, Planting, Space, Stay
from farmops.journal.deed import Saying, change, save
from farmops.journal.models import Change, Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import turn_back


@dataclass(frozen=True, slots=True)
class Here:
    """So many plants that stand in one stay."""

    stay: Stay
    plants: int


@dataclass(frozen=True, slots=True)
class Balance:
    """One planting's plants: sown = in stays + not placed + lost + cleared + cut out + gone, not noted.

    Attributes
    ----------
    here : tuple of Here
        Stays in which plants stand, in order of their coming in.
    out : mapping of how to plants
        What left for good.
    """

    sown: int
    here: tuple[Here, ...]
    out: Mapping[str, int]

    @property
    def left(self) -> int:
        """Plants that should still be there."""
        return self.sown - sum(self.out.values())

    @property
    def in_stays(self) -> int:
        return sum(here.plants for here in self.here)

    @property
    def not_placed(self) -> int:
        """Plants that nobody said where they stand."""
        return self.left - self.in_stays

    def plants_in(self, stay: Stay) -> int:
        return next((here.plants for here in self.here if here.stay.pk == stay.pk), 0)


def lock_plantings(*plantings: int, beside: Sequence[str] = ()) -> list[Planting]:
    """Lock plantings in key order and read them, with what they point to by the names `beside`; inside a deed only."""
    keys = set(plantings)
    which = (
        Planting.objects.filter(pk__in=keys).order_by("pk") if len(keys) > 1 else Planting.objects.filter(pk=min(keys))
    )
    rows = which.select_for_update(of=("self",), no_key=True)
    return list(rows.select_related(*beside) if beside else rows)


def lock_spaces(*spaces: int) -> list[Space]:
    """Lock spaces in key order, after the plantings; inside a deed only."""
    return list(Space.objects.filter(pk__in=set(spaces)).order_by("pk").select_for_update(no_key=True))


def begin(entry: Entry, saying: Saying, *plantings: int) -> Planting:
    """Lock what a deed is about, take back what it corrects, and give the (first) planting as it then stands."""
    return begin_all(entry, saying, *plantings, beside=("variety",))[plantings[0]]


def begin_all(entry: Entry, saying: Saying, *plantings: int, beside: Sequence[str] = ()) -> dict[int, Planting]:
    """As `begin`, with all of them by their keys. What was locked is read again only where something was taken back."""
    if saying.corrects is None:
        return {one.pk: one for one in lock_plantings(*plantings, beside=beside)}
    lock_plantings(*plantings, *plantings_of(saying.corrects))
    turn_back(saying.corrects, entry)
    return {one.pk: one for one in lock_plantings(*plantings, beside=beside)}


def plantings_of(entry: Entry) -> set[int]:
    """Plantings that rows of an entry speak of."""
    return {
        *Stay.objects.filter(entry=entry).values_list("planting", flat=True),
        *Leaving.objects.filter(entry=entry).values_list("planting", flat=True),
        *Planting.objects.filter(entry=entry).values_list("pk", flat=True),
    }


def balances(
    plantings: Iterable[Planting], on: date | None = None, *, stays: Iterable[Stay] | None = None
) -> dict[int, Balance]:
    """Each planting's balance by its key, now or as it was in the evening of a day. Two queries.

    A loss of which nobody said where is taken from its stays in proportion. `stays`: all their live stays that are
    done, with space and kind, where they are known already; then it is one query.
    """
    plantings = list(plantings)
    keys = [planting.pk for planting in plantings]
    of_planting: dict[int, list[Stay]] = defaultdict(list)
    if stays is None:
        stays = Stay.objects.live().filter(planting__in=keys, state=Stay.State.DONE).select_related("space__kind")
    for stay in sorted(stays, key=lambda stay: (stay.from_on, stay.pk)):
        if on is None or stay.from_on <= on:
            of_planting[stay.planting_id].append(stay)
    leavings: dict[int, list[Leaving]] = defaultdict(list)
    for leaving in Leaving.objects.live().filter(planting__in=keys):
        if on is None or leaving.left_on <= on:
            leavings[leaving.planting_id].append(leaving)
    return {one.pk: balance_from(one.plants, of_planting[one.pk], leavings[one.pk]) for one in plantings}


def balance_of(planting: Planting) -> Balance:
    return balances([planting])[planting.pk]


def balance_from(sown: int, stays: Sequence[Stay], leavings: Sequence[Leaving]) -> Balance:
    """The balance of one planting from all its live stays, in order of coming in, and leavings."""
    there = {stay.pk: stay.plants for stay in stays}
    out: dict[str, int] = defaultdict(int)
    nowhere = 0
    for leaving in leavings:
        if leaving.how != Leaving.How.MOVED:
            out[leaving.how] += leaving.plants
        if leaving.stay_id is None:
            nowhere += leaving.plants
        elif leaving.stay_id in there:
            there[leaving.stay_id] -= leaving.plants
    open_stays = [stay for stay in stays if there[stay.pk] > 0]
    counts = [there[stay.pk] for stay in open_stays]
    not_placed = max(sown - sum(stay.plants for stay in stays if stay.came_from_id is None), 0)
    off = shared_whole(min(max(nowhere - not_placed, 0), sum(counts)), counts)
    here = tuple(
        Here(stay, plants - less) for stay, plants, less in zip(open_stays, counts, off, strict=True) if plants > less
    )
    return Balance(sown, here, dict(out))


def take(entry: Entry, here: Here, plants: int, how: Leaving.How, on: date, cause: str = "") -> Leaving:
    """Take plants out of a stay for good; the stay is over when none is left."""
    leaving = Leaving(
        planting_id=here.stay.planting_id,
        stay=here.stay,
        how=how,
        plants=plants,
        left_on=on,
        cause=cause,
        entry=entry,
    )
    save(leaving)
    if plants == here.plants:
        change(entry, here.stay, is_over=True)
    return leaving


def clear_what_is_left(planting: Planting) -> None:
    """What a correction leaves standing of a planting cleared since went with that clearing, and is among its rows."""
    if planting.cleared_on is None:
        return
    clearing = Change.objects.filter(table=planting._meta.label_lower, row=planting.pk, column="cleared_on")
    last = clearing.filter(entry__corrected_by=None).select_related("entry").order_by("-pk").first()
    for here in balance_of(planting).here:
        take(last.entry if last else planting.entry, here, here.plants, Leaving.How.CLEARED, planting.cleared_on)


def check_day(saying: Saying, *after: tuple[date, str]) -> None:
    """A job is done today or was done before, and not before what it rests on; `after`: day and what began on it."""
    if saying.day > farm_day(saying.now):
        raise Refused(
            _("%(day)s lies ahead. Note it when it is done.") % {"day": day_in_words(saying.day)}, field="day"
        )
    for day, what in after:
        if saying.day < day:
            raise Refused(
                _("%(what)s only on %(first)s, so not yet on %(day)s. Put the day right.")
                % {"what": what, "first": day_in_words(day), "day": day_in_words(saying.day)},
                field="day",
            )


def check_standing(planting: Planting) -> None:
    """Something can be done to plants that were sown and not cleared."""
    if planting.state != Planting.State.DONE:
        raise Refused(_("%(code)s is not sown.") % {"code": planting.code})
    if planting.cleared_on is not None:
        raise Refused(
            _("%(code)s was cleared on %(day)s. Take that back first if plants still stand.")
            % {"code": planting.code, "day": day_in_words(planting.cleared_on)}
        )


def check_plants(plants: int, here: int, where: str) -> None:
    """So many plants can leave a place where so many stand."""
    if plants < 1:
        raise Refused(_("Say how many: 1 or more."), field="plants")
    if plants > here:
        if here == 0:
            raise Refused(_("No plants are left in %(where)s: somebody took them since.") % {"where": where})
        raise Refused(
            ngettext(
                "%(here)d plant is left in %(where)s, not %(plants)d.",
                "%(here)d plants are left in %(where)s, not %(plants)d.",
                here,
            )
            % {"here": here, "where": where, "plants": plants},
            field="plants",
            offer={"plants": here},
        )
