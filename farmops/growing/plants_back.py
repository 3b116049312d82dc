"""Plants that stand again where they had left, because an entry was taken back or put right: is there room?"""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from farmops.farm.days import farm_day
from farmops.growing.balance import lock_plantings, lock_spaces, plantings_of
from farmops.growing.ground import rooms_of
from farmops.growing.models import Leaving, Space, Stay
from farmops.growing.places import HARDLY, Clash, SpaceRoom, places_in_words, places_text
from farmops.journal.deed import change
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused


def lock(entry: Entry) -> None:
    """Nobody moves, cuts or clears these plants while their entry is being taken back."""
    lock_plantings(*plantings_of(entry))


def check(entry: Entry, because_of: Entry, because: str) -> None:
    """Refuse where plants come back into a space that is too full for them, unless somebody says why it may be.

    The word is kept with those plants and shown wherever the space is. What is only planned shows as a clash, here too.

    Raises
    ------
    Refused
        With the numbers of the day on which most is missing.
    """
    back = _came_back(entry, because_of)
    words, over_full = [], set[int]()
    for room, clashes in too_full_for(back, farm_day(because_of.received_at)):
        words.append(
            _("%(said)s Move plants out of it first, so that %(over)s come free, or say why it may be over-full.")
            % {"said": in_numbers(room, clashes), "over": places_in_words(_worst(clashes).over)}
        )
        over_full |= {stay.pk for clash in clashes for stay in clash.stays} & set(back)
    if words and not because.strip():
        raise Refused(" ".join(words), field="because")
    for stay in Stay.objects.filter(pk__in=over_full).order_by("pk"):
        change(because_of, stay, over_full_because=because.strip())


def too_full_for(back: Mapping[int, int], today: date) -> list[tuple[SpaceRoom, list[Clash]]]:
    """Spaces with no room for plants that stand in them again, and when; `back`: their stays, each with its space.

    Inside a deed only: the spaces are locked.
    """
    spaces = Space.objects.select_related("kind").in_bulk([one.pk for one in lock_spaces(*back.values())])
    rooms = rooms_of(spaces.values(), today) if spaces else {}
    known = [rooms[key] for key in sorted(spaces) if rooms[key].capacity]  # where no figure was noted it is not 0
    found = [(room, unexplained(room, today, back)) for room in known]
    return [(room, clashes) for room, clashes in found if clashes]


def unexplained(room: SpaceRoom, today: date, back: Collection[int]) -> list[Clash]:
    """Where more stands than there is room for, some of it came back, and no word given so far covers it.

    A word covers the places of the plants that it was said of.
    """
    done = replace(room, occupants=tuple(one for one in room.occupants if not one.is_planned))
    places = {one.stay.pk: one.places for one in done.occupants}
    return [
        clash
        for clash in done.clashes(today)
        if any(stay.pk in back for stay in clash.stays)
        and clash.over > sum(places[stay.pk] for stay in clash.stays if stay.over_full_because) + HARDLY
    ]


def _came_back(entry: Entry, because_of: Entry) -> dict[int, int]:
    """Stays in which more plants stand than before, with their spaces: what comes in its place may take as many."""
    plants: Counter[int] = Counter()
    for leaving in Leaving.objects.filter(entry__in=[entry, because_of]).exclude(stay=None):
        plants[leaving.stay_id or 0] += leaving.plants if leaving.entry_id == entry.pk else -leaving.plants
    more = [key for key, number in plants.items() if number > 0]
    return dict(Stay.objects.live().filter(pk__in=more).values_list("pk", "space"))


def in_numbers(room: SpaceRoom, clashes: Collection[Clash]) -> str:
    """N-1 has 18 places; with this 24 would be taken on Mon 4 May."""
    clash = _worst(clashes)
    places = room.places(clash.from_on)
    return _("%(space)s has %(places)s; with this %(taken)s would be taken on %(day)s.") % {
        "space": room.space.name,
        "places": places_in_words(places),
        "taken": places_text(places + clash.over),
        "day": date_format(clash.from_on, "D j M"),
    }


def _worst(clashes: Collection[Clash]) -> Clash:
    """Where most is missing, the first of equals."""
    return max(clashes, key=lambda clash: (round(clash.over, 6), -clash.from_on.toordinal()))
