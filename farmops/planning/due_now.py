"""Due now: today's jobs in the order of a walk: pick, move, sow, walk past, market, what came back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext as _

from farmops.core.coming import Outlook
from farmops.core.schedule import Planting
from farmops.growing.ground_now import LATE, remembered
from farmops.growing.natural_order import WalkKey, natural_key, spaces_in_short, walking_key
from farmops.harvest.amounts_shown import figure, with_unit
from farmops.harvest.models import PickLine
from farmops.harvest.pick_sheets import COLUMNS, LineDone, done_of
from farmops.journal.models import Entry, Job
from farmops.planning.pick_list_words import blocked_in_words
from farmops.planning.picking_waits import Blocked
from farmops.planning.standing_now import MoveDue, Standing, moves_due, standing_now
from farmops.selling.market_facts import LOADED
from farmops.selling.models import MarketDay, MarketFact

WALKED_WITHIN = 6  # days; a planting near its day is looked at every week
NEAR = 10  # days before the first good day to cut
MOST_ENTRIES = 300
NOT_CLOSED = 14  # days for which a market evening is asked about


class State(StrEnum):
    OPEN = "open"
    HALF = "half"
    DONE = "done"
    WAIT = "wait"


@dataclass(frozen=True, slots=True)
class PickDue:
    """A line of today's pick list.

    Attributes
    ----------
    left : str
        What is still to cut of it, as one would type it.
    in_words : str
        All of it: 24 heads.
    done_in_words : str
        What is cut of it already; empty for nothing.
    waits : tuple of str
        Why it must not be cut now.
    """

    line: PickLine
    left: str
    in_words: str
    done_in_words: str
    state: State
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WalkDue:
    """A planting to look at: where it stands, since when or until when it is ready, when somebody last looked."""

    planting: Planting
    where: str
    ready_on: date | None
    last_on: date | None


@dataclass(frozen=True, slots=True)
class SowDue:
    """A planned sowing; `late` days behind its day."""

    code: str
    variety: str
    plants: int
    planned_on: date
    late: int


class Noted(NamedTuple):
    """Columns of an entry; `corrected_by` is the key of the one that replaced it."""

    pk: int
    once_key: str
    job: str
    farm_day: date
    said: str
    corrected_by: int | None


@dataclass(frozen=True, slots=True)
class DoneToday:
    """What was written down today, and the newest entry that can still be taken back."""

    jobs: Sequence[tuple[str, int]]
    newest: Noted | None


@dataclass(frozen=True, slots=True)
class DueNow:
    """All of it.

    Attributes
    ----------
    has_list : bool
        A pick list was made for today.
    markets : sequence of MarketDay
        Today's and tomorrow's, to load or to sell at.
    evenings : sequence of MarketDay
        Held, and nobody has said what came back.
    """

    today: date
    has_list: bool
    picks: Sequence[PickDue]
    moves: Sequence[MoveDue]
    sowings: Sequence[SowDue]
    walks: Sequence[WalkDue]
    markets: Sequence[MarketDay]
    evenings: Sequence[MarketDay]
    done: DoneToday

    @property
    def open_jobs(self) -> int:
        waiting = sum(one.state in {State.OPEN, State.HALF} for one in self.picks)
        others = (self.moves, self.sowings, self.walks, self.markets, self.evenings)
        return waiting + sum(len(jobs) for jobs in others)


def due_now(today: date) -> DueNow:
    """Today's jobs. What no list asks for is gathered once after each entry."""
    entries = _newest_entries()
    key = (today, tuple((one.pk, one.once_key) for one in entries[:LATE]))
    standing = standing_now(today, key)
    lines = _todays_lines(today)
    moves, walks, (markets, evenings) = remembered(
        "due without a list", today, lambda: (_moves(standing), _walks(standing), _markets(today)), key=key
    )
    return DueNow(
        today=today,
        has_list=bool(lines),
        picks=_picks(lines, standing, today) if lines else [],
        moves=moves,
        sowings=_sowings(standing),
        walks=walks,
        markets=markets,
        evenings=evenings,
        done=_done(entries, today),
    )


def _todays_lines(today: date) -> list[PickLine]:
    """Lines of the newest version of today's list, in its order. One query."""
    lines = list(
        PickLine.objects.filter(sheet__pick_on=today)
        .select_related("sheet", "planting__variety", "stay__space", "item")
        .only("sheet__pick_on", "sheet__version", *COLUMNS)
        .order_by("-sheet__version", "position")
    )
    return [line for line in lines if line.sheet_id == lines[0].sheet_id]


