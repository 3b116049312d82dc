"""What is typed to ask "what if". Never writes."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.growing.models import Space
from farmops.growing.natural_order import natural_key
from farmops.planning.altered_rows import Alteration, BoxesMore, MarketMore, OutOfUse, PriceChanged
from farmops.selling.day_field import day_field
from farmops.selling.models import BoxCount, Outlet
from farmops.selling.models.outlets import WEEKDAYS
from farmops.selling.order_forms import item_field, outlet_field

MOST_BOXES, LEAST_PERCENT, MOST_PERCENT = 500, -90, 300
FIGURE = {"inputmode": "numeric", "autocomplete": "off", "class": "figure"}


class WhatIfForm(forms.Form):
    """From a day on; what differs is said by each kind."""

    first = day_field(label=gettext_lazy("From"))

    def change(self) -> Alteration:
        """What is asked for, of a valid form."""
        raise NotImplementedError


class SpanForm(WhatIfForm):
    """From a day to another."""

    last = day_field(label=gettext_lazy("Until"), required=False, help_text=gettext_lazy("empty = for good"))

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        cleaned = super().clean() or {}
        if cleaned.get("first") and cleaned.get("last") and cleaned["last"] < cleaned["first"]:
            self.add_error("last", _("It ends before it begins."))
        return cleaned


class MarketForm(SpanForm):
    outlet = outlet_field(Outlet.Kind.MARKET, label=gettext_lazy("Market"))
    weekday = forms.TypedChoiceField(choices=WEEKDAYS, coerce=int, label=gettext_lazy("also on"))
    field_order = ("outlet", "weekday", "first", "last")

    def clean(self) -> dict[str, Any]:  # Any: Django's own signature of cleaned values
        cleaned = super().clean()
        if cleaned.get("outlet") and cleaned["outlet"].weekday == cleaned.get("weekday"):
            self.add_error("weekday", _("It is held on that day already."))
        return cleaned

    def change(self) -> Alteration:
        said = self.cleaned_data
        return MarketMore(said["outlet"].name, said["weekday"], said["first"], said["last"])


class BoxesForm(SpanForm):
    size = forms.ChoiceField(label=gettext_lazy("Box"))
    more = forms.IntegerField(
        label=gettext_lazy("How many more"),
        help_text=gettext_lazy("fewer: with a minus"),
        min_value=-MOST_BOXES,
        max_value=MOST_BOXES,
        widget=forms.TextInput(attrs=FIGURE),
    )
    field_order = ("size", "more", "first", "last")

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # Any: Django's own signature
        super().__init__(*args, **kwargs)
        sizes = set(BoxCount.objects.live().values_list("box__name", "size"))
        self.fields["size"].choices = [  # type: ignore[attr-defined]  # a field of choices
            (f"{box}/{size}", f"{box}, {size}" if size else box) for box, size in sorted(sizes)
        ]

    def change(self) -> Alteration:
        said = self.cleaned_data
        box, _slash, size = said["size"].rpartition("/")
        return BoxesMore(box, size, said["more"], said["first"], said["last"])


class SpaceForm(SpanForm):
    space = forms.ChoiceField(label=gettext_lazy("Out of use"))
    field_order = ("space", "first", "last")

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # Any: Django's own signature
        super().__init__(*args, **kwargs)
        names = sorted(Space.objects.values_list("name", "kind__name"), key=lambda one: (one[1], natural_key(one[0])))
        self.fields["space"].choices = [(name, f"{kind} {name}") for name, kind in names]  # type: ignore[attr-defined]  # a field of choices

    def change(self) -> Alteration:
        said = self.cleaned_data
        return OutOfUse(said["space"], said["first"], said["last"])


class PriceForm(WhatIfForm):
    item = item_field(label=gettext_lazy("Price of"))
    percent = forms.IntegerField(
        label=gettext_lazy("up by %"),
        help_text=gettext_lazy("down: with a minus"),
        min_value=LEAST_PERCENT,
        max_value=MOST_PERCENT,
        widget=forms.TextInput(attrs=FIGURE),
    )
    field_order = ("item", "percent", "first")

    def change(self) -> Alteration:
        said = self.cleaned_data
        return PriceChanged(said["item"].name, said["percent"], said["first"])


FORMS: dict[str, type[WhatIfForm]] = {
    "market": MarketForm,
    "boxes": BoxesForm,
    "space": SpaceForm,
    "price": PriceForm,
}
