"""The forms at the door. They never write."""

from django import forms
from django.utils.translation import gettext_lazy as _

from farmops.people.models import Role

NAME_ATTRIBUTES = {"autocomplete": "username", "autocapitalize": "words", "spellcheck": "false"}
LONGEST_PASSWORD = 200  # a longer one only costs time to hash


def _new_password() -> forms.CharField:
    return forms.CharField(
        label=_("A password of your own"),
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("At least 8 signs, not a common word and not only figures. Four words in a row are easy to keep."),
    )


class SignInForm(forms.Form):
    name = forms.CharField(label=_("Your name"), max_length=80, widget=forms.TextInput(attrs=NAME_ATTRIBUTES))
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class FirstAccountForm(forms.Form):
    name = forms.CharField(label=_("Your name"), max_length=80, widget=forms.TextInput(attrs=NAME_ATTRIBUTES))
    password = _new_password()


class PasswordForm(forms.Form):
    password = _new_password()


class PhoneForm(forms.Form):
    called = forms.CharField(
        label=_("Name of this phone"), max_length=80, help_text=_("To tell it apart: shed, van, Otto’s own.")
    )
    until_on = forms.DateField(
        label=_("Let in until and with"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )


class PersonForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    role = forms.ChoiceField(label=_("Mostly"), choices=Role.choices, initial=Role.CREW)
