"""What is named in one sheet and left empty in another: with it no plan could do what it promises."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from farmops.exchange.sheets.columns import SHEETS
from farmops.planning.rows import FarmRows, Fault


def not_filled(rows: FarmRows) -> Iterable[Fault]:
    """What stands in one sheet and has nothing in another that it cannot do without: no plan would use it."""
    empty = {sheet.name: sheet for sheet in SHEETS if sheet.needed and not getattr(rows, sheet.name)}
    for name, sheet in empty.items():
        if name != "farm":  # that there is one row of it is checked by itself
            yield Fault(
                name, None, "", _("This sheet has no rows."), _("Fill it in: %(what)s.") % {"what": sheet.meaning}
            )
    scheduled = {stage.variety for stage in rows.schedules}
    for variety in rows.varieties if "schedules" not in empty else ():
        if variety.variety not in scheduled:
            yield Fault(
                "varieties",
                variety.row,
                "variety",
                _("%(variety)s has no schedule.") % {"variety": variety.variety},
                _("Add its stages to the sheet schedules."),
            )
    made = {part.item for part in rows.item_parts}
    for item in rows.items if "item_parts" not in empty else ():
        if item.item not in made:
            yield Fault(
                "items",
                item.row,
                "item",
                _("Nothing says what %(item)s is made of.") % {"item": item.item},
                _("Add its varieties to the sheet item_parts."),
            )
    priced = {price.outlet for price in rows.prices}
    for outlet in rows.outlets if "prices" not in empty else ():
        if outlet.kind == "market" and not priced & {"", outlet.outlet}:
            yield Fault(
                "outlets",
                outlet.row,
                "outlet",
                _("Nothing has a price at %(outlet)s.") % {"outlet": outlet.outlet},
                _("Add one to the sheet prices; with an empty outlet it holds everywhere."),
            )
