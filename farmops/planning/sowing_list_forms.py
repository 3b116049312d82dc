"""What is typed on the sowing list. Never writes."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.planning.sowing_list_choice import MOST_PARTS

HOW_MANY = {
    "required": _("Say how many."),
    "invalid": _("Type a whole number, such as 2."),
    "min_value": _("Say how many: 1 or more. For none, press “Not now”."),
    "max_value": _("Say how many: at most %(limit_value)s."),
}


class StartForm(JobForm):
    """Everything preset: one press."""

    variety = forms.IntegerField(widget=forms.HiddenInput)
    day = forms.DateField(widget=forms.HiddenInput)
    parts = forms.IntegerField(min_value=1, max_value=MOST_PARTS, widget=forms.HiddenInput, error_messages=HOW_MANY)


class ChoiceForm(JobForm):
    """Another number, or not now; the reason may stay empty."""

    parts = forms.IntegerField(
        label=_("Sow instead"),
        required=False,
        min_value=1,
        max_value=MOST_PARTS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "figure"}),
        error_messages=HOW_MANY,
    )
    reason = forms.CharField(
        label=_("Why, if you like"),
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    do = forms.CharField(required=False, max_length=10, widget=forms.HiddenInput)

    @property
    def parts_chosen(self) -> int | None:
        """None: not now."""
        return None if self.cleaned_data.get("do") == "not now" else self.cleaned_data["parts"]

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        cleaned = super().clean()
        if cleaned.get("do") == "not now":
            self.errors.pop("parts", None)
        elif "parts" in cleaned and cleaned["parts"] is None:
            self.add_error("parts", HOW_MANY["required"])
        return cleaned
