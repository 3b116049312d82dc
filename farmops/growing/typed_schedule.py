"""A schedule as typed: its stages and how it is harvested, read into what the tables hold, or refused in words.

What survives a stage divides later on; a reserve is no part of it and stands elsewhere.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import unit_name
from farmops.farm.typed_figures import figure_text, month_day_typed, name_of, number_of, percent_of, whole_number
from farmops.growing.models import Schedule, SpaceKind, Stage
from farmops.growing.set_light import by_date_typed
from farmops.journal.refusal import Refused

MOST_DAYS = Decimal(3660)
MOST_WEEKS = 520
LEAST_DAYS = Decimal("0.01")
USUAL_AT = "03-20"
USUAL_GOOD = 7  # days it stands good, where nothing is said
STAGE_FIGURES = ("name", "days", "per_place", "survive", "days_at", "by_date", "light")


@dataclass(frozen=True, slots=True)
class StageTyped:
    """One stage as typed into the boxes of row `row` of a form."""

    row: int
    kind: str
    name: str = ""
    days: str = ""
    per_place: str = ""
    survive: str = ""
    days_at: str = ""
    by_date: str = ""
    light: str = ""

    @property
    def is_empty(self) -> bool:
        return not any(getattr(self, name).strip() for name in ("kind", *STAGE_FIGURES))

    def field(self, name: str) -> str:
        """The form's box of one of its figures."""
        return f"{name}_{self.row}"


@dataclass(frozen=True, slots=True)
class HarvestTyped:
    """How it is harvested, as typed."""

    way: str
    unit: str
    per_plant: str
    packed: str = ""
    cuttings: str = ""
    days_between: str = ""
    pick_weeks: str = ""
    stands_good: str = ""


def stages_of(typed: Sequence[StageTyped], kinds: Mapping[str, SpaceKind]) -> list[dict[str, object]]:
    """Columns of each stage that is filled in, numbered from 1; `kinds` by name.

    Raises
    ------
    Refused
        If there is none, or a box of one is missing or cannot be.
    """
    filled = [stage for stage in typed if not stage.is_empty]
    if not filled:
        raise Refused(_("A schedule has at least one stage: where it stands first."), field="kind_1")
    return [_stage(number, stage, kinds) for number, stage in enumerate(filled, 1)]


def _stage(number: int, stage: StageTyped, kinds: Mapping[str, SpaceKind]) -> dict[str, object]:
    kind = kinds.get(stage.kind)
    if kind is None:
        words = _("Choose the kind of space in which stage %(number)d stands.")
        raise Refused(words % {"number": number}, field=stage.field("kind"))
    return {
        "number": number,
        "kind": kind,
        "name": name_of(stage.name) or kind.name[:40],
        "days": _days(stage.days, stage.field("days")),
        "plants_per_place": number_of(stage.per_place, field=stage.field("per_place"), places=4),
        "survive_percent": percent_of(stage.survive, field=stage.field("survive")),
        "days_at": month_day_typed(stage.days_at, field=stage.field("days_at")) or USUAL_AT,
        "days_by_date": _by_date(stage),
        "light_response_percent": percent_of(stage.light, field=stage.field("light"), may_be_zero=True)
        if stage.light.strip()
        else None,
    }


def _days(typed: str, field: str) -> Decimal:
    days = number_of(typed, field=field, places=3, most=MOST_DAYS)
    if days < LEAST_DAYS:
        raise Refused(_("So short a stage cannot be planned with. Write 1 or more."), field=field)
    return days


def _by_date(stage: StageTyped) -> str:
    table = by_date_typed(stage.by_date, most=MOST_DAYS, field=stage.field("by_date"))
    if any(pair.endswith("=0") for pair in table.split(";")):
        raise Refused(_("0 days cannot be meant here. Take it out."), field=stage.field("by_date"))
    return table


def harvest_of(typed: HarvestTyped) -> dict[str, object]:
    """Columns of the schedule.

    Raises
    ------
    Refused
        If a box that its way of harvest needs is missing or cannot be.
    """
    unit = unit_name(typed.unit)
    if not unit:
        raise Refused(_("Say in what it is cut: head, bunch, lb, oz, kg, g."), field="unit")
    is_cut, is_picked = typed.way == Schedule.Way.CUT, typed.way == Schedule.Way.PICKED
    cuttings = _cuttings(typed.cuttings) if is_cut else ""
    between = number_of(typed.days_between, field="days_between", places=3, most=MOST_DAYS) if ";" in cuttings else None
    return {
        "way": typed.way,
        "unit": unit,
        "units_per_plant": number_of(typed.per_plant, field="per_plant", places=6),
        "packed_percent": percent_of(typed.packed, field="packed", empty=Decimal(100)),
        "cuttings": cuttings,
        "days_between": between,
        "pick_weeks": whole_number(typed.pick_weeks, field="pick_weeks", most=MOST_WEEKS) if is_picked else None,
        "stands_good_days": whole_number(
            typed.stands_good, field="stands_good", most=int(MOST_DAYS), empty=USUAL_GOOD, may_be_zero=True
        ),
    }


def _cuttings(typed: str) -> str:
    shares = [percent_of(part, field="cuttings") for part in typed.split(";") if part.strip()]
    text = ";".join(figure_text(share) for share in shares)
    if len(text) > (Schedule._meta.get_field("cuttings").max_length or 0):
        raise Refused(_("These are more cuttings than can be kept."), field="cuttings")
    return text


def typed_of(schedule: Schedule, stages: Sequence[Stage]) -> dict[str, str]:
    """What the boxes of a form would have to say to make this version; stages in order, with their kinds loaded."""
    found = {
        "way": schedule.way,
        "unit": schedule.unit,
        "per_plant": figure_text(schedule.units_per_plant),
        "packed": figure_text(schedule.packed_percent),
        "cuttings": schedule.cuttings,
        "days_between": figure_text(schedule.days_between),
        "pick_weeks": figure_text(schedule.pick_weeks),
        "stands_good": figure_text(schedule.stands_good_days),
    }
    for row, stage in enumerate(stages, 1):
        found |= {
            f"kind_{row}": stage.kind.name,
            f"name_{row}": stage.name,
            f"days_{row}": figure_text(stage.days),
            f"per_place_{row}": figure_text(stage.plants_per_place),
            f"survive_{row}": figure_text(stage.survive_percent),
            f"days_at_{row}": stage.days_at if stage.days_at != USUAL_AT else "",
            f"by_date_{row}": stage.days_by_date,
            f"light_{row}": figure_text(stage.light_response_percent),
        }
    return found
