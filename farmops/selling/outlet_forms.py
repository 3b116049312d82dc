"""Forms of outlets, their closed days and prices. They never write."""

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.selling.day_field import day_field
from farmops.selling.models import Outlet
from farmops.selling.models.outlets import WEEKDAYS
from farmops.selling.order_forms import FIGURE, item_field, outlet_field

CLOCK = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class OutletForm(JobForm):
    """A place to sell to."""

    name = forms.CharField(max_length=80, label=_("Name"))
    kind = forms.ChoiceField(choices=Outlet.Kind.choices, label=_("What it is"))
    weekday = forms.TypedChoiceField(choices=WEEKDAYS, coerce=int, label=_("Its day of the week"))
    opens = forms.TimeField(
        required=False, widget=CLOCK, label=_("Opens"), help_text=_("a market: when customers come")
    )
    closes = forms.TimeField(required=False, widget=CLOCK, label=_("Closes"), help_text=_("when they are gone"))

    def hours(self, opens: int = 480, closes: int = 780) -> tuple[int, int]:
        """Minutes after midnight as typed; those given stand in for what was left empty."""
        typed = (self.cleaned_data["opens"], self.cleaned_data["closes"])
        found = [None if time is None else time.hour * 60 + time.minute for time in typed]
        return (opens if found[0] is None else found[0], closes if found[1] is None else found[1])


class ChangeOutletForm(OutletForm):
    """Its weekday, hours and season."""

    name = None  # type: ignore[assignment]  # stays as it is
    kind = None  # type: ignore[assignment]  # stays as it is
    first_on = day_field(required=False, label=_("Season from"))
    last_on = day_field(required=False, label=_("Season until"))


class CloseForm(JobForm):
    """Days on which an outlet is closed."""

    first_on = day_field(label=_("Closed from"))
    last_on = day_field(required=False, label=_("Until"), help_text=_("empty = that one day"))
    reason = forms.CharField(max_length=120, required=False, label=_("Why"))


class PriceForm(JobForm):
    """What an item costs from a day on."""

    item = item_field(label=_("Item"))
    outlet = outlet_field(
        Outlet.Kind.MARKET, Outlet.Kind.BUYER, Outlet.Kind.BOX, required=False, label=_("Where"), empty_label=None
    )
    price = forms.CharField(max_length=20, required=False, widget=FIGURE, label=_("Price"))
    from_on = day_field(
        required=False, label=_("From"), help_text=_("empty = from the beginning; days before keep theirs")
    )
