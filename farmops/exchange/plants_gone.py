"""One stay while its plants are followed, and what went from it; what went may be found to have gone from another."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from farmops.growing.models import Leaving
from farmops.planning import rows

How = Leaving.How


@dataclass(slots=True, eq=False)
class Gone:
    """Plants that left a stay: how, when, where to, and the row that says so (None: the stay's own)."""

    how: How
    plants: int
    day: date
    to: "Standing | None" = None
    row: rows.Row | None = None


@dataclass(slots=True, eq=False)
class Standing:
    """One stay while its plants are followed.

    Attributes
    ----------
    row : rows.Stay
        Of plants out of several stays, the part that came out of one.
    said : rows.Stay
        The row as it stands in its sheet.
    left : int
        Plants that are still to be accounted for.
    end : date or None
        Day by which all had left.
    pk : int or None
        Set where it stands in the tables already.
    """

    row: rows.Stay
    said: rows.Stay
    left: int
    end: date | None
    pk: int | None = None
    came_from: "Standing | None" = None
    gone: list[Gone] = field(default_factory=list)

    @property
    def is_planned(self) -> bool:
        return self.row.state == "planned"

    def holds(self, day: date) -> bool:
        return self.row.from_day <= day and (self.end is None or self.end >= day)

    def take(self, gone: Gone) -> None:
        self.left -= gone.plants
        self.gone.append(gone)

    def take_more(self, gone: Gone) -> None:
        """Of what was taken last, where the same row says so."""
        last = self.gone[-1] if self.gone else None
        if last is not None and last.row is gone.row:
            last.plants += gone.plants
            self.left -= gone.plants
        else:
            self.take(gone)


def make_room(stay: Standing, plants: int, stays: Sequence[Standing], seen: Collection[Standing]) -> int:
    """Let what was cut here, else what was lost here, have gone from stays that ended, and what went there from others.

    Parameters
    ----------
    stay : Standing
    plants : int
        That should be left in it and are not.
    stays : sequence of Standing
        All of the planting.
    seen : collection of Standing
        Those that room is being made in.

    Returns
    -------
    int
        For so many room was made.
    """
    made = 0
    for gone in sorted(stay.gone, key=lambda gone: (gone.how == How.MOVED, gone.how != How.CUT)):
        for other in stays:
            least = gone.plants if gone.to else 1  # plants of a stay came from one place, all of them
            some = max(min(plants - made, gone.plants), least)
            if made >= plants or not gone.plants or other in seen or not _may_have_gone(gone, stay, other):
                continue
            if other.left < some:
                make_room(other, some - other.left, stays, {*seen, other})
            some = min(some, other.left)
            if some >= least:
                part = replace(gone, plants=some)
                gone.plants -= some
                stay.left += some
                made += some
                if gone.to:
                    other.take(part)
                    gone.to.came_from = other
                else:
                    other.take_more(part)
    stay.gone = [one for one in stay.gone if one.plants]
    return made


def _may_have_gone(gone: Gone, stay: Standing, other: Standing) -> bool:
    """Whether what went from one stay may have gone from another, which ended."""
    if gone.row is None or other.end is None or other.pk is not None or not other.holds(gone.day):
        return False
    if isinstance(gone.row, rows.Pick | rows.Loss):
        return gone.row.space in {"", other.row.space}
    before: Standing | None = other
    while before is not None and before is not gone.to:
        before = before.came_from
    return before is None and other.row.space == stay.row.space
