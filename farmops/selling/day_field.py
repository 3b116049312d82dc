"""A day in a form of selling: one of this century, so that weeks can be counted from it."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

FIRST_YEAR, LAST_YEAR = 2000, 2099


def check_century(day: date) -> None:
    """Say no to a year that was mistyped.

    Raises
    ------
    ValidationError
    """
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValidationError(_("The year %(year)d is mistyped, it seems.") % {"year": day.year})


def day_field(**rest: Any) -> forms.DateField:  # Any: as the field's own
    """A day with its own box of the browser."""
    widget = forms.DateInput(attrs={"type": "date"})
    return forms.DateField(widget=widget, validators=[check_century], **rest)
