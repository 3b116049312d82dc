"""Tonight's pick list, made from the tables and written down as a version: worked out once, read by all."""

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from farmops.core.quantities import NG, is_mass, rounded, shared_whole, unit_name
from farmops.growing.balance import Here, balances
from farmops.growing.models import Item, Planting, Schedule
from farmops.growing.natural_order import natural_key, walking_key
from farmops.harvest.amounts_shown import with_unit
from farmops.harvest.models import PickLine, PickSheet
from farmops.planning.day_needs import is_harvest_day
from farmops.planning.farm_there import check_there
from farmops.planning.from_tables import farm_rows
from farmops.planning.pick_list_words import blocked_in_words, day_in_words, mix_in_words, without_day_in_words
from farmops.planning.picking import CutLine, ItemLine, PickList, Source, pick_list
from farmops.planning.picking_stock import Taken
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver
from farmops.planning.stored_answers import HISTORY
from farmops.planning.tonight_stock import cold_room_for

TENTHS = 10  # weights to cut stand on the list to a tenth
LITTLE = 20  # a weight below one so-manieth of what is cut of its variety is not worth the walk
LONGEST_WORDS = 300
TRIES = 5


@dataclass(frozen=True, slots=True)
class _Tables:
    """What the lines point to, by name."""

    plantings: Mapping[str, Planting]
    here: Mapping[str, Sequence[Here]]  # where they may be cut
    waiting: Set[str]  # plantings of which something must not be cut
    items: Mapping[str, Item]


def make_sheet(*, day: date, now: datetime, solver: Solver = solve_apart) -> PickSheet:
    """Work the list of a day out and write it down as its next version.

    Raises
    ------
    FaultsFound
        If something wanted has no price, or there is no farm yet.
    SolverFailed
        If what is short could not be shared out.
    """
    rows = farm_rows(since=day - HISTORY)
    check_there(rows)
    lines = lines_for(rows, day, solver)
    for _again in range(TRIES):
        try:
            with transaction.atomic():
                return _write(day, now, lines)
        except IntegrityError:  # two phones at once: each version is one
            continue
    raise RuntimeError(f"no version of {day} could be written in {TRIES} tries")


def lines_for(rows: FarmRows, day: date, solver: Solver = solve_apart) -> list[PickLine]:
    """The lines of a day's list, in their order, not stored."""
    cold_room = cold_room_for(rows, day)
    answer = pick_list(rows, day, solver=solver, stock=cold_room.stock)
    tables = _tables(answer)
    cuts, too_little = _worth_a_walk(_cut_lines(rows, answer, tables))
    lines = [
        *_stock_lines(answer, tables),
        *cuts,
        *(_pack_line(rows, answer, line, tables) for line in answer.items),
        *(_note(blocked_in_words(one), tables.plantings.get(one.planting)) for one in answer.blocked),
        *(_note(without_day_in_words(one)) for one in answer.needs.without_day),
        *(_note(words) for words in cold_room.left_out),
        *(_note(words) for words in too_little),
        *(_note(words) for words in _no_harvest(rows, day)),
    ]
    for position, line in enumerate(lines, 1):
        line.position = position
    return lines


def _no_harvest(rows: FarmRows, day: date) -> list[str]:
    if is_harvest_day(rows, day):
        return []
    return [_("%(day)s is no harvest day of this farm.") % {"day": day_in_words(day)}]


def _write(day: date, now: datetime, lines: Sequence[PickLine]) -> PickSheet:
    last = PickSheet.objects.filter(pick_on=day).aggregate(last=Max("version"))["last"] or 0
    sheet = PickSheet.objects.create(pick_on=day, version=last + 1, made_at=now)
    for line in lines:
        line.pk, line.sheet = None, sheet
    PickLine.objects.bulk_create(lines)
    return sheet


def _tables(answer: PickList) -> _Tables:
    codes = {source.planting for cut in answer.cuts for source in cut.sources} | {
        one.planting for one in answer.blocked
    }
    plantings = {one.code: one for one in Planting.objects.filter(code__in=codes).select_related("variety", "schedule")}
    found = balances(plantings.values())
    off = {(one.planting, space) for one in answer.blocked for space in one.spaces}
    here = {
        code: [here for here in found[one.pk].here if (code, here.stay.space.name) not in off]
        for code, one in plantings.items()
    }
    waiting = {one.planting for one in answer.blocked}
    return _Tables(plantings, here, waiting, {item.name: item for item in Item.objects.all()})


