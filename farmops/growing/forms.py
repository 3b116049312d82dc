"""Forms of what happens to plants. They read what was typed and never write; amounts stay text until they are read."""

from datetime import date
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.farm.typed_amount import whole_of

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

LONGEST_AMOUNT = 40
MOST_KEY = 2**63 - 1  # of a row in a table


def figure_box(label: "str | _StrPromise", *, is_first: bool = False, whole: bool = True) -> forms.CharField:
    """A box for a figure: text, so that nothing typed is lost, with the number pad of a phone."""
    pad: dict[str, Any] = {"inputmode": "numeric" if whole else "decimal", "autocomplete": "off", "class": "figure"}
    if is_first:
        pad["autofocus"] = True
    return forms.CharField(
        label=label, required=False, max_length=LONGEST_AMOUNT, strip=False, widget=forms.TextInput(attrs=pad)
    )


def words_box(label: "str | _StrPromise", longest: int, *, is_first: bool = False) -> forms.CharField:
    """A box for a few words."""
    attrs: dict[str, Any] = {"autocomplete": "off", "autofocus": True} if is_first else {"autocomplete": "off"}
    return forms.CharField(label=label, required=False, max_length=longest, widget=forms.TextInput(attrs=attrs))


def day_box(label: "str | _StrPromise") -> forms.DateField:
    """A box for a day."""
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("That day does not exist. Choose another.")},
    )


class PlantsJobForm(JobForm):
    """What most jobs with plants carry: the day, today where none is said."""

    day = day_box(_("Day"))

    def day_or(self, today: date) -> date:
        day: date | None = self.cleaned_data["day"]
        return day or today


class MoveForm(PlantsJobForm):
    """How many plants go where: `into` from the great button, or a number and a space chosen."""

    into = forms.CharField(required=False, max_length=600, widget=forms.HiddenInput)
    plants = figure_box(_("How many"))
    to_space = forms.CharField(label=_("Into"), required=False, max_length=40)
    over_full_because = words_box(_("Over-full all the same, because"), 200)

    def plants_typed(self) -> int:
        return whole_of(self.cleaned_data["plants"], field="plants", yes=self.answered, may_be_zero=True)


class LoseForm(PlantsJobForm):
    """How many plants are lost."""

    plants = figure_box(_("How many are lost"), is_first=True)
    cause = words_box(_("Why"), 120)

    def plants_typed(self) -> int:
        return whole_of(self.cleaned_data["plants"], field="plants", yes=self.answered, may_be_zero=True)


class ClearForm(PlantsJobForm):
    """What is cleared: all of a planting, or one of its stays."""

    stay = forms.IntegerField(required=False, min_value=1, max_value=MOST_KEY, widget=forms.HiddenInput)


class WalkForm(PlantsJobForm):
    """What was seen: which button was pressed, and the figures, each in a box of its own.

    `FEW_DAYS` have buttons of their own.
    """

    FEW_DAYS = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14)
    SEEN = ("as planned", "ready", "late", "early", "finished", *(f"late {days}" for days in FEW_DAYS))
    seen = forms.ChoiceField(
        choices=[(seen, seen) for seen in SEEN],
        widget=forms.HiddenInput,
        error_messages={
            "required": _("Say what you saw: as planned, so much ready, days late, or finished."),
            "invalid_choice": _("Say what you saw: as planned, so much ready, days late, or finished."),
        },
    )
    figure = figure_box(_("So many"), is_first=True, whole=False)
    days = figure_box(_("Another number of days"), whole=False)


class SowForm(PlantsJobForm):
    """How many trays are sown, of which seed, and where they stand."""

    what = forms.ChoiceField(
        required=False, choices=[(what, what) for what in ("sown", "plan", "give up")], widget=forms.HiddenInput
    )
    parts = figure_box(_("How many trays"))
    plants = figure_box(_("or plants"))
    seed_lot = forms.CharField(label=_("Seed lot"), required=False, max_length=40)
    into = forms.CharField(required=False, max_length=600, widget=forms.HiddenInput)
    to_space = forms.CharField(label=_("Stands in"), required=False, max_length=40)
    over_full_because = words_box(_("Over-full all the same, because"), 200)

    def plants_typed(self, part_plants: int) -> int:
        """Trays times the plants of one, unless plants were counted."""
        if self.cleaned_data["plants"].strip():
            return whole_of(self.cleaned_data["plants"], field="plants", yes=self.answered, may_be_zero=True)
        return whole_of(self.cleaned_data["parts"], field="parts", yes=self.answered, may_be_zero=True) * part_plants


class PlanStayForm(PlantsJobForm):
    """Where plants are to stand from when to when."""

    plants = figure_box(_("How many"))
    to_space = forms.CharField(label=_("Into"), required=False, max_length=40)
    to_day = day_box(_("Out again"))

    def plants_typed(self) -> int:
        return whole_of(self.cleaned_data["plants"], field="plants", yes=self.answered, may_be_zero=True)


class LightForm(JobForm):
    """Shade and lamps over a kind of space."""

    shade = words_box(_("Percent of the light kept out by roof and cloth"), 300)
    lamp_hours = words_box(_("Hours a day that lamps burn"), 300)
    lamp_light = forms.IntegerField(
        label=_("Light of the lamps at the leaves, µmol/m²s"),
        required=False,
        min_value=0,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "figure"}),
    )
