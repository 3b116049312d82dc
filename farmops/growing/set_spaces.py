"""Spaces set on a page: new ones of a kind, other places from a day on, out of use from a day on. What was, stays."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.days import day_in_words, farm_day
from farmops.farm.row_moves import bring_in
from farmops.farm.typed_figures import name_of, whole_number
from farmops.growing.balance import lock_spaces
from farmops.growing.ground import rooms_of
from farmops.growing.models import Space, SpaceKind, SpaceSpell
from farmops.growing.plan_stay import clash_in_words
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused

MOST_AT_ONCE = 200
MOST_PLACES = 10_000
LONGEST_NAME = 40
Answer = tuple[str, Mapping[str, object]]


def add_spaces(*, saying: Saying, kind: str, names: str, places: str, from_on: date | None = None) -> Done:
    """Spaces of one kind, as many places in each; a kind of a new name begins with them.

    Raises
    ------
    Refused
        If a name or the places cannot be read, or there is a space of that name already.
    """
    called = name_of(kind)
    if not called:
        raise Refused(_("Say what kind of space it is, e.g. finishing channel."), field="kind")
    wanted = names_typed(names)
    each = whole_number(places, field="places", most=MOST_PLACES)

    def write(entry: Entry) -> Answer:
        kinds = list(SpaceKind.objects.order_by("pk").select_for_update(no_key=True))
        there = {space.name.casefold() for space in Space.objects.all()}
        if known := [name for name in wanted if name.casefold() in there]:
            raise Refused(_("There is a space %(name)s already.") % {"name": ", ".join(known[:5])}, field="names")
        of_kind = next((one for one in kinds if one.name.casefold() == called.casefold()), None)
        if of_kind is None:
            of_kind = SpaceKind(name=called, walk_order=max((one.walk_order for one in kinds), default=-1) + 1)
            bring_in(entry, of_kind)
        spaces = [Space(name=name, kind=of_kind) for name in wanted]
        bring_in(entry, *spaces)
        bring_in(entry, *(SpaceSpell(space=space, places=each, from_on=from_on) for space in spaces))
        return _added(of_kind, wanted, each, from_on), {"kind": of_kind.pk, "spaces": len(spaces)}

    return do_once(saying, Job.SET, write)


def names_typed(text: str) -> list[str]:
    """F-01 to F-20, or S-1, S-2: each name once, in the order typed.

    Raises
    ------
    Refused
        If there is none, one cannot be, or one stands there twice.
    """
    parts = [part for part in (name_of(part) for part in re.split(r"[,;\n]", text)) if part]
    found = [name for part in parts for name in _run_of(part)]
    if not found:
        raise Refused(_("Write a name, e.g. F-01, or many: F-01 to F-20."), field="names")
    if len(found) > MOST_AT_ONCE:
        raise Refused(_("These are more than %(n)d at once.") % {"n": MOST_AT_ONCE}, field="names")
    seen: set[str] = set()
    for name in found:
        if len(name) > LONGEST_NAME:
            raise Refused(_("“%(name)s” is too long for a name.") % {"name": name[:50]}, field="names")
        if name.casefold() in seen:
            raise Refused(_("%(name)s stands there twice.") % {"name": name}, field="names")
        seen.add(name.casefold())
    return found


def set_places(
    *, saying: Saying, space: Space, places: str, from_on: date | None, yes: frozenset[str] = frozenset()
) -> Done:
    """So many places from a day on; days before keep theirs. A space out of use is in use again.

    Raises
    ------
    Refused
        If another figure holds from a later day already.
    NeedsYes
        If what stands there, or is to, has too few places then.
    """
    many = whole_number(places, field="places", most=MOST_PLACES)
    first = from_on or saying.day

    def write(entry: Entry) -> Answer:
        last = _last_spell(space, first)
        if (last.from_on or date.min) == first:
            change(entry, last, places=many)
        else:
            is_over = last.to_on is not None and last.to_on <= first
            fresh = SpaceSpell(space=space, places=many, from_on=first, to_on=None if is_over else last.to_on)
            if not is_over:
                change(entry, last, to_on=first)
            bring_in(entry, fresh)
        _ask_room(space, saying, yes)
        words = {"space": space.name, "places": _places(many), "day": day_in_words(first)}
        return _("%(space)s: %(places)s from %(day)s on") % words, {"space": space.pk}

    return do_once(saying, Job.SET, write)


def close_space(*, saying: Saying, space: Space, from_on: date | None, yes: frozenset[str] = frozenset()) -> Done:
    """Out of use from a day on.

    Raises
    ------
    Refused
        If it is out of use then, or its places hold from that day or a later one.
    NeedsYes
        If something stands there then, or is to.
    """
    first = from_on or saying.day

    def write(entry: Entry) -> Answer:
        last = _last_spell(space, first)
        if last.to_on is not None and last.to_on <= first:
            words = _("%(space)s is out of use from %(day)s on already.")
            raise Refused(words % {"space": space.name, "day": day_in_words(last.to_on)}, field="from_on")
        if (last.from_on or date.min) == first:
            raise Refused(_("Its places hold from that very day on. Choose a later day."), field="from_on")
        change(entry, last, to_on=first)
        _ask_room(space, saying, yes)
        words = _("%(space)s out of use from %(day)s on")
        return words % {"space": space.name, "day": day_in_words(first)}, {"space": space.pk}

    return do_once(saying, Job.SET, write)


def _run_of(part: str) -> Iterator[str]:
    """F-08 to F-11: F-08, F-09, F-10, F-11; any other part is one name."""
    ends = re.split(r"\s+(?:to|–|—|\.\.\.?)\s+", part, flags=re.IGNORECASE)
    if len(ends) == 1:
        yield part
        return
    found = [re.fullmatch(r"(.*?)(\d{1,6})", end) for end in ends]
    first, last = (found[0], found[-1]) if len(ends) == 2 else (None, None)
    if first is None or last is None or last[1] not in {"", first[1]} or int(last[2]) < int(first[2]):
        words = _("“%(part)s” cannot be counted through. Write it like F-01 to F-20.")
        raise Refused(words % {"part": part[:60]}, field="names")
    if int(last[2]) - int(first[2]) >= MOST_AT_ONCE:
        raise Refused(_("These are more than %(n)d at once.") % {"n": MOST_AT_ONCE}, field="names")
    width = len(first[2]) if first[2].startswith("0") else 0
    for number in range(int(first[2]), int(last[2]) + 1):
        yield f"{first[1]}{number:0{width}d}" if width else f"{first[1]}{number}"


def _last_spell(space: Space, first: date) -> SpaceSpell:
    lock_spaces(space.pk)
    spells = sorted(SpaceSpell.objects.filter(space=space), key=lambda one: one.from_on or date.min)
    last = spells[-1] if spells else SpaceSpell(space=space, from_on=date.max)
    if (last.from_on or date.min) > first:
        words = _("What holds for %(space)s from %(day)s on is set already. Choose that day or a later one.")
        raise Refused(words % {"space": space.name, "day": day_in_words(last.from_on or first)}, field="from_on")
    return last


def _ask_room(space: Space, saying: Saying, yes: frozenset[str]) -> None:
    today = farm_day(saying.now)
    clashes = rooms_of([space], today)[space.pk].clashes(today)
    if clashes and "too-few" not in yes:
        words = _("%(clash)s. Is it so all the same?")
        raise NeedsYes(words % {"clash": clash_in_words(clashes[0])}, question="too-few")


def _places(many: int) -> str:
    return ngettext("%(n)d place", "%(n)d places", many) % {"n": many}


def _added(kind: SpaceKind, names: Sequence[str], each: int, from_on: date | None) -> str:
    words = {
        "names": names[0] if len(names) == 1 else _("%(n)d: %(first)s to %(last)s")
        % {"n": len(names), "first": names[0], "last": names[-1]},
        "kind": kind.name,
        "places": _places(each),
        "when": _(" from %(day)s on") % {"day": day_in_words(from_on)} if from_on else "",
    }  # fmt: skip
    return _("%(kind)s %(names)s added, %(places)s each%(when)s") % words
