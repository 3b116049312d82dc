"""Forms of selling: what was typed, to typed values. They never write."""

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.growing.models import Item
from farmops.selling.day_field import day_field
from farmops.selling.models import Outlet
from farmops.selling.stall_press import PRESSES, Press


class PlanForm(JobForm):
    """A market day to put on the list."""

    outlet = forms.ModelChoiceField(queryset=Outlet.objects.markets())
    held_on = day_field()


class AddItemForm(JobForm):
    """One more item for a list."""

    item = forms.ModelChoiceField(
        queryset=Item.objects.all(),
        error_messages={"required": _("Choose an item."), "invalid_choice": _("Choose an item.")},
    )


HOURS = ("opened", "closed")
OUTS = ("out", "ago", "out_at")
_ASKED = {
    "restock": ("amount",),
    "besides": ("amount",),
    "tally": ("amount",),
    "price": ("price", "amount"),
    "out_at": ("time",),
    "left": ("time",),
}


class StallForm(JobForm):
    """A press at the stall with whatever was typed beside it."""

    what = forms.ChoiceField(
        choices=[(word, word) for word in PRESSES],
        error_messages={"required": _("Choose what happened."), "invalid_choice": _("Choose what happened.")},
    )
    line = forms.IntegerField(required=False)
    time = forms.CharField(required=False, max_length=20, label=_("Time"))
    amount = forms.CharField(required=False, max_length=40, label=_("How much"))
    price = forms.CharField(required=False, max_length=40, label=_("Price"))
    opened = forms.CharField(required=False, max_length=20, label=_("Yes: that day it opened at"))
    closed = forms.CharField(required=False, max_length=20, label=_("Yes: that day it was open until"))

    def asked_again(self) -> list[forms.BoundField]:
        """The boxes of what was pressed, as typed, and the hour that is asked for."""
        hours = [name for name in HOURS if name in self.errors]
        return [self[name] for name in (*_ASKED.get(self.data.get("what", ""), ()), *hours)]

    @property
    def is_outside_hours(self) -> bool:
        """Whether it is asked if the day had other hours."""
        return any(name in self.errors for name in HOURS)

    @property
    def may_have_run_out(self) -> bool:
        """Whether it is asked if it ran out after closing: then perhaps it did earlier, and nobody knows when."""
        return "closed" in self.errors and self.data.get("what", "") in OUTS

    def press(self) -> Press:
        """What was pressed; asked of a valid form only."""
        typed = self.cleaned_data
        return Press(
            what=typed["what"],
            line=typed["line"],
            time=typed["time"],
            amount=typed["amount"],
            price=typed["price"],
            opened=typed["opened"],
            closed=typed["closed"],
            yes=self.answered,
        )
