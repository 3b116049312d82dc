"""Forms of the winter plan. They never write."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.farm.forms import JobForm
from farmops.growing.models import Item
from farmops.planning.copy_year import FIRST, LAST
from farmops.selling.day_field import day_field
from farmops.selling.models import Outlet
from farmops.selling.order_forms import FIGURE, ByName, outlet_field

MOST_BOXES = 10000


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


class BoxContentsForm(JobForm):
    """What is in the boxes of a size, with a figure for every item there is."""

    box = outlet_field(Outlet.Kind.BOX, label=gettext_lazy("Box"))
    size = forms.CharField(max_length=20, required=False, label=gettext_lazy("Size"))
    first_on = day_field(label=gettext_lazy("First week"), help_text=gettext_lazy("any day of it"))
    last_on = day_field(
        required=False, label=gettext_lazy("Last week"), help_text=gettext_lazy("empty = the first week alone")
    )
    boxes = forms.IntegerField(
        min_value=0, max_value=MOST_BOXES, label=gettext_lazy("How many boxes"), help_text=gettext_lazy("0 = none")
    )

    def __init__(self, items: Iterable[Item], *args: Any, **rest: Any) -> None:  # Any: as Django's own
        super().__init__(*args, **rest)
        self.items = [f"item-{item.pk}" for item in items]
        for name, item in zip(self.items, items, strict=True):
            label = f"{item.name} ({item.unit})"
            self.fields[name] = forms.CharField(max_length=40, required=False, widget=FIGURE, label=label)

    @property
    def item_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.items]

    @property
    def typed(self) -> dict[int, str]:
        """By the item's key."""
        return {int(name.removeprefix("item-")): self.cleaned_data[name] for name in self.items}


class CopyYearForm(JobForm):
    """Where week 53 goes."""

    week_53 = forms.ChoiceField(choices=[(LAST, ""), (FIRST, "")], required=False)

    def clean_week_53(self) -> str:
        """The last week, where nothing was to be chosen."""
        return self.cleaned_data["week_53"] or LAST
