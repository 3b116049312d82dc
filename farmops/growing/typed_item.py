"""An item as typed: what it is, what it contains, which varieties it is made of; read into columns or refused."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import from_nanograms, is_mass, nanograms, rounded, unit_name
from farmops.farm.typed_figures import (
    cents_text,
    cents_typed,
    figure_text,
    name_of,
    number_of,
    percent_of,
    whole_number,
)
from farmops.growing.models import Item, ItemPart, Variety
from farmops.journal.refusal import Refused

ALL, MOST_DAYS, USUAL_LOSS = Decimal(100), 3660, Decimal(10)
STEP_PLACES = 4  # of a weight: 0.0001 lb


@dataclass(frozen=True, slots=True)
class PartTyped:
    """One part as typed into row `row` of a form; `variety` by name."""

    row: int
    variety: str
    share: str = ""
    at_least: str = ""
    at_most: str = ""

    @property
    def is_empty(self) -> bool:
        return not any(text.strip() for text in (self.variety, self.share, self.at_least, self.at_most))

    def field(self, name: str) -> str:
        """The form's box of one of its figures."""
        return f"{name}_{self.row}"


def facts_of(
    *,
    unit: str,
    step: str = "",
    category: str = "",
    keeps_days: str = "",
    contains: str = "",
    contains_unit: str = "",
    cutting_cost: str = "",
    leftover_value: str = "",
    keep_loss: str = "",
) -> dict[str, object]:
    """Columns of an item.

    Raises
    ------
    Refused
        If one is missing or cannot be.
    """
    called = unit_name(unit)
    if not called:
        raise Refused(_("Say by what it is sold: head, bunch, bag, lb."), field="unit")
    inside = number_of(contains, field="contains", places=4) if contains.strip() else None
    inside_unit = unit_name(contains_unit)
    if inside is not None and not inside_unit:
        raise Refused(_("Say in what: 150 g, 6 oz, 2 heads."), field="contains_unit")
    return {
        "unit": called,
        "step": _step(step, called),
        "category": name_of(category),
        "keeps_days": whole_number(keeps_days, field="keeps_days", most=MOST_DAYS, may_be_zero=True),
        "contains": inside,
        "contains_unit": inside_unit,
        "cutting_cost_cents": cents_typed(cutting_cost, field="cutting_cost"),
        "leftover_value_cents": cents_typed(leftover_value, field="leftover_value"),
        "keep_loss_percent": percent_of(keep_loss, field="keep_loss", empty=USUAL_LOSS, may_be_zero=True),
    }


def _step(typed: str, unit: str) -> int:
    """The smallest amount counted, as amounts of this unit are stored."""
    if is_mass(unit):
        return nanograms(number_of(typed, field="step", places=STEP_PLACES, empty=Decimal(1)), unit)
    return whole_number(typed, field="step", empty=1)


def parts_of(typed: Sequence[PartTyped], varieties: Mapping[str, Variety]) -> list[dict[str, object]]:
    """Columns of each part that is filled in; one alone is all of it.

    Raises
    ------
    Refused
        If there is none, one is no variety or stands there twice, or the shares do not add up to 100.
    """
    filled = [part for part in typed if not part.is_empty]
    if not filled:
        raise Refused(_("Say of which variety it is made."), field="variety_1")
    found: list[dict[str, object]] = []
    for part in filled:
        variety = varieties.get(part.variety)
        if variety is None:
            raise Refused(_("Choose the variety of this part."), field=part.field("variety"))
        if any(other["variety"] == variety for other in found):
            words = _("%(name)s stands there twice. Leave one of the two.")
            raise Refused(words % {"name": variety.name}, field=part.field("variety"))
        found.append({"variety": variety, **_shares(part, alone=len(filled) == 1)})
    _check_sum([Decimal(str(part["share_percent"])) for part in found], filled[-1].field("share"))
    return found


def _shares(part: PartTyped, *, alone: bool) -> dict[str, object]:
    share = percent_of(part.share, field=part.field("share"), empty=ALL if alone else None)
    limits = {
        name: percent_of(text, field=part.field(name), may_be_zero=True) if text.strip() else None
        for name, text in (("at_least", part.at_least), ("at_most", part.at_most))
    }
    least, most = limits["at_least"], limits["at_most"]
    if least is not None and least > share:
        raise Refused(_("The share lies below its own least."), field=part.field("at_least"))
    if most is not None and most < share:
        raise Refused(_("The share lies above its own most."), field=part.field("at_most"))
    return {"share_percent": share, "at_least_percent": least, "at_most_percent": most}


def _check_sum(shares: Sequence[Decimal], field: str) -> None:
    total = sum(shares, Decimal(0))
    if total == ALL:
        return
    scaled = [rounded(share * ALL / total, 1) for share in shares]
    scaled[-1] = ALL - sum(scaled[:-1], Decimal(0))
    words = _("The shares add up to %(total)s, not to 100. In the same proportion they would be %(scaled)s.")
    said = {"total": figure_text(total), "scaled": ", ".join(figure_text(share) for share in scaled)}
    raise Refused(words % said, field=field)


def typed_of(item: Item, parts: Sequence[ItemPart]) -> dict[str, str]:
    """What the boxes of a form would have to say to leave it as it is; parts with their varieties loaded."""
    step = from_nanograms(item.step, item.unit) if is_mass(item.unit) else Decimal(item.step)
    found = {
        "step": figure_text(step),
        "category": item.category,
        "keeps_days": str(item.keeps_days),
        "contains": figure_text(item.contains),
        "contains_unit": item.contains_unit,
        "cutting_cost": cents_text(item.cutting_cost_cents),
        "leftover_value": cents_text(item.leftover_value_cents),
        "keep_loss": figure_text(item.keep_loss_percent),
    }
    for row, part in enumerate(parts, 1):
        found |= {
            f"variety_{row}": part.variety.name,
            f"share_{row}": figure_text(part.share_percent),
            f"at_least_{row}": figure_text(part.at_least_percent),
            f"at_most_{row}": figure_text(part.at_most_percent),
        }
    return found
