"""The evening: what came back and where it went. What nobody says stays unknown; none is said, not supposed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db import transaction
from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words, farm_zone, minute_of
from farmops.harvest.models import StockMove
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.line_troubles import AT_LINES, few_of
from farmops.selling.load_van import loaded_moves
from farmops.selling.locked_day import begin_at_stall, locked_day
from farmops.selling.market_facts import LEFTOVER, Kind, KnownLine, known_lines, place_in_words, plainly
from farmops.selling.models import MarketDay, MarketFact
from farmops.selling.typed_stock import with_unit

Amounts = Mapping[str, int]  # by where it went

MOST_NONE = 3  # items named of which none came back; more are counted


@dataclass(frozen=True, slots=True)
class CameBack:
    """What somebody says of one line.

    Attributes
    ----------
    amounts : mapping of str to int
        By where it went; {"left": 0} is none.
    seen : mapping of str to int
        What was known of it when it was typed; another figure that came in between is asked about.
    """

    amounts: Amounts
    seen: Amounts = field(default_factory=dict)


def came_back(
    *,
    saying: Saying,
    market_day: MarketDay,
    said: Mapping[int, CameBack],
    rest_none: bool = False,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Note what came back of each line (by its key); with `rest_none`: nothing of whatever is not known yet.

    A line noted before is put right: the entry that held it is replaced by one that holds its other lines as they were.

    Raises
    ------
    Refused
        If nothing is said that was not known, or the market did not or does not yet take place.
    NeedsYes
        "again": somebody noted another figure in the meantime; "more_back": more came back than was loaded. Each is
        told at its line.
    """
    with transaction.atomic():
        day = locked_day(market_day)
        if Entry.objects.filter(once_key=saying.key).exists():
            return _note(saying, day, {})
        known = {one.line.pk: one for one in known_lines(day)}
        _check(known, said, yes)
        fresh = _fresh(known, said, rest_none=rest_none)
        first: Done | None = None
        for number, (old, lines) in enumerate(_by_entry(known, fresh)):
            key = saying.key if number == 0 else f"{saying.key[:70]}+{number}"
            done = _note(replace(saying, key=key, corrects=old), day, lines)
            first = first or done
    if first is None:
        raise Refused(_("That is known already; nothing new was typed."))
    return first


def carried_over(day: MarketDay, entry: Entry) -> dict[int, Amounts]:
    """What an entry said of each line, by the line's key."""
    found: dict[int, dict[str, int]] = {}
    for fact in MarketFact.objects.filter(line__market_day=day, entry=entry, kind__in=LEFTOVER).order_by("pk"):
        there = found.setdefault(fact.line_id, {})
        there[fact.kind] = there.get(fact.kind, 0) + (fact.amount or 0)
    return dict(found)


def leftover_in_words(amounts: Amounts, unit: str) -> str:
    """6 taken home, 2 compost; none."""
    parts = [f"{with_unit(amount, unit)} {place_in_words(kind)}" for kind, amount in amounts.items() if amount]
    return ", ".join(parts) or _("none")


def _check(known: Mapping[int, KnownLine], said: Mapping[int, CameBack], yes: frozenset[str]) -> None:
    crossed, more = {}, {}
    for key, one in said.items():
        line = known.get(key)
        if line is None:
            raise Refused(_("One of these items was taken off the list. Open the page again; what you typed is here."))
        there = line.came_back
        if there and there not in (plainly(one.seen.items()), plainly(one.amounts.items())):
            crossed[key] = _crossed(line)
        if line.loaded is not None and sum(one.amounts.values()) > line.loaded:
            unit = line.line.unit
            words = {"back": with_unit(sum(one.amounts.values()), unit), "loaded": with_unit(line.loaded, unit)}
            more[key] = _("%(back)s of %(loaded)s loaded") % words
    if crossed and "again" not in yes:
        what = few_of({known[key].line.item.name: words for key, words in crossed.items()})
        raise NeedsYes(
            _("In the meantime it was noted: %(what)s. Put your figures in their place?") % {"what": what},
            question="again",
            offer={
                AT_LINES: {key: _("Noted meanwhile: %(what)s.") % {"what": words} for key, words in crossed.items()}
            },
        )
    if more and "more_back" not in yes:
        what = few_of({known[key].line.item.name: words for key, words in more.items()})
        raise NeedsYes(
            _("More came back than was loaded: %(what)s. Is that so?") % {"what": what},
            question="more_back",
            offer={
                AT_LINES: {
                    key: _("More came back than was loaded: %(what)s.") % {"what": words} for key, words in more.items()
                }
            },
        )


def _crossed(known: KnownLine) -> str:
    entry = known.of(*LEFTOVER)[-1].entry
    at = minute_of(entry.said_at, farm_zone())
    return _("%(amounts)s (%(by)s, %(when)s)") % {
        "amounts": leftover_in_words(known.came_back, known.line.unit),
        "by": entry.by or "?",
        "when": f"{at // 60:02d}:{at % 60:02d}",
    }