def _picks(lines: Sequence[PickLine], standing: Standing, today: date) -> list[PickDue]:
    blocked = standing.blocked(today)
    done = done_of(lines, lines[0].sheet)
    return [_pick(done[line.pk], blocked) for line in lines if line.pk in done]


def _pick(done: LineDone, blocked: Mapping[str, Sequence[Blocked]]) -> PickDue:
    line = done.line
    where = line.stay.space.name if line.stay else ""
    told = blocked.get(line.planting.code, ()) if line.planting and not done.is_done else ()
    waits = tuple(blocked_in_words(one) for one in told if one.holds_in(where))
    if done.is_done:
        state = State.DONE
    elif waits:
        state = State.WAIT
    else:
        state = State.HALF if done.done else State.OPEN
    return PickDue(
        line=line,
        left=figure(done.left, line.unit),
        in_words=with_unit(line.amount, line.unit),
        done_in_words=with_unit(done.done, line.unit) if done.done else "",
        state=state,
        waits=waits,
    )


def _moves(standing: Standing) -> list[MoveDue]:
    return sorted(moves_due(standing, standing.today), key=lambda one: walking_key(one.here.stay.space))


def _sowings(standing: Standing) -> list[SowDue]:
    return [
        SowDue(row.planting, row.variety, row.plants, row.sown, (standing.today - row.sown).days)
        for row in standing.planned()
        if row.sown <= standing.today
    ]


def _walks(standing: Standing) -> list[WalkDue]:
    """Plantings near their day, or past it, that nobody has looked at this week."""
    found: list[tuple[WalkKey | None, WalkDue]] = []
    for planting, outlook in zip(standing.growing.plantings, standing.growing.outlooks, strict=True):
        last_on = max((walk.day for walk in planting.walks), default=None)
        if last_on is not None and (standing.today - last_on).days <= WALKED_WITHIN:
            continue
        if not _is_near(outlook, standing.today):
            continue
        here = [one.stay.space for one in standing.balances[planting.key].here]
        here.sort(key=walking_key)
        first = walking_key(here[0]) if here else None
        found.append((first, WalkDue(planting, spaces_in_short(here), outlook.ready, last_on)))
    found.sort(key=lambda one: (one[0] is None, one[0] or (0, "", natural_key("")), natural_key(one[1].planting.key)))
    return [due for _first, due in found]


def _is_near(outlook: Outlook, today: date) -> bool:
    near = today + timedelta(days=NEAR)
    return any(coming.first <= near and coming.last >= today for coming in outlook.coming)


def _markets(today: date) -> tuple[list[MarketDay], list[MarketDay]]:
    """Those to go to, loaded or not, and those to close. One query."""
    loaded = MarketFact.objects.live().filter(line__market_day=OuterRef("pk"), kind__in=LOADED)
    days = (
        MarketDay.objects.filter(
            held_on__gte=today - timedelta(days=NOT_CLOSED), held_on__lte=today + timedelta(days=1)
        )
        .filter(closed_entry=None, entry__corrected_by=None)
        .exclude(status=MarketDay.Status.CALLED_OFF)
        .exclude(Q(held_on__lt=today) & ~Q(lines__facts__kind=MarketFact.Kind.BROUGHT))
        .select_related("outlet")
        .annotate(is_loaded=Exists(loaded))
        .distinct()
    )
    in_order = sorted(days, key=lambda one: (one.held_on, one.opens_minute, natural_key(one.outlet.name)))
    return [one for one in in_order if one.held_on >= today], [one for one in in_order if one.held_on <= today]


def _newest_entries() -> list[Noted]:
    """More than a busy day has, newest first, whether they count or not. One query."""
    return list(map(Noted._make, Entry.objects.order_by("-pk").values_list(*Noted._fields)[:MOST_ENTRIES]))


def _done(entries: Sequence[Noted], today: date) -> DoneToday:
    """What was written down today and still counts."""
    live = [
        entry
        for entry in entries
        if entry.farm_day == today and entry.job not in {Job.READ, Job.UNDO} and entry.corrected_by is None
    ]
    counts: dict[str, int] = {}
    for entry in live:
        counts[entry.job] = counts.get(entry.job, 0) + 1
    return DoneToday([(_in_words(job), count) for job, count in counts.items()], live[0] if live else None)


def _in_words(job: str) -> str:
    words: Iterable[tuple[str, object]] = Job.choices
    return str(dict(words).get(job, _("job")))
