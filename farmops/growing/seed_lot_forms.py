"""Forms that set up seed lots. They never write; figures stay text until they are read."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms.models import ModelChoiceIterator
from django.utils.translation import gettext_lazy as _

from farmops.farm import set_forms
from farmops.farm.forms import JobForm
from farmops.farm.typed_figures import figure_text
from farmops.growing.models import SeedLot, Variety
from farmops.growing.natural_order import natural_key


class ByName(ModelChoiceIterator):  # type: ignore[type-arg]  # of varieties
    """Choices in natural order of their names, whatever the database's own order is."""

    def __iter__(self) -> Iterator[tuple[Any, str]]:  # Any: Django's own class for a key with its row
        yield "", "–"
        for row in sorted(self.queryset.all(), key=lambda row: natural_key(row.name)):
            yield self.choice(row)


def _variety_field() -> "forms.ModelChoiceField[Variety]":
    field = forms.ModelChoiceField(
        Variety.objects.all(), label=_("Variety"), error_messages={"required": _("Choose the variety.")}
    )
    field.iterator = ByName
    return field


class SeedLotFactsForm(JobForm):
    """Where seed came from, how much is in hand, how much of it comes up."""

    supplier = set_forms.words(_("From whom"), 80)
    their_lot = set_forms.words(_("Their lot"), 60, _("as it stands on the bag"))
    received_on = set_forms.day(_("Came on"))
    seeds = set_forms.figure(_("Seeds in hand"), _("as counted or weighed; empty = not known"), whole=True)
    germination = set_forms.figure(_("Came up in the last test, %"), _("empty = not tested"))
    tested_on = set_forms.day(_("Tested on"))

    @property
    def facts(self) -> dict[str, Any]:  # Any: text and days
        """What was typed, by the names of the deed."""
        names = [name for name in type(self).base_fields if name not in JobForm.base_fields]
        return {name: self.cleaned_data[name] for name in names}


class SeedLotForm(SeedLotFactsForm):
    """Seed that came."""

    name = set_forms.words(_("Its number or name here"), 40, _("e.g. S26-07"))
    variety = _variety_field()
    field_order = ("name", "variety")


def typed_of(lot: SeedLot) -> dict[str, object]:
    """What a form would have to say to leave it as it is."""
    return {
        "supplier": lot.supplier,
        "their_lot": lot.their_lot,
        "received_on": lot.received_on,
        "seeds": lot.seeds,
        "germination": figure_text(lot.germination_percent),
        "tested_on": lot.tested_on,
    }
