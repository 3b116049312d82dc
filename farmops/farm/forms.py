"""What every job's form carries besides its own fields."""

import secrets

from django import forms


def new_key() -> str:
    """A once-only key, made with the form: the same form sent again is the same job."""
    return secrets.token_urlsafe(18)


class JobForm(forms.Form):
    """The once-only key, the questions answered with yes, and where to go afterwards. Never writes."""

    once = forms.CharField(max_length=80, widget=forms.HiddenInput, initial=new_key)
    yes = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    next = forms.CharField(required=False, max_length=300, widget=forms.HiddenInput)

    @property
    def answered(self) -> frozenset[str]:
        """Questions that were answered with yes."""
        return frozenset(filter(None, self.cleaned_data.get("yes", "").split(" ")))
