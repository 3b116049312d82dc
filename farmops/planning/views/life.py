"""The picture of a planting's life, from what its page knows."""

from collections.abc import Sequence
from datetime import date, timedelta

from farmops.growing.models import Stay
from farmops.planning.planting_page import PlantingPage, StayRow
from farmops.web.charts import Life, LifeSpell

LONGEST = timedelta(days=1000)  # shown on the picture
AFTER = timedelta(days=3)


def life_of(page: PlantingPage) -> Life:
    """Spells that overlap stand in rows of their own; the weeks go on to the last harvest expected.

    Stays of the very same days are one spell: the list below the picture has each of them.
    """
    planting = page.planting
    spells = in_rows(_spells(page))
    picks = [row.day for row in page.picks if row.is_live]
    ends = [spell.end for spell in spells] + picks + [planting.cleared_on or page.today]
    if page.followed is not None:
        ends += [one.last for one in page.followed[1].coming]
    span = (page.ready.span.low, page.ready.span.usual, page.ready.span.high) if page.ready else None
    if span is not None:
        ends.append(span[2])
    return Life(
        first=planting.sown_on,
        last=min(max(ends) + AFTER, planting.sown_on + LONGEST),
        spells=spells,
        ready=span,
        picks=tuple(picks),
        today=None if planting.cleared_on is not None else page.today,
    )


def in_rows(spells: Sequence[LifeSpell]) -> list[LifeSpell]:
    """Each in the first row that is free when it begins."""
    rows: list[date] = []
    placed = []
    for spell in spells:
        row = next((number for number, end in enumerate(rows) if end <= spell.first), len(rows))
        rows[row : row + 1] = [spell.end]
        placed.append(LifeSpell(row, spell.first, spell.end, spell.words, spell.is_ahead))
    return placed


def _spells(page: PlantingPage) -> list[LifeSpell]:
    found: dict[tuple[date, date, bool], list[StayRow]] = {}
    for row in page.stays:
        is_ahead = row.stay.state == Stay.State.PLANNED
        end = row.gone_on or (row.stay.planned_to_on if is_ahead else None) or page.today
        found.setdefault((row.stay.from_on, end, is_ahead), []).append(row)
    return [LifeSpell(0, first, end, _words(rows), is_ahead=is_ahead) for (first, end, is_ahead), rows in found.items()]


def _words(rows: Sequence[StayRow]) -> str:
    """F-12 · 14, or F-12 +10 · 128: short, for the next spell begins beside it."""
    names = list(dict.fromkeys(row.stay.space.name for row in rows))
    more = f" +{len(names) - 1}" if len(names) > 1 else ""
    return f"{names[0]}{more} · {sum(row.plants for row in rows)}"
