"""Forms of the winter plan. They never write."""

from collections.abc import Iterator
from itertools import islice
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.farm.forms import JobForm
from farmops.planning.copy_year import FIRST, LAST
from farmops.selling.day_field import day_field
from farmops.selling.models import Outlet
from farmops.selling.order_forms import ByName, outlet_field


class FarmFirst(ByName):
    """The whole farm, then the outlets by name."""

    def __iter__(self) -> Iterator[tuple[Any, str]]:  # Any: Django's own class for a key with its row
        yield "", _("the whole farm")
        yield from islice(super().__iter__(), 1, None)


class ClosedDaysForm(JobForm):
    """Closed days of an outlet or of the farm."""

    outlet = outlet_field(
        Outlet.Kind.MARKET, Outlet.Kind.BUYER, Outlet.Kind.BOX, required=False, label=gettext_lazy("Who is closed")
    )
    outlet.iterator = FarmFirst
    first_on = day_field(label=gettext_lazy("From"))
    last_on = day_field(required=False, label=gettext_lazy("Until"), help_text=gettext_lazy("empty = that one day"))
    reason = forms.CharField(max_length=120, required=False, label=gettext_lazy("Why"))


class CopyYearForm(JobForm):
    """Where week 53 goes."""

    week_53 = forms.ChoiceField(choices=[(LAST, ""), (FIRST, "")], required=False)

    def clean_week_53(self) -> str:
        """The last week, where nothing was to be chosen."""
        return self.cleaned_data["week_53"] or LAST