def _stock_lines(answer: PickList, tables: _Tables) -> list[PickLine]:
    """What lies in the cold room and goes out first: packed things to load, things as cut to pack; oldest first."""
    units = {cut.variety: cut.unit for cut in answer.cuts}
    taken = [*answer.from_stock, *(one for cut in answer.cuts for one in cut.from_stock)]
    taken.sort(key=lambda one: (one.stock.cut_on, natural_key(one.stock.name), one.stock.lot))
    return [_stock_line(one, tables, units) for one in taken]


def _stock_line(one: Taken, tables: _Tables, units: Mapping[str, str]) -> PickLine:
    stock = one.stock
    item = tables.items[stock.name] if stock.is_packed else None
    unit = unit_name(item.unit if item else units[stock.name])
    amount = stored(one.amount, unit)
    words = _("%(name)s, cut %(day)s, %(lot)s") % {
        "name": stock.name if stock.is_packed else _("%(variety)s as cut") % {"variety": stock.name},
        "day": day_in_words(stock.cut_on),
        "lot": stock.lot or _("lot not known"),
    }
    return PickLine(
        item=item, is_stock=True, amount=amount, unit=unit, packed=amount, packed_unit=unit, words=words[:LONGEST_WORDS]
    )


def _cut_lines(rows: FarmRows, answer: PickList, tables: _Tables) -> list[PickLine]:
    lines = [
        line
        for cut in answer.cuts
        for source in _by_planting(cut.sources)
        for line in _of_source(rows, cut, source, tables, _for_whom_in_words(answer, rows, cut.variety))
    ]
    return sorted(lines, key=_walk)


def _worth_a_walk(lines: Sequence[PickLine]) -> tuple[list[PickLine], list[str]]:
    """The lines without those of a weight below a twentieth of what is cut of the variety, and what is left out.

    What would be cut in another place of the same planting is cut beside its largest line, where that is as good as
    nothing more: how much stands in which place is known no better.
    """
    kept, left_out = [], []
    of_variety: dict[int, int] = defaultdict(int)
    for line in lines:
        of_variety[line.planting.variety_id if line.planting else 0] += line.amount
    for line in lines:
        planting = line.planting
        if planting is None or not is_mass(line.unit) or line.amount * LITTLE >= of_variety[planting.variety_id]:
            kept.append(line)
            continue
        largest = max((one for one in lines if one.planting == planting), key=lambda one: one.amount)
        if line.amount * LITTLE <= largest.amount:
            largest.amount += line.amount
            largest.packed += line.packed
        else:
            left_out.append(
                _("Too little to walk for, left out: %(amount)s of %(variety)s (%(code)s)%(where)s.")
                % {
                    "amount": with_unit(line.amount, line.unit),
                    "variety": planting.variety.name,
                    "code": planting.code,
                    "where": _(" in %(space)s") % {"space": line.stay.space.name} if line.stay else "",
                }
            )
    return kept, left_out


def _walk(line: PickLine) -> tuple[object, ...]:
    where = (0, *walking_key(line.stay.space)) if line.stay else (1,)
    return (*where, natural_key(line.planting.code) if line.planting else ())


def _of_source(rows: FarmRows, cut: CutLine, source: Source, tables: _Tables, for_whom: str) -> list[PickLine]:
    """One line for each place where it is cut, in walking order; the first place is cut empty first."""
    places = _ready_places(rows, cut, source, tables.here[source.planting])
    if not places and source.planting in tables.waiting:
        return []  # nobody can tell which plants these would be
    by_weight = is_mass(cut.unit)
    steps = int(rounded(source.amount * TENTHS, 0)) if by_weight else int(source.amount)
    all_of_it = max(int(source.there * TENTHS) if by_weight else int(source.there), steps)
    plants = [one.plants for one in places]
    parts = _filled(steps, shared_whole(all_of_it, plants)) if places else [steps]
    share = cut.packed / cut.cut if cut.cut else Decimal(1)
    found = []
    for number, part in enumerate(parts):
        amount = Decimal(part) / TENTHS if by_weight else Decimal(part)
        if part:
            found.append(
                PickLine(
                    planting=tables.plantings[source.planting],
                    stay=places[number].stay if places else None,
                    amount=stored(amount, cut.unit),
                    unit=cut.unit,
                    packed=stored(amount * share, cut.unit),
                    packed_unit=cut.unit,
                    words=for_whom[:LONGEST_WORDS],
                )
            )
    return found


def _filled(steps: int, most: Sequence[int]) -> list[int]:
    parts = []
    for there in most:
        parts.append(min(steps, there))
        steps -= parts[-1]
    return parts


def _by_planting(sources: Sequence[Source]) -> list[Source]:
    """What of a planting became ready on different days is cut on one walk."""
    found: dict[str, Source] = {}
    for one in sources:
        first = found.get(one.planting)
        found[one.planting] = (
            replace(first, amount=first.amount + one.amount, there=first.there + one.there) if first else one
        )
    return list(found.values())