def _fresh(known: Mapping[int, KnownLine], said: Mapping[int, CameBack], *, rest_none: bool) -> dict[int, Amounts]:
    """What is said and was not known."""
    plain: dict[int, Amounts] = {key: plainly(one.amounts.items()) for key, one in said.items()}
    fresh = {key: amounts for key, amounts in plain.items() if known[key].came_back != amounts}
    if not rest_none:
        return fresh
    is_loaded = any(line.loaded is not None for line in known.values())
    for key, line in known.items():
        brought = line.loaded if is_loaded else 1
        if key not in said and not line.came_back and brought:
            fresh[key] = {Kind.LEFT.value: 0}
    return fresh


def _by_entry(
    known: Mapping[int, KnownLine], fresh: Mapping[int, Amounts]
) -> list[tuple[Entry | None, dict[int, Amounts]]]:
    """What is said by the entry it replaces: each entry is put right by one, and one holds what is new."""
    groups: dict[int | None, tuple[Entry | None, dict[int, Amounts]]] = {}
    for key, amounts in fresh.items():
        facts = known[key].of(*LEFTOVER)
        old = facts[-1].entry if facts and facts[-1].entry.job != Job.READ else None
        groups.setdefault(old.pk if old else None, (old, {}))[1][key] = amounts
    return list(groups.values())


def _note(saying: Saying, day: MarketDay, lines: Mapping[int, Amounts]) -> Done:
    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        return _write(entry, saying, day, lines)

    return do_once(saying, Job.CAME_BACK, write)


def _write(
    entry: Entry, saying: Saying, day: MarketDay, lines: Mapping[int, Amounts]
) -> tuple[str, Mapping[str, object]]:
    begin_at_stall(saying, entry, day)
    if saying.is_from_memory:
        change(entry, day, is_from_memory=True)
    every = {**(carried_over(day, saying.corrects) if saying.corrects else {}), **lines}
    known = {one.line.pk: one for one in known_lines(day, only=every)}
    moves = loaded_moves(day)
    for key, amounts in every.items():
        if key not in known:
            continue
        _write_facts(entry, known[key], amounts)
        _write_moves(entry, saying, known[key], amounts, moves)
    said = {
        known[key].line.item.name: leftover_in_words(amounts, known[key].line.unit) if any(amounts.values()) else ""
        for key, amounts in lines.items()
    }
    words = {"market": day.outlet.name, "day": day_in_words(day.held_on), "what": in_short(said)}
    return _("Came back from %(market)s, %(day)s: %(what)s") % words, {"market_day": day.pk}


def in_short(came_back: Mapping[str, str]) -> str:
    """By item, "" for none: those by name, but many of which none came back in one."""
    none = [item for item, words in came_back.items() if not words]
    some = [f"{item} {words}" for item, words in came_back.items() if words]
    if len(none) > MOST_NONE:
        return ", ".join([*some, _("none of %(n)d items") % {"n": len(none)}])
    return ", ".join([*some, *(_("%(item)s none") % {"item": item} for item in none)])


def _write_facts(entry: Entry, known: KnownLine, amounts: Amounts) -> None:
    """New rows; those that came with a sheet's other rows are altered, old and new noted."""
    read = [fact for fact in known.of(*LEFTOVER) if fact.entry.job == Job.READ]
    for kind, amount in amounts.items():
        there = next((fact for fact in read if fact.kind == kind), None) or next(
            (fact for fact in read if fact.kind not in amounts), None
        )
        if there is None:
            save(MarketFact(line=known.line, kind=kind, amount=amount, entry=entry))
        else:
            read.remove(there)
            change(entry, there, kind=kind, amount=amount)
    for fact in read:
        change(entry, fact, amount=0)


def _write_moves(entry: Entry, saying: Saying, known: KnownLine, amounts: Amounts, moves: Sequence[StockMove]) -> None:
    """What was taken home lies in the cold room again: the freshest lots, for the oldest were sold first."""
    home = amounts.get(Kind.HOME, 0)
    if any(fact.entry.job == Job.READ for fact in known.of(*LEFTOVER)):
        return
    facts = {
        "item": known.line.item,
        "unit": known.line.unit,
        "moved_on": saying.day,
        "why": StockMove.Why.CAME_BACK,
        "entry": entry,
    }
    for move in reversed([move for move in moves if move.item_id == known.line.item_id]):
        some = min(home, -move.amount)
        if some > 0:
            save(StockMove(lot_id=move.lot_id, amount=some, cut_on=move.cut_on, returns=move, **facts))
            home -= some
    if home > 0:
        save(StockMove(amount=home, **facts))
