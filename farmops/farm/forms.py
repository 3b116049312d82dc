"""What every job's form carries besides its own fields."""

import secrets
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

LONGEST_KEY = 80
MOST_WORDS = 200


def new_key() -> str:
    """A once-only key, made with the form: the same form sent again is the same job."""
    return secrets.token_urlsafe(18)


class JobForm(forms.Form):
    """The once-only key, the questions answered with yes, where to go afterwards, a word for what is let back.

    It never writes.
    """

    once = forms.CharField(widget=forms.HiddenInput, initial=new_key)
    yes = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    next = forms.CharField(required=False, max_length=300, widget=forms.HiddenInput)
    because = forms.CharField(required=False, max_length=MOST_WORDS, widget=forms.HiddenInput)

    def __init__(self, typed: QueryDict | None = None, *args: Any, **rest: Any) -> None:  # Any: as Django's own
        self._has_key = typed is None or 0 < len(typed.get("once", "").strip()) <= LONGEST_KEY
        if typed is not None and not self._has_key:
            typed = typed.copy()
            typed["once"] = new_key()
        super().__init__(typed, *args, **rest)

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        if not self._has_key:
            raise forms.ValidationError(_("This form came without its key, so nothing was saved. Send it once more."))
        return super().clean() or {}

    @property
    def answered(self) -> frozenset[str]:
        """Questions that were answered with yes."""
        return frozenset(filter(None, self.cleaned_data.get("yes", "").split(" ")))
