"""What is different between two versions of a pick list, each difference in one line one can work from."""

from collections.abc import Iterable, Mapping, Sequence

from django.utils.translation import gettext as _

from farmops.harvest.amounts_shown import figure, with_unit
from farmops.harvest.models import PickLine
from farmops.harvest.pick_sheets import Part, part_of

Key = tuple[Part, object, object]


def changes_between(old: Sequence[PickLine], new: Sequence[PickLine]) -> list[str]:
    """Every line that came, went or changed, in the order of the newer list; what went stands last."""
    before, after = ({_key(line): line for line in lines} for lines in (old, new))
    found = []
    for key, line in after.items():
        was = before.get(key)
        if was is None:
            found.append(_came(line))
        elif words := _changed(was, line):
            found.append(words)
    gone = [line for key, line in before.items() if key not in after]
    return found + [_went(line) for line in gone if not _is_said_anew(line, after)]


def _is_said_anew(line: PickLine, after: Iterable[Key]) -> bool:
    """What must not be cut of a planting stands in other words on the newer list."""
    return part_of(line) is Part.OFF and (Part.OFF, line.planting_id) in {key[:2] for key in after}


def _key(line: PickLine) -> Key:
    part = part_of(line)
    if part is Part.CUT:
        return part, line.planting_id, line.stay_id
    if part is Part.PACK:
        return part, line.item_id, None
    if part is Part.OFF:
        return part, line.planting_id, line.words
    return part, line.words, None


def cut_in_words(line: PickLine) -> str:
    """N-1, P26-184 Green butterhead."""
    planting = line.planting
    what = f"{planting.code} {planting.variety.name}" if planting else ""
    return f"{line.stay.space.name}, {what}" if line.stay else what


def _came(line: PickLine) -> str:
    part = part_of(line)
    if part is Part.CUT:
        return _("New: cut %(amount)s in %(where)s") % {
            "amount": with_unit(line.amount, line.unit),
            "where": cut_in_words(line),
        }
    if part is Part.PACK and line.item:
        return _("New: pack %(amount)s of %(item)s") % {
            "amount": with_unit(line.packed, line.packed_unit),
            "item": line.item.name,
        }
    if part is Part.STOCK:
        return _("New: from the cold room %(amount)s of %(what)s") % {
            "amount": with_unit(line.amount, line.unit),
            "what": line.words,
        }
    return _("New: %(words)s") % {"words": line.words} if part is Part.OFF else line.words


def _went(line: PickLine) -> str:
    part = part_of(line)
    if part is Part.CUT:
        return _("No longer: cut %(amount)s in %(where)s") % {
            "amount": with_unit(line.amount, line.unit),
            "where": cut_in_words(line),
        }
    if part is Part.PACK and line.item:
        return _("No longer: pack %(item)s") % {"item": line.item.name}
    return _("No longer: %(words)s") % {"words": line.words}


def _changed(old: PickLine, new: PickLine) -> str:
    part = part_of(new)
    words = {
        "new": with_unit(new.amount, new.unit) if new.unit else "",
        "old": figure(old.amount, old.unit) if old.unit else "",
    }
    if part is Part.CUT and old.amount != new.amount:
        return _("%(where)s: cut %(new)s instead of %(old)s") % {**words, "where": cut_in_words(new)}
    if part is Part.STOCK and old.amount != new.amount:
        return _("%(what)s: take %(new)s instead of %(old)s") % {**words, "what": new.words}
    if part is Part.PACK and (old.packed, old.short, old.for_whom) != (new.packed, new.short, new.for_whom):
        return _packed_otherwise(old, new)
    return ""


def _packed_otherwise(old: PickLine, new: PickLine) -> str:
    before, after = _by_outlet(old), _by_outlet(new)
    split = []
    for outlet in dict.fromkeys((*after, *before)):
        had, has = before.get(outlet), after.get(outlet)
        if has is None:
            split.append(_("%(outlet)s no longer") % {"outlet": outlet})
        elif had is None:
            split.append(_("%(outlet)s %(amount)s, new") % {"outlet": outlet, "amount": figure(has, new.packed_unit)})
        elif had != has:
            figures = {"amount": figure(has, new.packed_unit), "was": figure(had, new.packed_unit)}
            split.append(_("%(outlet)s %(amount)s instead of %(was)s") % {"outlet": outlet, **figures})
    words = {
        "item": new.item.name if new.item else "",
        "new": with_unit(new.packed, new.packed_unit),
        "old": figure(old.packed, new.packed_unit),
        "split": ", ".join(split),
    }
    if old.packed == new.packed:
        if split:
            return _("%(item)s: pack %(new)s as before: %(split)s") % words
        return _("%(item)s: pack %(new)s as before; what is short changed") % words
    if split:
        return _("%(item)s: pack %(new)s instead of %(old)s: %(split)s") % words
    return _("%(item)s: pack %(new)s instead of %(old)s") % words


def _by_outlet(line: PickLine) -> Mapping[str, int]:
    return {outlet: got for outlet, got, _short in line.for_whom}
