"""What a plan changes of the one before: each sowing of the weeks both decide on, with the fact that caused it."""

from collections.abc import Mapping, Set
from dataclasses import asdict
from typing import Any

from farmops.planning.plan_facts import Fact, what_moved
from farmops.planning.stored_answers import Json

SMALL = 0.05  # of a part: not worth a word
Place = tuple[str, str]  # variety, Monday
Answer = Mapping[str, Any]  # as it is kept, JSON


def changes_of(old: Answer | None, new: Answer, own: Set[Place], sown: Set[Place]) -> list[Json]:
    """Sowings proposed otherwise than before, the earliest first.

    Parameters
    ----------
    old, new : mapping
        Answers as they are kept; an old one of before facts were kept says nothing.
    own : set of (variety, Monday)
        What the grower chose or planned.
    sown : set of (variety, Monday)
        What was sown since the plan before.
    """
    if old is None or "facts" not in old:
        return []
    before, now = _parts(old), _parts(new)
    weeks = set(old["whole_weeks"]) & set(new["whole_weeks"])
    changed = [
        place
        for place in {*before, *now}
        if place[1] in weeks and abs(before.get(place, 0.0) - now.get(place, 0.0)) > SMALL
    ]
    return [
        {
            "variety": variety,
            "monday": monday,
            "before": before.get((variety, monday), 0.0),
            "now": now.get((variety, monday), 0.0),
            "fact": asdict(_fact(old, new, (variety, monday), own, sown)),
        }
        for variety, monday in sorted(changed, key=lambda place: (place[1], place[0]))
    ]


def _fact(old: Answer, new: Answer, place: Place, own: Set[Place], sown: Set[Place]) -> Fact:
    if place in own:
        return Fact("own")
    if place in sown:
        return Fact("sown")
    found = what_moved(old["facts"], new["facts"], place[0])
    return Fact("follows") if found.code == "elsewhere" and (own or sown) else found


def _parts(answer: Answer) -> dict[Place, float]:
    found = {(one["variety"], answer["monday"]): one["parts"] for one in answer["now"]}
    for later in answer["later"]:
        found |= {(variety, later["monday"]): parts for variety, _part, parts in later["sowings"]}
    return found
