"""Forms of the harvest. They read what was typed and never write; amounts stay text until the deed reads them."""

from collections.abc import Sequence
from datetime import date, time
from typing import TYPE_CHECKING, Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.farm.forms import JobForm
from farmops.growing.models import Item, Planting, Stay
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.models import CrateKind, StockMove

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

LONGEST_AMOUNT = 40
WEIGHT_UNITS = ("lb", "oz", "kg", "g")
COUNT_UNITS = (("head", gettext_lazy("heads")), ("bunch", gettext_lazy("bunches")))


def figure_box(label: "str | _StrPromise", *, whole: bool = False) -> forms.CharField:
    """A box for a figure: text, so that nothing typed is lost, with the number pad of a phone."""
    pad = {"inputmode": "numeric" if whole else "decimal", "autocomplete": "off", "class": "figure"}
    return forms.CharField(
        label=label, required=False, max_length=LONGEST_AMOUNT, strip=False, widget=forms.TextInput(attrs=pad)
    )


def parts_box(label: "str | _StrPromise", initial: int | None = None) -> forms.IntegerField:
    """A box for a small whole number."""
    words = gettext_lazy("Parts, and which cutting it was, are whole numbers from 1 to 999.")
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=1,
        max_value=999,
        initial=initial,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "figure"}),
        error_messages={"invalid": words, "min_value": words, "max_value": words},
    )


class PickForm(JobForm):
    """What was cut of a planting.

    Parameters
    ----------
    typed : QueryDict or None
    count_units : sequence of str
        What this planting may be counted in, beside heads and bunches.
    stays : sequence of Stay
        Where it stands, in walking order.
    others : sequence of Planting
        What is likely to lie in the same crate; each has a box.
    more_others : sequence of Planting
        What may lie in it besides; one of them can be chosen.
    """

    count = figure_box(gettext_lazy("How many"), whole=True)
    count_unit = forms.ChoiceField(label=gettext_lazy("Counted in"), required=False)
    weight = figure_box(gettext_lazy("Weight"))
    weight_unit = forms.ChoiceField(
        label=gettext_lazy("Weighed in"), required=False, choices=[(unit, unit) for unit in WEIGHT_UNITS]
    )
    ounces = figure_box(gettext_lazy("and ounces"))
    crate = forms.ChoiceField(label=gettext_lazy("Weighed with crates"), required=False)
    crates = figure_box(gettext_lazy("How many crates"), whole=True)
    culled = figure_box(gettext_lazy("Thrown out, counted"), whole=True)
    culled_weight = figure_box(gettext_lazy("Thrown out, weighed"))
    stay = forms.ChoiceField(label=gettext_lazy("Cut in"), required=False)
    day = forms.DateField(
        label=gettext_lazy("Day"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("That day does not exist. Choose another.")},
    )
    at = forms.TimeField(
        label=gettext_lazy("Time"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": gettext_lazy("Type the time like 07:10.")},
    )
    cutting = parts_box(gettext_lazy("Which cutting"))
    parts = parts_box(gettext_lazy("Parts of this planting"), initial=1)
    other = forms.ChoiceField(label=gettext_lazy("Another planting"), required=False)
    other_parts = parts_box(gettext_lazy("Its parts"))
    planting = forms.CharField(label=gettext_lazy("Planting"), required=False, max_length=20)
    list_of = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        typed: QueryDict | None = None,
        *args: Any,  # Any: as Django's own
        count_units: Sequence[str] = (),
        stays: Sequence[Stay] = (),
        others: Sequence[Planting] = (),
        more_others: Sequence[Planting] = (),
        crate_kinds: Sequence[CrateKind] = (),
        **rest: Any,  # Any: as Django's own
    ) -> None:
        super().__init__(typed, *args, **rest)
        self.others = {f"also_{planting.pk}": planting for planting in others}
        self.more_others = {str(planting.pk): planting for planting in more_others}
        self.stays = {str(stay.pk): stay for stay in stays}
        self.crate_kinds = {str(kind.pk): kind for kind in crate_kinds}
        known = dict(COUNT_UNITS)
        self.fields["count_unit"] = forms.ChoiceField(
            label=_("Counted in"),
            required=False,
            choices=[*COUNT_UNITS, *((unit, unit) for unit in dict.fromkeys(count_units) if unit not in known)],
        )
        self.fields["stay"] = forms.ChoiceField(
            label=_("Cut in"),
            required=False,
            choices=[("", _("not said")), *((key, stay.space.name) for key, stay in self.stays.items())],
        )
        self.fields["crate"] = forms.ChoiceField(
            label=_("Weighed with crates"),
            required=False,
            choices=[("", _("no crate")), *((key, kind.name) for key, kind in self.crate_kinds.items())],
        )
        for name, planting in self.others.items():
            self.fields[name] = parts_box(planting.code)
        codes = ((key, f"{planting.code} {planting.variety.name}") for key, planting in self.more_others.items())
        self.fields["other"] = forms.ChoiceField(
            label=_("Another planting"), required=False, choices=[("", _("none")), *codes]
        )

    def clean_other_parts(self) -> int | None:
        """Parts of nothing would be lost without a word."""
        parts: int | None = self.cleaned_data["other_parts"]
        if parts and not self.cleaned_data.get("other"):
            raise forms.ValidationError(_("Say of which planting these parts are."))
        return parts

    @property
    def in_one_crate(self) -> list[tuple[forms.BoundField, Planting]]:
        """The boxes for parts of other plantings."""
        return [(self[name], planting) for name, planting in self.others.items()]

    @property
    def cut(self) -> TypedCut:
        """The boxes as they were filled in."""
        typed = self.cleaned_data
        return TypedCut(
            count=typed["count"],
            count_unit=typed["count_unit"] or "head",
            weight=typed["weight"],
            weight_unit=typed["weight_unit"] or "lb",
            ounces=typed["ounces"],
            crate=self.crate_kinds.get(typed["crate"]) if self.is_weighed else None,
            crates=typed["crates"] if self.is_weighed else "",
            culled=typed["culled"],
            culled_weight=typed["culled_weight"],
        )

    @property
    def is_weighed(self) -> bool:
        """Crates stand ready in the form from last time; where nothing was weighed they mean nothing."""
        return bool(self.cleaned_data["weight"].strip() or self.cleaned_data["ounces"].strip())

    @property
    def chosen_stay(self) -> Stay | None:
        return self.stays.get(self.cleaned_data["stay"])

    @property
    def list_day(self) -> date | None:
        """The day of the pick list somebody came from."""
        try:
            return date.fromisoformat(self.cleaned_data["list_of"])
        except ValueError:
            return None

    @property
    def minute(self) -> int | None:
        at: time | None = self.cleaned_data["at"]
        return None if at is None else at.hour * 60 + at.minute

    @property
    def in_the_crate(self) -> list[tuple[Planting, int]]:
        """Other plantings in the same crate, with their parts."""
        parts = ((planting, self.cleaned_data.get(name)) for name, planting in self.others.items())
        found = [(planting, share) for planting, share in parts if share]
        other = self.more_others.get(self.cleaned_data.get("other", ""))
        return found if other is None else [*found, (other, self.cleaned_data.get("other_parts") or 1)]


