"""Where in the sheets a figure stands that the programme cannot work with."""

import re

from django.utils.translation import gettext as _

from farmops.planning.rows import FarmRows, Fault


def fault_of(refused: ValueError, rows: FarmRows) -> Fault | None:
    """The refusal as a fault with its sheet, row and column, as far as its subject tells; None where it tells nothing.

    The programme names its subject first: a planting, an item or an item's sowing, or the kind of space of a stage.
    """
    subject, colon, problem = str(refused).partition(": ")
    if not colon:
        return None
    found = _place(subject, rows)
    if found is None:
        return None
    sheet, row, column = found
    return Fault(
        sheet,
        row,
        column,
        _("No plan can be made from these figures: %(subject)s: %(why)s.") % {"subject": subject, "why": problem},
        _("Check them, and try again."),
    )


def _place(subject: str, rows: FarmRows) -> tuple[str, int, str] | None:
    """Sheet, row and column."""
    planting = re.sub(r"(/\d+)?(\.\d+)?$", "", subject)
    for one in rows.plantings:
        if planting == one.planting:
            return "plantings", one.row, "planting"
    for stage in sorted(rows.schedules, key=lambda stage: (stage.days, stage.row)):
        if subject == stage.kind:
            return "schedules", stage.row, "days"
    for variety in rows.varieties:
        if re.search(rf"(^| ){re.escape(variety.variety)} week \d+$", subject):
            last = max((one for one in rows.schedules if one.variety == variety.variety), key=lambda one: one.stage)
            return "schedules", last.row, "variety"
    for item in rows.items:
        if subject in (item.item, f"mix {item.item}"):
            return "items", item.row, "item"
    return None