def _ready_places(rows: FarmRows, cut: CutLine, source: Source, here: Sequence[Here]) -> list[Here]:
    """Places in which it can be cut, in walking order: the last stage, and of heads those that came there first."""
    last = next(stage for stage in reversed(rows.schedules) if stage.variety == cut.variety and stage.harvest)
    grown = [
        one
        for one in here
        if one.stay.stage_number == last.stage
        or (one.stay.stage_number is None and one.stay.space.kind.name == last.kind)
    ]
    places = grown or list(here)
    if last.harvest == Schedule.Way.HEAD:
        each = (last.units_per_plant or Decimal(1)) * last.survive
        places = _came_first(places, source.there / each)
    return _by_space(sorted(places, key=lambda one: (walking_key(one.stay.space), one.stay.pk)))


def _came_first(places: Sequence[Here], plants: Decimal) -> list[Here]:
    """Those who came in first, day by day, until there are so many plants; the others are not ready yet."""
    found: list[Here] = []
    for day in sorted({one.stay.from_on for one in places}):
        if sum(one.plants for one in found) >= plants:
            break
        found += [one for one in places if one.stay.from_on == day]
    return found


def _by_space(here: Sequence[Here]) -> list[Here]:
    """Plants that came into one space at different times are cut there in one go: the first stay speaks for all."""
    found: dict[int, Here] = {}
    for one in here:
        first = found.get(one.stay.space_id)
        found[one.stay.space_id] = Here(first.stay, first.plants + one.plants) if first else one
    return list(found.values())


def _for_whom_in_words(answer: PickList, rows: FarmRows, variety: str) -> str:
    """butterhead lettuce: The Inn, Saturday market."""
    items = {part.item for part in rows.item_parts if part.variety == variety}
    said = []
    for line in answer.items:
        outlets = dict.fromkeys(want.outlet for want, got in zip(line.wants, line.got, strict=True) if got > 0)
        if line.item.item in items and outlets:
            said.append(f"{line.item.item}: {', '.join(_in_turn(rows, outlets))}")
    return "; ".join(said)


def _in_turn(rows: FarmRows, outlets: Mapping[str, object]) -> list[str]:
    turns = {outlet.outlet: outlet.turn for outlet in rows.outlets}
    return sorted(outlets, key=lambda outlet: (turns.get(outlet, 0), natural_key(outlet)))


def _pack_line(rows: FarmRows, answer: PickList, line: ItemLine, tables: _Tables) -> PickLine:
    """What is packed of an item, for whom, and who goes short by how much, in the farm's order."""
    unit = unit_name(line.item.unit)
    split: dict[tuple[str, date], list[Decimal]] = {}
    for want, got in zip(line.wants, line.got, strict=True):
        of_outlet = split.setdefault((want.outlet, want.day), [Decimal(0), Decimal(0)])
        of_outlet[0] += got
        of_outlet[1] += want.amount - got
    turns = {outlet.outlet: outlet.turn for outlet in rows.outlets}
    order = sorted(split, key=lambda one: (one[1], turns.get(one[0], 0), natural_key(one[0])))
    for_whom = [
        [
            _named(outlet, day, answer.needs.day),
            stored(split[outlet, day][0], unit),
            stored(split[outlet, day][1], unit),
        ]
        for outlet, day in order
    ]
    words = [mix_in_words(mix) for mix in answer.mixes if mix.item.item == line.item.item]
    if line.blocked and not line.made:
        words = [_("what it is made of must not be cut yet: see DO NOT CUT")]
    return PickLine(
        item=tables.items[line.item.item],
        amount=0,
        unit=unit,
        packed=stored(line.made, unit),
        packed_unit=unit,
        short=sum(short for _outlet, _got, short in for_whom),
        for_whom=for_whom,
        words="; ".join(words)[:LONGEST_WORDS],
    )


def _named(outlet: str, day: date, today: date) -> str:
    """Quay; Quay (Sat) where it is for another day; with its date where that is a week away or more."""
    if day == today:
        return outlet
    return f"{outlet} ({date_format(day, 'D') if (day - today).days < 7 else day_in_words(day)})"


def _note(words: str, planting: Planting | None = None) -> PickLine:
    """A line that only says something: what must not be cut, what is not on the list."""
    return PickLine(
        planting=planting, amount=0, unit="", packed=0, packed_unit="", words=" ".join(words.split())[:LONGEST_WORDS]
    )


def stored(amount: Decimal, unit: str) -> int:
    """Whole nanograms where the unit is one of mass, else the count."""
    return int(rounded(amount * NG[unit_name(unit)], 0)) if is_mass(unit) else int(rounded(amount, 0))
