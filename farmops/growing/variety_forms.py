"""Forms that set up varieties, their schedules and seed. They never write; figures stay text until they are read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from farmops.farm import set_forms
from farmops.farm.forms import JobForm
from farmops.growing.models import Schedule
from farmops.growing.typed_schedule import HarvestTyped, StageTyped

MOST_STAGES, SHOWN_STAGES = 6, 3
STAGE = ("kind", "name", "days", "per_place", "survive", "days_at", "by_date", "light")
HARVEST = ("way", "unit", "per_plant", "packed", "stands_good", "cuttings", "days_between", "pick_weeks")


class VarietyFactsForm(JobForm):
    """What is sown of a variety at once, and when."""

    crop = set_forms.words(_("Crop"), 60, _("e.g. lettuce, basil"), suggested="crops")
    category = set_forms.words(
        _("Category"), 60, _("crops that sell alike share it, e.g. herbs"), suggested="categories"
    )
    part = set_forms.words(_("Sown at once"), 40, _("tray, half tray, bed foot; empty = tray"), suggested="parts")
    part_plants = set_forms.figure(_("Plants in one of these"), _("empty = 72"), whole=True)
    part_cost = set_forms.figure(_("What sowing one costs"), _("seed and soil; empty = nothing noted"))
    sow_first = set_forms.words(_("Sown from"), 10, _("month-day, e.g. 02-15; empty = any day"))
    sow_last = set_forms.words(_("until"), 10, _("month-day; empty = any day"))

    @property
    def facts(self) -> dict[str, str]:
        """What was typed, by the names of the deed."""
        return {
            name: self.cleaned_data[name] for name in VarietyFactsForm.base_fields if name not in JobForm.base_fields
        }


class VarietyForm(VarietyFactsForm):
    """A new variety."""

    name = set_forms.words(_("Name of the variety"), 60, _("e.g. green butterhead"))
    field_order = ("name",)


@dataclass(frozen=True, slots=True)
class StageRow:
    """The boxes of one stage."""

    number: int
    kind: BoundField
    name: BoundField
    days: BoundField
    per_place: BoundField
    survive: BoundField
    days_at: BoundField
    by_date: BoundField
    light: BoundField

    @property
    def is_filled(self) -> bool:
        return any(box.value() for box in (self.kind, self.days, self.per_place, self.survive))

    @property
    def finer(self) -> list[BoundField]:
        """Boxes that few need."""
        return [self.name, self.days_at, self.by_date, self.light]

    @property
    def has_finer(self) -> bool:
        return any(box.value() for box in (self.days_at, self.by_date, self.light))


class ScheduleForm(JobForm):
    """One version of a schedule: up to six stages, and how it is harvested."""

    from_on = set_forms.day(_("From"), _("sowings from this day on follow it; empty = today"))
    way = forms.ChoiceField(label=_("How it is harvested"), choices=Schedule.Way.choices)
    unit = set_forms.words(_("Cut in"), 20, _("head, bunch, lb, oz, kg, g"), suggested="units")
    per_plant = set_forms.figure(
        _("So much from one plant"), _("a head: 1; cut and regrown: its first cutting; picked for weeks: in a week")
    )
    packed = set_forms.figure(_("Left after washing and sorting, %"), _("empty = 100"))
    stands_good = set_forms.figure(_("Days it stands good uncut"), _("once it is ready; empty = 7"), whole=True)
    cuttings = set_forms.words(
        _("Cut and regrown: each cutting against the first, %"), 60, _("e.g. 100;80;60; empty = one cutting")
    )
    days_between = set_forms.figure(_("Cut and regrown: days between cuttings"))
    pick_weeks = set_forms.figure(_("Picked for weeks: how many"), whole=True)

    def __init__(self, typed: QueryDict | None = None, *, kinds: Iterable[str], **rest: Any) -> None:  # Any: Django's
        super().__init__(typed, **rest)
        choices = [("", "–"), *((name, name) for name in kinds)]
        for row in range(1, MOST_STAGES + 1):
            self.fields |= _boxes(row, choices)

    @property
    def rows(self) -> list[StageRow]:
        """The boxes of all stages; those past the first few that are empty come last on the page."""
        return [StageRow(row, **{name: self[f"{name}_{row}"] for name in STAGE}) for row in range(1, MOST_STAGES + 1)]

    @property
    def shown(self) -> list[StageRow]:
        """Stages that stand open on the page: those filled in, and at least three."""
        filled = max((row.number for row in self.rows if row.is_filled), default=0)
        return self.rows[: max(filled, SHOWN_STAGES)]

    @property
    def more(self) -> list[StageRow]:
        return self.rows[len(self.shown) :]

    @property
    def harvest_boxes(self) -> list[BoundField]:
        """Boxes of how it is harvested."""
        return [self[name] for name in HARVEST]

    @property
    def stages(self) -> list[StageTyped]:
        """What was typed of the stages."""
        return [
            StageTyped(row, **{name: self.cleaned_data.get(f"{name}_{row}", "") for name in STAGE})
            for row in range(1, MOST_STAGES + 1)
        ]

    @property
    def harvest(self) -> HarvestTyped:
        """What was typed of the harvest."""
        return HarvestTyped(**{name: self.cleaned_data[name] for name in HARVEST})


def _boxes(row: int, kinds: list[tuple[str, str]]) -> Mapping[str, forms.Field]:
    return {
        f"kind_{row}": forms.ChoiceField(label=_("Stands in"), choices=kinds, required=False),
        f"days_{row}": set_forms.figure(_("Days")),
        f"per_place_{row}": set_forms.figure(_("Plants on a place")),
        f"survive_{row}": set_forms.figure(_("Survive, %")),
        f"name_{row}": set_forms.words(_("Called"), 40, _("empty = as the space")),
        f"days_at_{row}": set_forms.words(_("Days noted for entering on"), 10, _("month-day; empty = 03-20")),
        f"by_date_{row}": set_forms.words(_("Or days by date"), 300, _("03-30=60;06-29=38, instead of days")),
        f"light_{row}": set_forms.figure(
            _("Light sets its pace, %"), _("0 = not; 100 = half the light, twice the days; empty = 0, then 50")
        ),
    }
