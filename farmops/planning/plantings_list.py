"""All plantings that stand, in the order of a walk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from farmops.growing.natural_order import natural_key, spaces_in_short, walking_key
from farmops.planning.pick_list_words import blocked_in_words
from farmops.planning.standing_now import standing_now


@dataclass(frozen=True, slots=True)
class PlantingRow:
    """One line of the list.

    Attributes
    ----------
    where : str
        Its spaces; empty where nobody said.
    plants : int
        Still there.
    ready_on : date or None
        First day something is expected; today's or before is ready now.
    waits : tuple of str
        What of it must not be cut.
    """

    code: str
    variety: str
    where: str
    plants: int
    age_days: int
    ready_on: date | None
    waits: tuple[str, ...]


def plantings_list(today: date, of: str = "") -> Sequence[PlantingRow]:
    """Every standing planting, with a schedule or without; `of` keeps those whose variety or number holds it."""
    standing = standing_now(today)
    blocked = standing.blocked(today)
    ready = {outlook.key: outlook.ready for outlook in standing.growing.outlooks}
    rows = []
    for planting in standing.rows.plantings:
        code, variety = planting.planting, planting.variety
        if planting.state != "done" or (planting.cleared is not None and planting.cleared <= today):
            continue
        if of and of.casefold() not in f"{code} {variety}".casefold():
            continue
        balance = standing.balances[code]
        here = sorted((one.stay.space for one in balance.here), key=walking_key)
        first = walking_key(here[0]) if here else (1 << 15, "", natural_key(""))
        where = spaces_in_short(here)
        age = (today - planting.sown).days
        waits = tuple(blocked_in_words(one) for one in blocked.get(code, ()))
        row = PlantingRow(code, variety, where, balance.left, age, ready.get(code), waits)
        rows.append((first, natural_key(code), row))
    return [row for _first, _key, row in sorted(rows, key=lambda one: one[:2])]
