"""The buttons of a market day before it is held, each to its deed."""

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from farmops.farm.forms import JobForm
from farmops.journal.deed import Done, Saying
from farmops.planning.market_before import advised_numbers, to_load
from farmops.selling.load_van import load
from farmops.selling.market_facts import known_lines
from farmops.selling.models import MarketDay
from farmops.selling.plan_market_day import set_own_number

WHAT = ("keep", "load")


class BeforeForm(JobForm):
    """Which button was pressed; the boxes of the lines are read by their deed."""

    what = forms.ChoiceField(
        choices=[(word, word) for word in WHAT],
        error_messages={
            "required": _("Press one of the buttons."),
            "invalid_choice": _("Press one of the buttons."),
        },
    )


def before_deed(saying: Saying, day: MarketDay, typed: QueryDict, form: BeforeForm) -> Done:
    """Do what was pressed.

    Raises
    ------
    Refused, NeedsYes
        As the deeds.
    """
    what = form.cleaned_data["what"]
    if what == "keep":
        boxes = {known.line.pk: typed.get(f"own-{known.line.pk}") for known in known_lines(day)}
        own = {key: text for key, text in boxes.items() if text is not None}
        advised = advised_numbers(day)
        return set_own_number(saying=saying, market_day=day, typed=own, advised=advised, yes=form.answered)
    return load(saying=saying, market_day=day, typed=to_load(day, typed, saying.day), yes=form.answered)
