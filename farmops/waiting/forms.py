"""Forms of waits. They read what was typed and never write."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.growing.forms import MOST_KEY, day_box, words_box


class DoNotCutForm(JobForm):
    """What must not be cut, until when, and why."""

    reason = words_box(_("Why"), 200, is_first=True)
    before_day = day_box(_("Not before"))
    before_time = forms.TimeField(
        label=_("at"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": _("Type the time like 07:10.")},
    )
    stay = forms.IntegerField(label=_("Where"), required=False, min_value=1, max_value=MOST_KEY)

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        cleaned = super().clean()
        if cleaned.get("before_time") is not None and cleaned.get("before_day") is None and not self.errors:
            self.add_error("before_day", _("Say which day, too."))
        return cleaned

    @property
    def minute(self) -> int:
        """After midnight; the first of the day where no time is said."""
        time = self.cleaned_data["before_time"]
        return 0 if time is None else time.hour * 60 + time.minute


class LiftForm(JobForm):
    """Why it may be cut after all."""

    reason = words_box(_("Why"), 200, is_first=True)
