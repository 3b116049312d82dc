"""What one reading will write: new rows of the tables in the order in which they need each other."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import models
from django.utils.translation import gettext as _

from farmops.exchange.follow_plants import Followed
from farmops.exchange.plants_gone import Standing
from farmops.exchange.read_sheets.sorting import NewRow
from farmops.farm.models import ClosedDays, Farm
from farmops.growing.models import (
    Item,
    ItemPart,
    Leaving,
    Planting,
    Schedule,
    SeedLot,
    Space,
    SpaceKind,
    SpaceSpell,
    Stage,
    Stay,
    Variety,
    Walk,
)
from farmops.harvest.models import Lot, Pick
from farmops.journal.models import Entry, Job, Source
from farmops.planning.rows import Row
from farmops.selling.models import (
    BoxCount,
    MarketDay,
    MarketFact,
    MarketLine,
    Outlet,
    OutletClosedDays,
    Price,
    StandingOrder,
    Want,
)
from farmops.waiting.models import DoNotCut, Treatment

IN_ORDER: tuple[type[models.Model], ...] = (
    Farm, SpaceKind, Variety, Space, SpaceSpell, Schedule, Stage, SeedLot, Item, ItemPart, Outlet, OutletClosedDays,
    ClosedDays, Price, Entry, Planting, Stay, Leaving, Walk, Lot, Pick, Treatment, DoNotCut, MarketDay, MarketLine,
    MarketFact, StandingOrder, BoxCount, Want,
)  # fmt: skip


@dataclass(slots=True)
class ToWrite:
    """New rows by model.

    Attributes
    ----------
    rows : dict of model to its new rows
        What they point to stands in the tables, or among the rows of a model before theirs.
    made_of : dict of id(row) to NewRow
        The row of a sheet that a row of the tables was made of.
    followed : list of Followed
        Plantings of which plants came, moved or left; those in the tables are locked and looked at again.
    emptied : list of (Standing, NewRow)
        Stays of the tables whose last plants leave, and the row that says so.
    stopped : set of keys
        Lots that were stopped, for they hold what was cut inside a wait.
    """

    now: datetime
    rows: dict[type[models.Model], list[models.Model]] = field(default_factory=lambda: defaultdict(list))
    made_of: dict[int, NewRow[Row]] = field(default_factory=dict)
    entries: dict[int, Entry] = field(default_factory=dict)
    followed: list[Followed] = field(default_factory=list)
    emptied: list[tuple[Standing, NewRow[Row]]] = field(default_factory=list)
    stopped: set[int | None] = field(default_factory=set)

    def add(self, row: models.Model, made_of: NewRow[Row]) -> None:
        self.rows[type(row)].append(row)
        self.made_of[id(row)] = made_of

    def entry_of(self, row: NewRow[Row], day: date) -> Entry:
        """The entry of a row of a sheet; one each, so that each can be corrected or taken back by itself."""
        if (there := self.entries.get(id(row))) is not None:
            return there
        entry = Entry(
            once_key=row.once_key,
            body_hash=row.body_hash,
            job=Job.READ,
            source=Source.SHEET,
            farm_day=day,
            said_at=self.now,
            received_at=self.now,
            said=_said(row)[:300],
        )
        self.entries[id(row)] = entry
        self.rows[Entry].append(entry)
        return entry


def _said(row: NewRow[Row]) -> str:
    """Read from the sheet picks: P26-184, 2026-09-02, 12.5, lb."""
    return _("Read from the sheet %(sheet)s: %(what)s") % {
        "sheet": row.sheet,
        "what": ", ".join(list(row.texts.values())[:5]),
    }
