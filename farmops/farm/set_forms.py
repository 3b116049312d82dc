"""Forms of setting up, and the boxes they are made of. They never write; figures stay text until they are read."""

from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmops.farm.days import WEEKDAYS
from farmops.farm.forms import JobForm
from farmops.farm.models import Farm

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

    Words = str | _StrPromise

LONGEST_FIGURE = 40
FIRST_YEAR, LAST_YEAR = 2000, 2099


def figure(label: "Words", help_text: "Words" = "", *, whole: bool = False) -> forms.CharField:
    """A box for a figure: text, so that nothing typed is lost, with the number pad of a phone."""
    pad = {"inputmode": "numeric" if whole else "decimal", "autocomplete": "off", "class": "figure"}
    return forms.CharField(
        label=label, help_text=help_text, required=False, max_length=LONGEST_FIGURE, widget=forms.TextInput(attrs=pad)
    )


def words(
    label: "Words", longest: int, help_text: "Words" = "", *, required: bool = False, suggested: str = ""
) -> forms.CharField:
    """A box for a name or a few words; `suggested`: the id of a list of what is known."""
    attrs = {"autocomplete": "off", **({"list": suggested} if suggested else {})}
    box = forms.TextInput(attrs=attrs)
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=required,
        max_length=longest,
        widget=box,
        error_messages={"required": format_lazy(_("Fill in: {label}."), label=label)},
    )


def day(label: "Words", help_text: "Words" = "", *, required: bool = False) -> forms.DateField:
    """A box for a day of this century."""
    return forms.DateField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[_check_century],
        error_messages={"invalid": _("That day does not exist. Choose another.")},
    )


def _check_century(value: date) -> None:
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise ValidationError(gettext("The year %(year)d is mistyped, it seems.") % {"year": value.year})


@cache
def time_zones() -> tuple[str, ...]:
    """Those that a place lies in; looked up on disk once."""
    return tuple(sorted(zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")))


class FarmForm(JobForm):
    """The farm itself."""

    name = words(_("Name of the farm"), 120, required=True)
    latitude = words(
        _("Latitude"), 30, _("degrees, as a map shows them: 42.3 N. Half a degree is near enough; it sets the light."),
        required=True,
    )  # fmt: skip
    time_zone = words(_("Time zone"), 60, _("e.g. America/New_York"), required=True, suggested="time-zones")
    units = forms.ChoiceField(label=_("Weights"), choices=Farm.Units.choices)
    currency = words(_("Currency"), 3, _("its three letters, e.g. USD"), required=True)
    paper = forms.ChoiceField(label=_("Paper in the printer"), choices=Farm.Paper.choices)
    harvest_days = forms.MultipleChoiceField(
        label=_("Days of the big harvests"),
        help_text=_("none chosen = any day"),
        required=False,
        choices=tuple(WEEKDAYS.items()),
        widget=forms.CheckboxSelectMultiple,
    )
    season_first = day(_("First day anything is sold"), _("empty = no limit"))
    season_last = day(_("Last day anything is sold"), _("empty = no limit"))
    dark_first = words(
        _("Dark weeks from"), 10, _("month-day, e.g. 11-05; empty = where days are under ten hours at this latitude")
    )
    dark_end = words(_("until"), 10, _("month-day of the first day after them"))
    dark_pace = figure(_("Growth in the dark weeks, %"), _("of the usual; 100 = lit or heated; empty = 50"))

    @property
    def facts(self) -> dict[str, Any]:
        """What was typed, by the names of the deed."""
        names = [name for name in self.fields if name not in JobForm.base_fields]
        return {name: self.cleaned_data[name] for name in names}
