"""The order in which people look for names: 1, 2, 9, 10, 10a; n-1, N-2, N-10; Élan near Endive.

Sorting by the database differs from one to the other and puts N-10 before N-2; names are sorted here instead.
"""

import re
import unicodedata
from collections.abc import Sequence

from farmops.growing.models import Space

Part = tuple[int, int, str]
NaturalKey = tuple[tuple[Part, ...], str]
WalkKey = tuple[int, str, NaturalKey]


def natural_key(name: str) -> NaturalKey:
    """What to sort a name by: runs of digits as numbers, letters without accents and case; numbers first.

    The name itself stands last, so that two names that read alike keep one order.
    """
    plain = "".join(letter for letter in unicodedata.normalize("NFKD", name) if not unicodedata.combining(letter))
    parts = re.findall(r"[0-9]+|[^0-9\s]+", plain.casefold())
    return tuple((0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts), name


def walking_key(space: Space) -> WalkKey:
    """Where one comes to a space on a walk: kinds in the farm's order, then by name. Needs `space.kind` loaded."""
    return space.kind.walk_order, space.kind.name, natural_key(space.name)


def spaces_in_short(spaces: Sequence[Space]) -> str:
    """F-31, F-33 +3: the first two names of many, for a list that is read while walking."""
    names = list(dict.fromkeys(space.name for space in spaces))
    return ", ".join(names) if len(names) <= 2 else f"{', '.join(names[:2])} +{len(names) - 2}"
