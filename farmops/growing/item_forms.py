"""Forms that set up items. They never write; figures stay text until they are read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from farmops.farm import set_forms
from farmops.farm.forms import JobForm
from farmops.growing.typed_item import PartTyped

MOST_PARTS, SHOWN_PARTS = 8, 3
PART = ("variety", "share", "at_least", "at_most")


@dataclass(frozen=True, slots=True)
class PartRow:
    """The boxes of one part."""

    number: int
    variety: BoundField
    share: BoundField
    at_least: BoundField
    at_most: BoundField

    @property
    def is_filled(self) -> bool:
        return any(box.value() for box in (self.variety, self.share))

    @property
    def finer(self) -> list[BoundField]:
        """Boxes that few need."""
        return [self.at_least, self.at_most]

    @property
    def has_finer(self) -> bool:
        return any(box.value() for box in self.finer)


class ItemFactsForm(JobForm):
    """What an item contains, keeps and costs, and its parts."""

    contains = set_forms.figure(_("One contains"), _("e.g. 150 for a 150 g bag; empty = it is what is cut"))
    contains_unit = set_forms.words(_("of"), 20, _("g, oz, head; as its varieties are cut"), suggested="units")
    keeps_days = set_forms.figure(_("Days it keeps after cutting"), _("0 = the same day only"), whole=True)
    step = set_forms.figure(_("Smallest amount counted"), _("in its unit, e.g. 0.25 for weights; empty = 1"))
    category = set_forms.words(_("Category"), 60, _("items that sell alike share it"), suggested="categories")
    cutting_cost = set_forms.figure(_("What cutting and packing one costs"), _("empty = nothing noted"))
    leftover_value = set_forms.figure(_("What one that came back is worth"), _("empty = nothing"))
    keep_loss = set_forms.figure(_("Lost in a week in the cold room, %"), _("empty = 10"))

    def __init__(
        self, typed: QueryDict | None = None, *, varieties: Iterable[str], **rest: Any
    ) -> None:  # Any: Django's
        super().__init__(typed, **rest)
        choices = [("", "–"), *((name, name) for name in varieties)]
        for row in range(1, MOST_PARTS + 1):
            self.fields |= _boxes(row, choices)

    @property
    def facts(self) -> dict[str, str]:
        """What was typed besides the parts, by the names of the deed."""
        names = [name for name in type(self).base_fields if name not in JobForm.base_fields]
        return {name: self.cleaned_data[name] for name in names}

    @property
    def plain(self) -> list[BoundField]:
        """Boxes besides those of the parts."""
        return [self[name] for name in type(self).base_fields if name not in JobForm.base_fields]

    @property
    def rows(self) -> list[PartRow]:
        """The boxes of all parts."""
        return [PartRow(row, **{name: self[f"{name}_{row}"] for name in PART}) for row in range(1, MOST_PARTS + 1)]

    @property
    def shown(self) -> list[PartRow]:
        """Parts that stand open on the page: those filled in, and at least three."""
        filled = max((row.number for row in self.rows if row.is_filled), default=0)
        return self.rows[: max(filled, SHOWN_PARTS)]

    @property
    def more(self) -> list[PartRow]:
        return self.rows[len(self.shown) :]

    @property
    def parts(self) -> list[PartTyped]:
        """What was typed of the parts."""
        return [
            PartTyped(row, **{name: self.cleaned_data.get(f"{name}_{row}", "") for name in PART})
            for row in range(1, MOST_PARTS + 1)
        ]


class ItemForm(ItemFactsForm):
    """A new item."""

    name = set_forms.words(_("Name of the item"), 60, _("as customers know it, e.g. salad mix"))
    unit = set_forms.words(_("Sold by the"), 20, _("head, bunch, bag, lb; it stays"), suggested="units")
    field_order = ("name", "unit")


def _boxes(row: int, varieties: list[tuple[str, str]]) -> Mapping[str, forms.Field]:
    return {
        f"variety_{row}": forms.ChoiceField(label=_("Variety"), choices=varieties, required=False),
        f"share_{row}": set_forms.figure(_("Share, %")),
        f"at_least_{row}": set_forms.figure(_("The mix may go down to, %")),
        f"at_most_{row}": set_forms.figure(_("and up to, %")),
    }
