"""An earlier pick as it was typed, for putting it right: the form comes filled with the very same text."""

from collections.abc import Mapping, Sequence
from datetime import datetime, time
from typing import Any

from farmops.core.quantities import from_nanograms, rounded
from farmops.growing.models import Planting
from farmops.harvest.amounts_shown import plain
from farmops.harvest.models import Pick
from farmops.harvest.picks_of import mass_unit_of
from farmops.planning.pick_page import PickPage, pick_page

PLACES = 4  # behind the point of a weight, as many as a scale shows


def correction_of(
    old: Pick, picks: Sequence[Pick], typed_code: str, now: datetime
) -> tuple[Planting, PickPage, Mapping[str, object]]:
    """The planting it is now said to be (the old one where that code is unknown), its page, what to put into the boxes.

    `picks` are the old one and those of the same crate, as `picks_with` gives them.
    """
    planting = picks[0].planting
    if typed_code.strip() and typed_code.strip().casefold() != planting.code.casefold():
        plantings = Planting.objects.select_related("variety", "schedule")
        planting = plantings.filter(code__iexact=typed_code.strip()).first() or planting
    unit = "" if old.count is None else old.count_unit
    asked = {"amount": "1", "unit": unit or mass_unit_of(old)}
    return planting, pick_page(planting, asked, now, keep=picks), _as_typed(picks, old.entry.answer)


def _as_typed(picks: Sequence[Pick], answer: Mapping[str, Any]) -> Mapping[str, object]:
    """The pick of `answer`'s entry, and those of the same crate."""
    first = picks[0]
    counted, weighed = _texts(first)
    crates = first.crates or ""
    if first.gross_ng is not None and not answer.get("crate"):  # a sheet names no kind of crate: what was in them
        weighed, crates = _net(first), ""
    shares = answer.get("shares") or [1] * len(picks)
    culled_ng = sum(pick.culled_ng or 0 for pick in picks)
    culled = sum(pick.culled_count or 0 for pick in picks)
    unit = mass_unit_of(first)
    also = {f"also_{pick.planting_id}": share for pick, share in zip(picks[1:], shares[1:], strict=False)}
    return {
        "planting": first.planting.code,
        "count": counted,
        "count_unit": first.count_unit or "head",
        "weight": weighed,
        "weight_unit": unit,
        "crate": answer.get("crate") or "",
        "crates": crates,
        "culled": culled or "",
        "culled_weight": plain(from_nanograms(culled_ng, unit)) if culled_ng else "",
        "stay": str(first.stay_id or ""),
        "day": first.picked_on,
        "at": None if first.minute is None else time(first.minute // 60, first.minute % 60),
        "cutting": first.cutting,
        "parts": shares[0],
        **also,
    }


def picks_with(number: int) -> list[Pick]:
    """A pick by its key and those of the same crate, in their order; none where there is no such pick. One query."""
    picks = Pick.objects.filter(entry__in=Pick.objects.filter(pk=number).values("entry")).order_by("pk")
    beside = ("entry__corrected_by", "planting__variety", "planting__schedule", "stay__space__kind")
    return list(picks.select_related(*beside))


def _texts(pick: Pick) -> tuple[str, str]:
    """The count's and the weight's part of what was typed; of a sheet that tells both without it, the figures."""
    if pick.count is None:
        return "", pick.typed
    if pick.mass_ng is None:
        return pick.typed, ""
    counted, comma, weighed = pick.typed.partition(", ")
    return (counted, weighed) if comma else (str(pick.count), _net(pick))


def _net(pick: Pick) -> str:
    unit = mass_unit_of(pick)
    return f"{plain(rounded(from_nanograms(pick.mass_ng or 0, unit), PLACES))} {unit}"
