"""Before a market day: what to bring and what can be cut for it, worked out when somebody asks and then kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import floor
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from farmops.core.demand import Ask, advise
from farmops.core.quantities import NG, is_mass, unit_name
from farmops.growing.ground_now import remembered
from farmops.growing.models import ItemPart
from farmops.harvest.stock import Lying, in_the_cold_room
from farmops.planning.bringing import learn_from
from farmops.planning.economics import Economics
from farmops.planning.from_tables import farm_rows
from farmops.planning.horizon import products_of
from farmops.planning.models import StoredAnswer
from farmops.planning.needs import market_guesses
from farmops.planning.reasons import reason_in_words
from farmops.planning.rows import FarmRows
from farmops.planning.standing_now import Standing, standing_now
from farmops.planning.stored import amount_of, money_or_none
from farmops.planning.stored_answers import HISTORY, Stored, stored, work_out
from farmops.planning.wants import market_records
from farmops.selling.lately import Lately, lately
from farmops.selling.line_troubles import Troubles
from farmops.selling.load_van import lies_there, parts_of
from farmops.selling.market_facts import KnownLine, known_lines
from farmops.selling.models import MarketDay, MarketLine
from farmops.selling.typed_stock import in_figures, with_unit

Json = dict[str, Any]  # what becomes a JSON object


@dataclass(frozen=True, slots=True)
class BeforeRow:
    """One item of the list.

    Attributes
    ----------
    advised : str
        At most what lies there or can be cut; empty where it was not worked out.
    preset : int or None
        The same, as amounts are stored: what an empty box loads.
    more_wanted : str
        What would be worth bringing and what there is, where that is less.
    worth : str
        What would be worth bringing, whatever there is.
    reason : str
    typed : str
        My own number, or what was typed.
    lies : str
        In the cold room, free to go out.
    can_cut : str
        Empty where nothing is known to stand.
    loaded : str
        Empty where nothing is noted as loaded.
    lately : str
    """

    line: MarketLine
    advised: str
    preset: int | None
    more_wanted: str
    worth: str
    reason: str
    typed: str
    lies: str
    can_cut: str
    loaded: str
    lately: str
    troubles: Troubles

    @property
    def wrong(self) -> str:
        """What is wrong with what was typed here, or with what would be loaded."""
        return self.troubles.get(self.line.pk, "")

    @property
    def box(self) -> str:
        """What was typed; where what was advised is asked about, that."""
        if self.typed or not self.wrong or self.loaded or self.preset is None:
            return self.typed
        return in_figures(self.preset, self.line.unit)


@dataclass(frozen=True, slots=True)
class BeforePage:
    """The page of one market day before it is held."""

    day: MarketDay
    rows: Sequence[BeforeRow]
    stored: Stored | None
    is_loaded: bool

    @property
    def first_wrong(self) -> BeforeRow | None:
        return next((row for row in self.rows if row.wrong), None)


def before_page(
    day: MarketDay, today: date, typed: QueryDict | None = None, troubles: Troubles | None = None
) -> BeforePage:
    """What lies there as it is now; what was worked out as it was kept. Nothing is refitted here.

    What lies there and how it went lately is read once after each entry.
    """
    lines = known_lines(day)
    answer = stored(StoredAnswer.Kind.BRING, about_of(day))
    lying, parts, went = remembered(f"before {about_of(day)}", today, lambda: _beside(day, lines, today))
    advice = answer.answer["lines"] if answer else {}
    troubles = Troubles() if troubles is None else troubles
    rows = []
    for known in lines:
        line = known.line
        there = lies_there(lying, line.item, parts.get(line.item_id, ()))
        rows.append(_row(known, advice.get(str(line.pk), {}), there, went.get(line.item_id), typed, troubles))
    return BeforePage(day, rows, answer, any(row.loaded for row in rows))


def _beside(
    day: MarketDay, lines: Sequence[KnownLine], today: date
) -> tuple[Sequence[Lying], Mapping[int, Sequence[ItemPart]], Mapping[int, Lately]]:
    """What lies there, what each item is made of, and how it went lately. Five queries."""
    parts = parts_of([known.line.item_id for known in lines])
    return in_the_cold_room(min(today, day.held_on)), parts, lately(day.outlet, day.held_on)


def work_out_before(day: MarketDay, today: date, now: datetime) -> Stored:
    """Learn from the records up to today and keep what to bring of each line, why, and what can be cut.

    Raises
    ------
    BeingWorkedOut
        If that is under way.
    """
    lines = [known.line for known in known_lines(day)]

    def make() -> Json:
        rows = farm_rows(since=today - HISTORY)
        cut = can_be_cut(rows, standing_now(today), day.held_on)
        advice = _advice(rows, day, lines, min(today, day.held_on))
        for line in lines:
            if line.item.name in cut:
                advice[str(line.pk)]["can_cut"] = _whole_steps(line, _stored(cut[line.item.name], line.unit))
        return {"lines": advice}

    return work_out(StoredAnswer.Kind.BRING, make, as_of=today, now=now, about=about_of(day))


def advised_numbers(day: MarketDay) -> dict[int, int]:
    """What the kept answer advises for each line, by the line's key, as amounts are stored."""
    answer = stored(StoredAnswer.Kind.BRING, about_of(day))
    return {int(key): one["bring"] for key, one in (answer.answer["lines"] if answer else {}).items()}


