"""Spaces as a form names them: by key from a great button, by name where somebody chose one."""

import re
from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from farmops.growing.balance import Here
from farmops.growing.models import Space
from farmops.growing.natural_order import walking_key
from farmops.growing.room_for import Into
from farmops.journal.refusal import Refused


def into_text(into: Iterable[Into]) -> str:
    """What a great button sends: 12=18 13=18, keys of spaces and plants."""
    return " ".join(f"{one.space.pk}={one.plants}" for one in into)


def into_of_text(text: str) -> list[Into]:
    """What a great button sent; nothing for nothing. One query.

    Raises
    ------
    Refused
        If it is none of ours, or a space is gone.
    """
    pairs = [part.split("=") for part in text.split()]
    if not pairs:
        return []
    if any(len(pair) != 2 or not all(re.fullmatch(r"[0-9]{1,18}", one) for one in pair) for pair in pairs):
        raise Refused(_("That button was made by an older page. Open the page again."))
    spaces = Space.objects.select_related("kind").in_bulk([int(key) for key, _plants in pairs])
    if len(spaces) < len({int(key) for key, _plants in pairs}):
        raise Refused(_("A space of that button is there no more. Open the page again."))
    return [Into(spaces[int(key)], int(plants)) for key, plants in pairs]


def space_named(name: str) -> Space:
    """The space of a name, small and capital letters alike. One query.

    Raises
    ------
    Refused
        If none was chosen, or there is none of that name.
    """
    if not name.strip():
        raise Refused(_("Choose a space."), field="to_space")
    space = Space.objects.select_related("kind").filter(name__iexact=name.strip()).first()
    if space is None:
        raise Refused(_("There is no space %(name)s.") % {"name": name.strip()}, field="to_space")
    return space


def into_words(into: Sequence[Into]) -> list[str]:
    """N-3; or N-3 72, and N-4 48."""
    return [one.space.name if len(into) == 1 else f"{one.space.name} {one.plants}" for one in into]


def places_of_stand(here: Iterable[Here]) -> list[str]:
    """F-7 18, and F-8 12: where plants stand, each space once, as one comes to them."""
    plants: dict[Space, int] = {}
    for one in here:
        plants[one.stay.space] = plants.get(one.stay.space, 0) + one.plants
    return [f"{space.name} {plants[space]}" for space in sorted(plants, key=walking_key)]
