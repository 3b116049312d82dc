"""What somebody hands over on the first screen."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

LARGEST_SHEET = 10 * 2**20  # bytes; a market notebook of 10,000 rows has about one million


class DropForm(forms.Form):
    """A file or pasted rows: exactly one of them."""

    sheet = forms.FileField(label=_("A sheet: CSV or XLSX"), required=False, allow_empty_file=True)
    pasted = forms.CharField(
        label=_("or paste the rows here, with their headings"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off"}),
    )
    answers = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        cleaned = super().clean() or {}
        sheet, pasted = cleaned.get("sheet"), (cleaned.get("pasted") or "").strip()
        if sheet is None and not pasted:
            raise forms.ValidationError(_("Choose a sheet or paste some rows first."))
        if sheet is not None and pasted:
            raise forms.ValidationError(_("There is a file and there are pasted rows. Clear one of them."))
        if sheet is not None and sheet.size > LARGEST_SHEET:
            raise forms.ValidationError(
                _("This file has %(size)d MB; the most is %(most)d MB. Save only the sheet with your market days.")
                % {"size": round(sheet.size / 2**20), "most": LARGEST_SHEET // 2**20}
            )
        return cleaned
