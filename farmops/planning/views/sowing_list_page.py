"""What the sowing list shows: the stored plan line by line, beside what was chosen and what was started."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.growing.models import Planting
from farmops.planning.last_sowing_page import LastSowings, last_sowings_shown
from farmops.planning.plan_words import cause_in_words, how_good
from farmops.planning.sowing_list import SMALL
from farmops.planning.sowing_list_choice import parts_in_words
from farmops.planning.stored_answers import Stored
from farmops.planning.views.bench_lines import WEEK, BenchLine, lines_of_week, of_the_week
from farmops.planning.views.plan_change_words import changes_in_words
from farmops.planning.views.room_worth_words import RoomShown, room_shown
from farmops.planning.views.sowing_sum import Step
from farmops.planning.views.weeks_ahead_words import weeks_ahead_in_words
from farmops.web.templatetags.formats import amount, dollars, in_words, one_place, week


@dataclass(frozen=True, slots=True)
class LaterWeek:
    week: str
    monday: date
    sowings: str


@dataclass(frozen=True, slots=True)
class SowingList:
    """Everything the list shows."""

    week: str
    monday: date
    is_past: bool
    kept: Stored
    how_good: str
    is_solved: bool
    let_go: bool
    expected: str
    lines: tuple[BenchLine, ...]
    later: tuple[LaterWeek, ...]
    unmet: tuple[str, ...]
    full: tuple[str, ...]
    over_full: tuple[str, ...]
    notes: tuple[str, ...]
    sown: tuple[str, ...]
    gone: tuple[str, ...]
    changes: tuple[Step, ...]
    ahead: tuple[tuple[str, str, str], ...]
    besides: tuple[str, ...]
    room: RoomShown | None
    last_days: LastSowings

    @property
    def open_lines(self) -> list[BenchLine]:
        return [line for line in self.lines if line.state == "open"]


def sowing_list(kept: Stored, today: date, worth: Stored | None = None) -> SowingList:
    """The list from what is kept. Three queries. `worth`: what one more space would earn, where that was asked."""
    answer, monday = kept.answer, date.fromisoformat(kept.answer["monday"])
    counted = set(answer["sown"])
    plantings = of_the_week(monday)
    sown = [one for one in plantings if one.code in counted and one.state == "done"]
    lines = lines_of_week(answer, today, [one for one in plantings if one not in sown])
    shown = {line.variety.name for line in lines} | {one.variety.name for one in sown}
    return SowingList(
        week=week(monday),
        monday=monday,
        is_past=monday + WEEK <= today,
        kept=kept,
        how_good=how_good(answer["status"], answer["gap"]),
        is_solved=answer["status"] != "infeasible",
        let_go=answer["let_go"],
        expected=dollars(answer["expected_sales"]),
        lines=lines,
        later=tuple(_later(one) for one in answer["later"]),
        unmet=tuple(_unmet(one) for one in answer["unmet"]),
        full=tuple(
            _("%(kind)s: full in %(weeks)s")
            % {"kind": kind, "weeks": ", ".join(week(date.fromisoformat(day)) for day in weeks)}
            for kind, weeks in answer["full"]
        ),
        over_full=tuple(_over_full(*one) for one in answer["over_full"]),
        notes=tuple(answer["notes"]),
        sown=tuple(_sown_in_words(one) for one in sown),
        gone=tuple(_gone(answer, shown)),
        changes=tuple(changes_in_words(answer)),
        ahead=tuple(weeks_ahead_in_words(answer["ahead"])),
        besides=tuple(_besides(answer, lines)),
        room=room_shown(worth, today) if worth else None,
        last_days=last_sowings_shown(answer["last_days"]),
    )


def _sown_in_words(one: Planting) -> str:
    parts = parts_in_words(one.plants / one.variety.part_plants, one.variety.part)
    return f"{one.code} {one.variety.name} {parts}"


def _gone(answer: Mapping[str, Any], shown: set[str]) -> list[str]:
    """What the answer before proposed for this week and this one does not."""
    before = (answer["before"] or {}).get("lines", {})
    still = {one["variety"] for one in answer["now"]} | shown
    return [
        f"{variety} ({amount(parts)})" for variety, (parts, _wanted) in sorted(before.items()) if variety not in still
    ]


def _besides(answer: Mapping[str, Any], lines: Sequence[BenchLine]) -> list[str]:
    """What would be sown besides this week if there were room for everything."""
    listed = {line.variety.name for line in lines}
    return [
        f"{variety} ({amount(parts)})"
        for variety, parts in sorted((answer["without_room"] or {}).items())
        if variety not in listed and parts > SMALL
    ]


def _later(one: Mapping[str, Any]) -> LaterWeek:
    monday = date.fromisoformat(one["monday"])
    sowings = ", ".join(f"{variety} {parts_in_words(parts, part)}" for variety, part, parts in one["sowings"])
    return LaterWeek(week(monday), monday, sowings)


def _unmet(one: Mapping[str, Any]) -> str:
    words = ngettext(
        "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(first)s (%(cause)s)",
        "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(count)d days from %(first)s on (%(cause)s)",
        one["days"],
    )
    return words % {
        "outlet": one["outlet"],
        "item": one["item"],
        "short": one_place(one["short"]),
        "amount": one_place(one["amount"]),
        "count": one["days"],
        "first": in_words(date.fromisoformat(one["first"])),
        "cause": cause_in_words(one["cause"]),
    }


def _over_full(kind: str, over: float, first: str, last: str) -> str:
    return _("%(kind)s: %(over)s places too much from %(from)s to %(to)s") % {
        "kind": kind,
        "over": one_place(over),
        "from": in_words(date.fromisoformat(first)),
        "to": in_words(date.fromisoformat(last)),
    }