def to_load(day: MarketDay, typed: QueryDict, today: date) -> dict[int, str]:
    """What the boxes say; for a line whose box is empty what was advised and is there, where it is not loaded yet.

    Of what is not there nothing is said: that is not "none brought".
    """
    found = {}
    for row in before_page(day, today).rows:
        key, unit = row.line.pk, row.line.unit
        text = typed.get(f"own-{key}", "").strip()
        if row.loaded:
            text = typed.get(f"more-{key}", "").strip()
        elif not text and row.preset:
            text = with_unit(row.preset, unit)
        if text:
            found[key] = text
    return found


def can_be_cut(rows: FarmRows, standing: Standing, day: date) -> dict[str, float]:
    """How much of each item what is good by a day would make, in the item's unit; each item as if it were alone."""
    packed = {stage.variety: float(stage.packed) for stage in rows.schedules if stage.harvest}
    there: dict[str, float] = {}
    for planting, outlook in standing.may_be_cut(day):
        good = sum(one.amount for one in outlook.coming if one.first <= day and one.last >= standing.today)
        there[planting.variety] = there.get(planting.variety, 0.0) + good * packed.get(planting.variety, 1.0)
    return {
        item: min(there.get(variety, 0.0) / amount for variety, amount in parts)
        for item, parts in products_of(rows).parts.items()
        if parts and all(amount > 0 for _variety, amount in parts)
    }


def about_of(day: MarketDay) -> str:
    return f"market day {day.pk}"


def _advice(rows: FarmRows, day: MarketDay, lines: Sequence[MarketLine], as_of: date) -> dict[str, Json]:
    noted, _left_out = market_records(rows, as_of)
    # A notebook of market days knows no categories: without them all pages say the same amount.
    records = [replace(record, category="") for record in noted if record.day < day.held_on]
    guesses = market_guesses(rows, as_of)
    learned = learn_from(records, as_of, guesses)
    found = {}
    for line in lines:
        own = _economics(line)
        price, unit_cost, leftover_value = own.per_step()
        ask = Ask(
            day=day.held_on,
            market=day.outlet.name,
            item=line.item.name,
            opens=day.opens_minute,
            closes=day.closes_minute,
            price=price,
            unit_cost=unit_cost,
            leftover_value=leftover_value,
            guess=learned.guesses.get((day.outlet.name, line.item.name)),
        )
        advice = advise(learned, ask)
        found[str(line.pk)] = {
            "bring": _stored(advice.fresh * own.step, line.unit),
            "reason": reason_in_words(advice.reason, own.step),
        }
    return found


def _economics(line: MarketLine) -> Economics:
    """The figures of the line's own day."""
    price = money_or_none(line.price_cents)
    cost = money_or_none(line.unit_cost_cents)
    if line.unit_cost_percent is not None and price is not None:
        cost = price * line.unit_cost_percent / 100
    leftover = money_or_none(line.leftover_value_cents)
    return Economics(
        price=None if price is None else float(price),
        unit_cost=None if cost is None else float(cost),
        leftover_value=None if leftover is None else float(leftover),
        unit=line.unit,
        step=float(amount_of(line.step or line.item.step, line.unit)),
    )


def _stored(amount: float, unit: str) -> int:
    return round(amount * NG[unit_name(unit)]) if is_mass(unit) else floor(amount + 1e-6)


def _row(
    known: KnownLine,
    advice: Mapping[str, Any],
    lies: int,
    went: Lately | None,
    typed: QueryDict | None,
    troubles: Troubles,
) -> BeforeRow:
    line, unit = known.line, known.line.unit
    own = "" if line.own_number is None else in_figures(line.own_number, unit)
    name = f"own-{line.pk}" if known.loaded is None else f"more-{line.pk}"
    can_cut, worth = advice.get("can_cut"), advice.get("bring")
    preset = worth if worth is None or can_cut is None else min(worth, _whole_steps(line, lies + can_cut))
    words = {
        "worth": "" if worth is None else in_figures(worth, unit),
        "there": "" if preset is None else with_unit(preset, unit),
    }
    return BeforeRow(
        line=line,
        advised="" if preset is None else in_figures(preset, unit),
        preset=preset,
        more_wanted=_("%(worth)s would be worth bringing, %(there)s there") % words if preset != worth else "",
        worth=words["worth"],
        reason=advice.get("reason", ""),
        typed=(own if known.loaded is None else "") if typed is None else typed.get(name, ""),
        lies=in_figures(lies, unit),
        can_cut="" if can_cut is None else in_figures(can_cut, unit),
        loaded="" if known.loaded is None else (with_unit(known.loaded, unit) if known.loaded else _("none brought")),
        lately=went.in_words if went else "",
        troubles=troubles,
    )


def _whole_steps(line: MarketLine, amount: int) -> int:
    step = line.step or line.item.step
    return amount // step * step
