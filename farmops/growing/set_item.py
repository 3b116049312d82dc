"""Items set on a page: what is sold, what it contains, which varieties it is made of."""

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext as _

from farmops.farm.row_moves import bring_in, take_out
from farmops.farm.typed_figures import figure_text, name_of
from farmops.growing.models import Item, ItemPart, Schedule, Variety
from farmops.growing.set_schedule import same_kind
from farmops.growing.typed_item import PartTyped, facts_of, parts_of
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

Answer = tuple[str, Mapping[str, object]]


def add_item(*, saying: Saying, name: str, parts: Sequence[PartTyped], **typed: str) -> Done:
    """An item of a new name; `typed` as for `typed_item.facts_of`.

    Raises
    ------
    Refused
        If there is one of that name, a figure cannot be, or the shares of its parts do not add up to 100.
    """
    called = name_of(name)
    if not called:
        raise Refused(_("Type its name, e.g. salad mix."), field="name")
    facts = facts_of(**typed)

    def write(entry: Entry) -> Answer:
        if Item.objects.filter(name__iexact=called).exists():
            raise Refused(_("There is an item %(name)s already.") % {"name": called}, field="name")
        made_of = _made_of(parts, facts, called)
        item = Item(name=called, **facts)
        bring_in(entry, item)
        bring_in(entry, *(ItemPart(item=item, **part) for part in made_of))
        return _said(_("%(name)s is sold by the %(unit)s: %(parts)s"), item, made_of), {"item": item.pk}

    return do_once(saying, Job.SET, write)


def change_item(*, saying: Saying, item: Item, parts: Sequence[PartTyped], **typed: str) -> Done:
    """Other facts or parts from now on; its unit stays, for all that was counted is counted in it.

    Raises
    ------
    Refused
        As `add_item`.
    """
    facts = facts_of(unit=item.unit, **typed)

    def write(entry: Entry) -> Answer:
        fresh = Item.objects.select_for_update(no_key=True).get(pk=item.pk)
        made_of = _made_of(parts, facts, fresh.name)
        change(entry, fresh, **{name: value for name, value in facts.items() if name != "unit"})
        there = {part.variety_id: part for part in ItemPart.objects.filter(item=fresh).order_by("pk")}
        for part in made_of:
            variety = part["variety"]
            known = there.pop(variety.pk, None) if isinstance(variety, Variety) else None
            if known is None:
                bring_in(entry, ItemPart(item=fresh, **part))
            else:
                change(entry, known, **part)
        take_out(entry, *there.values())
        return _said(_("%(name)s changed: %(parts)s"), fresh, made_of), {"item": fresh.pk}

    return do_once(saying, Job.SET, write)


def _made_of(parts: Sequence[PartTyped], facts: Mapping[str, object], name: str) -> list[dict[str, object]]:
    found = parts_of(parts, {variety.name: variety for variety in Variety.objects.all()})
    names = [str(part["variety"]) for part in found]
    contains = str(facts["contains_unit"] or facts["unit"])
    for schedule in Schedule.objects.filter(variety__name__in=names).select_related("variety").order_by("pk"):
        if not same_kind(contains, schedule.unit):
            words = _(
                "%(variety)s is cut in %(cut)s, but %(item)s counts %(contains)s. Say what one contains, in %(cut)s."
            )
            said = {"variety": schedule.variety.name, "cut": schedule.unit, "item": name, "contains": contains}
            raise Refused(words % said, field="contains")
    return found


def _said(words: str, item: Item, made_of: Sequence[Mapping[str, object]]) -> str:
    parts = ", ".join(f"{part['variety']} {figure_text(part['share_percent'])} %" for part in made_of)  # type: ignore[arg-type]  # a share
    return words % {"name": item.name, "unit": item.unit, "parts": parts}
