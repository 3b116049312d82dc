"""Shade and lamps of the kinds of space: what cannot be, and what two rows of one kind say differently."""

from collections.abc import Iterable
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.planning.rows import FarmRows, Fault, KindLight, Space

MOST = {"shade": Decimal(99), "lamp_hours": Decimal(24), "lamp_light": Decimal(3000)}  # %, h, µmol m⁻² s⁻¹


def light_faults(rows: FarmRows) -> Iterable[Fault]:
    """Every fault of shade and lamps in the sheet of spaces."""
    said: dict[str, KindLight] = {}
    for space in rows.spaces:
        yield from _too_much(space)
        if space.lamp_hours and not space.lamp_light:
            yield Fault(
                "spaces", space.row, "lamp_light",
                _("Lamps burn there, and it is not said how much light they give."),
                _("Write their µmol/m²s where the leaves are, or leave lamp_hours empty."),
            )  # fmt: skip
        here = KindLight(space.kind, space.shade, space.lamp_hours, space.lamp_light)
        if here != KindLight(space.kind) and said.setdefault(space.kind, here) != here:
            yield Fault(
                "spaces", space.row, "shade" if said[space.kind].shade != here.shade else "lamp_hours",
                _("Another row of this kind says something else of its light."),
                _("Write the same in both rows, or leave one of them empty."),
            )  # fmt: skip


def _too_much(space: Space) -> Iterable[Fault]:
    largest = {
        "shade": max((percent for _since, percent in space.shade), default=Decimal(0)),
        "lamp_hours": max((hours for _since, hours in space.lamp_hours), default=Decimal(0)),
        "lamp_light": Decimal(space.lamp_light or 0),
    }
    for column, most in MOST.items():
        if largest[column] > most:
            yield Fault(
                "spaces", space.row, column, _("So much cannot be meant here."),
                _("Write %(most)s or less.") % {"most": most},
            )  # fmt: skip
