"""Forms of orders, boxes, outlets and prices. They never write."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms.models import ModelChoiceIterator
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.selling.day_field import day_field
from farmops.selling.models import Outlet
from farmops.selling.models.outlets import WEEKDAYS

FIGURE = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "figure"})
RHYTHMS = ((1, _("every week")), (2, _("every other week")), (3, _("every third week")), (4, _("every fourth week")))


class ByName(ModelChoiceIterator):  # type: ignore[type-arg]  # of whatever has a name
    """Choices in natural order of their names, whatever the database's own order is."""

    def __iter__(self) -> Iterator[tuple[Any, str]]:  # Any: Django's own class for a key with its row
        yield "", "–"
        for row in sorted(self.queryset.all(), key=lambda row: natural_key(row.name)):
            yield self.choice(row)


def outlet_field(*kinds: str, **rest: Any) -> "forms.ModelChoiceField[Outlet]":  # Any: as the field's own
    """Outlets of some kinds."""
    field = forms.ModelChoiceField(Outlet.objects.filter(kind__in=kinds), **rest)
    field.iterator = ByName
    return field


def item_field(**rest: Any) -> "forms.ModelChoiceField[Item]":  # Any: as the field's own
    """Every item."""
    field = forms.ModelChoiceField(Item.objects.all(), **rest)
    field.iterator = ByName
    return field


class OrderForm(JobForm):
    """A standing order."""

    buyer = outlet_field(Outlet.Kind.BUYER, label=_("Who"))
    item = item_field(label=_("Item"))
    amount = forms.CharField(max_length=40, required=False, widget=FIGURE, label=_("How much each time"))
    weekday = forms.TypedChoiceField(choices=WEEKDAYS, coerce=int, label=_("Delivered on"))
    every_weeks = forms.TypedChoiceField(choices=RHYTHMS, coerce=int, label=_("How often"))
    first_on = day_field(required=False, label=_("From"), help_text=_("needed for every other week"))
    last_on = day_field(required=False, label=_("Until"), help_text=_("empty = until further notice"))
    price = forms.CharField(
        max_length=20, required=False, widget=FIGURE, label=_("Price"), help_text=_("empty = the usual one")
    )


class ChangeOrderForm(JobForm):
    """Another amount from a day on, or the end."""

    what = forms.ChoiceField(choices=[("change", ""), ("end", "")])
    amount = forms.CharField(max_length=40, required=False, widget=FIGURE, label=_("How much each time"))
    from_on = day_field(label=_("From this day on, or last day"))


class OnceForm(JobForm):
    """Wanted once."""

    outlet = outlet_field(Outlet.Kind.BUYER, Outlet.Kind.BOX, label=_("Who"))
    item = item_field(label=_("Item"))
    amount = forms.CharField(max_length=40, required=False, widget=FIGURE, label=_("How much"))
    wanted_on = day_field(label=_("On"))
    instead = forms.BooleanField(required=False, label=_("instead of what is standing that day"))
    note = forms.CharField(max_length=120, required=False, label=_("Note"))
    price = forms.CharField(
        max_length=20, required=False, widget=FIGURE, label=_("Price"), help_text=_("empty = the usual one")
    )


class NotThisTimeForm(JobForm):
    """Nothing of what is standing on one day."""

    outlet = outlet_field(Outlet.Kind.BUYER, Outlet.Kind.BOX)
    item = item_field()
    day = day_field()


class BoxForm(JobForm):
    """So many boxes with so much in each."""

    box = outlet_field(Outlet.Kind.BOX, label=_("Box"))
    size = forms.CharField(max_length=20, required=False, label=_("Size"))
    boxes = forms.IntegerField(min_value=0, label=_("How many boxes"))
    item = item_field(label=_("Item"))
    amount = forms.CharField(max_length=40, required=False, widget=FIGURE, label=_("In each box"))
    first_on = day_field(label=_("First week"), help_text=_("any day of it"))
    last_on = day_field(
        required=False, label=_("Last week"), help_text=_("any day of it; empty = the first week alone")
    )
    value = forms.CharField(
        max_length=20, required=False, widget=FIGURE, label=_("Worth each"), help_text=_("empty = the usual price")
    )


class ChangeBoxForm(JobForm):
    """Other figures from a week on, or the end."""

    what = forms.ChoiceField(choices=[("change", ""), ("end", "")])
    boxes = forms.IntegerField(min_value=0, required=False, label=_("How many boxes"))
    amount = forms.CharField(max_length=40, required=False, widget=FIGURE, label=_("In each box"))
    from_on = day_field(label=_("From this week on, or last week"), help_text=_("any day of it"))
