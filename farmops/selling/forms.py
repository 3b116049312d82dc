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


_ASKED = {
    "restock": ("amount",),
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

    def asked_again(self) -> list[forms.BoundField]:
        """The boxes of what was pressed, as typed."""
        return [self[name] for name in _ASKED.get(self.data.get("what", ""), ())]

    def press(self) -> Press:
        """What was pressed; asked of a valid form only."""
        typed = self.cleaned_data
        return Press(
            what=typed["what"],
            line=typed["line"],
            time=typed["time"],
            amount=typed["amount"],
            price=typed["price"],
            yes=self.answered,
        )
