"""Units as people say them: 1 head, 24 heads."""

from django.utils.translation import gettext_lazy as _

MANY = {
    "head": _("heads"),
    "bunch": _("bunches"),
    "bag": _("bags"),
    "tray": _("trays"),
    "plant": _("plants"),
    "box": _("boxes"),
}


def unit_of_many(unit: str) -> str:
    """What stands behind any number but 1; a unit that is not known stays as it is."""
    return str(MANY.get(unit, unit))