class LiesForm(JobForm):
    """What is done with one lot in the cold room: counted, or taken out by hand."""

    do = forms.ChoiceField(choices=[("count", "count"), ("out", "out")])
    there = figure_box(gettext_lazy("Really there"))
    amount = figure_box(gettext_lazy("How much"))
    why = forms.ChoiceField(
        label=gettext_lazy("Where it went"),
        required=False,
        choices=[
            (StockMove.Why.COMPOST, gettext_lazy("thrown on the compost")),
            (StockMove.Why.DONATED, gettext_lazy("given away")),
            (StockMove.Why.EATEN, gettext_lazy("eaten at home")),
        ],
    )
    where_to = forms.CharField(label=gettext_lazy("To whom"), required=False, max_length=80)


class PackForm(JobForm):
    """So much as cut, packed to so much of an item."""

    item = forms.ChoiceField(label=gettext_lazy("Packed as"), error_messages={"required": gettext_lazy("Say as what.")})
    used = figure_box(gettext_lazy("Taken, as cut"))
    used_unit = forms.ChoiceField(label=gettext_lazy("in"), required=False)
    packed = figure_box(gettext_lazy("Packed"))

    def __init__(
        self,
        typed: QueryDict | None = None,
        *args: Any,  # Any: as Django's own
        items: Sequence[Item] = (),
        units: Sequence[str] = (),
        **rest: Any,  # Any: as Django's own
    ) -> None:
        super().__init__(typed, *args, **rest)
        self.items = {str(item.pk): item for item in items}
        item_field, unit_field = self.fields["item"], self.fields["used_unit"]
        choices = [(key, f"{item.name} ({item.unit})") for key, item in self.items.items()]
        item_field.choices = choices  # type: ignore[attr-defined]  # it is a list of choices
        unit_field.choices = [(unit, unit) for unit in units]  # type: ignore[attr-defined]  # it is a list of choices
        self.first_unit = units[0] if units else ""

    @property
    def typed(self) -> dict[str, Any]:  # Any: arguments of the deed by their names
        given = self.cleaned_data
        return {
            "item": self.items[given["item"]],
            "used": given["used"],
            "used_unit": given["used_unit"] or self.first_unit,
            "packed": given["packed"],
        }


class CrateForm(JobForm):
    """A kind of crate and what it weighs empty."""

    name = forms.CharField(label=gettext_lazy("Name"), required=False, max_length=40)
    tare = figure_box(gettext_lazy("Empty, it weighs"))
    unit = forms.ChoiceField(label=gettext_lazy("in"), required=False, choices=[(unit, unit) for unit in WEIGHT_UNITS])

    @property
    def typed(self) -> dict[str, str]:
        given = self.cleaned_data
        return {"name": given["name"], "tare": given["tare"], "unit": given["unit"] or "lb"}
