"""The harvests of plants that stand, or will stand, in their last stage: heads, cuttings, picking week by week."""

import math
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from farmops.core.calendar import monday_of
from farmops.core.coming import DAY, WEEK, Arrival, Basis, Coming, Note, Outlook
from farmops.core.growth import Factor, Place, is_dark_for, over_on
from farmops.core.schedule import Picked, Schedule, Walked

WELL_CUT = 0.9  # of a cutting, and the rest is not waited for
RECORDED_WEEKS = 2  # weeks with picks from which a picked crop goes by its own record


def heads(
    arrivals: Sequence[Arrival],
    schedule: Schedule,
    picks: Sequence[Picked],
    walk: Walked | None,
    as_of: date,
    found: Outlook,
    left_behind: Collection[str] = (),
) -> None:
    """Add to `found` what is still to be cut of heads, less what was picked.

    Parameters
    ----------
    arrivals : sequence of Arrival
        Plants in the last stage, first ready first: picks are taken from the first.
    schedule : Schedule
    picks : sequence of Picked
        Up to and including `as_of`. [units of the schedule, as cut]
    walk : Walked or None
        The latest; what it saw ready stands in place of what should be ready.
    as_of : date
        Nothing is expected before it.
    found : Outlook
        Lines and notes are added to it.
    left_behind : collection of str
        Spaces that are empty of it: picks noted there took plants that are in no arrival.
    """
    picked = math.fsum(pick.amount for pick in picks if pick.space not in left_behind)
    for arrival in arrivals:
        planned = arrival.plants * schedule.per_plant
        taken = min(picked, planned)
        picked -= taken
        left = planned - taken
        last = arrival.ready + timedelta(days=schedule.stands_days - 1)
        share = left / planned if planned else 0.0
        end = max(last, monday_of(as_of) + WEEK - DAY) + DAY
        line = arrival.line(end, share)
        found.lines.append(line)
        if last < as_of and left > 0 and walk is None:
            found.notes.append((Note.PAST_ITS_BEST, left))
            continue
        if left > 0:
            line.coming.append(Coming(1, max(arrival.ready, as_of), max(last, as_of), left, planned))
    if walk is not None and walk.ready is not None:
        _as_seen(walk, walk.ready, picks, schedule.stands_days, as_of, found)


def _as_seen(
    walk: Walked, ready_seen: float, picks: Sequence[Picked], stands_days: int, as_of: date, found: Outlook
) -> None:
    """What the grower saw ready stands in place of all that should be ready by that day."""
    since = math.fsum(pick.amount for pick in picks if pick.day >= walk.day)
    seen = max(0.0, ready_seen - since)
    everything = [(line, coming) for line in found.lines for coming in line.coming]
    ready = [(line, coming) for line, coming in everything if coming.first <= as_of]
    last = max([walk.day + timedelta(days=stands_days - 1), as_of, *(coming.last for _line, coming in ready)])
    found.notes.append((Note.SEEN_ON_A_WALK, ready_seen))
    expected = math.fsum(coming.amount for _line, coming in ready)
    for line, coming in ready:
        line.coming.remove(coming)
        amount = seen * coming.amount / expected if expected else 0.0
        if amount > 0:
            line.coming.append(replace(coming, first=as_of, last=last, amount=amount, basis=Basis.WALK))
    if ready or not found.lines or seen == 0:
        return
    rest = seen  # ahead of the plan, or past its best by the plan: what is ready now does not come later
    for line, coming in sorted(everything, key=lambda pair: pair[1].first):
        part = min(rest, coming.amount)
        rest -= part
        line.coming.remove(coming)
        if coming.amount - part > 1e-9:
            line.coming.append(replace(coming, amount=coming.amount - part))
    found.lines[0].coming.append(Coming(1, as_of, last, seen, 0.0, Basis.WALK))


@dataclass(frozen=True, slots=True)
class Round:
    """One cutting that was begun: when, when last, and how much."""

    number: int
    first: date
    last: date
    amount: float


def cutting_rounds(picks: Sequence[Picked], schedule: Schedule) -> list[Round]:
    """Picks of a cut crop put together to cuttings: by the number noted, else by the days between them."""
    apart = timedelta(days=(schedule.regrowth.days if schedule.regrowth else 7.0) / 2)
    rounds: list[Round] = []
    for pick in sorted(picks, key=lambda pick: pick.day):
        before = rounds[-1] if rounds else None
        if before is None:
            rounds.append(Round(pick.cutting or 1, pick.day, pick.day, pick.amount))
        elif pick.cutting == before.number or (pick.cutting is None and pick.day - before.last <= apart):
            rounds[-1] = Round(before.number, before.first, pick.day, before.amount + pick.amount)
        else:
            rounds.append(Round(pick.cutting or before.number + 1, pick.day, pick.day, pick.amount))
    return rounds


def cuts(
    arrivals: Sequence[Arrival],
    schedule: Schedule,
    place: Place,
    picks: Sequence[Picked],
    walk: Walked | None,
    as_of: date,
    factor: Factor,
    found: Outlook,
) -> None:
    """Add to `found` the cuttings still to come; arguments as for `heads`.

    place, factor: where it grows again, and how slowly (factor > 0, 1 as in the schedule). [-]
    """
    everyone = math.fsum(arrival.plants for arrival in arrivals)
    for arrival in arrivals:
        share = arrival.plants / everyone if everyone else 0.0
        own = [Picked(pick.day, pick.amount * share, pick.cutting) for pick in picks]
        rounds = cutting_rounds(own, schedule)
        first = arrival.plants * schedule.per_plant
        planned_cuts = [first * part for part in schedule.cuttings]
        coming, end = _cuttings_to_come(arrival.ready, planned_cuts, rounds, schedule, place, as_of, factor, found)
        line = arrival.line(max(end, monday_of(as_of) + WEEK))
        line.coming = coming
        found.lines.append(line)
    if walk is not None and walk.ready is not None:
        _as_seen(walk, walk.ready, picks, schedule.stands_days, as_of, found)


def _cuttings_to_come(
    ready: date,
    planned_cuts: Sequence[float],
    rounds: Sequence[Round],
    schedule: Schedule,
    place: Place,
    as_of: date,
    factor: Factor,
    found: Outlook,
) -> tuple[list[Coming], date]:
    """The cuttings still to come, and the day after the last of them is over."""
    good = timedelta(days=schedule.stands_days - 1)
    expected = math.fsum(planned_cuts[cut.number - 1] for cut in rounds if cut.number <= len(planned_cuts))
    cut_so_far = math.fsum(cut.amount for cut in rounds if cut.number <= len(planned_cuts))
    basis, pace = Basis.PLAN, 1.0
    start, number, remains = ready, 1, None
    if rounds:
        latest = rounds[-1]
        number = latest.number
        planned = planned_cuts[number - 1] if number <= len(planned_cuts) else 0.0
        if latest.amount < WELL_CUT * planned and as_of <= latest.first + good:
            start, remains = latest.first, planned - latest.amount
        else:
            number += 1
            start = over_on(schedule.regrowth, place, latest.last, factor) if schedule.regrowth else latest.last
            basis, pace = Basis.RECORDS, cut_so_far / expected if expected else 1.0
    coming: list[Coming] = []
    while number <= len(planned_cuts):
        planned = planned_cuts[number - 1]
        left = remains if remains is not None else planned * pace
        last = start + good
        if last < as_of:  # the grower lets it stand: cut at the next occasion
            found.notes.append((Note.PAST_ITS_BEST, left))
            last = monday_of(as_of) + WEEK - DAY
        coming.append(Coming(number, max(start, as_of), last, left, planned, basis))
        remains = None
        number += 1
        if number <= len(planned_cuts) and schedule.regrowth:
            cut_on = max(start, as_of)
            start = over_on(schedule.regrowth, place, cut_on, factor)
            if place.dark_pace < 1.0 and is_dark_for(schedule.regrowth, place, start):
                found.notes.append((Note.REGROWS_IN_THE_DARK, float((start - cut_on).days)))
    return coming, (coming[-1].last + DAY if coming else as_of)


def picking(
    arrivals: Sequence[Arrival],
    schedule: Schedule,
    picks: Sequence[Picked],
    walk: Walked | None,
    as_of: date,
    found: Outlook,
) -> None:
    """Add to `found` the picking still to come, week by week; arguments as for `heads`.

    From two whole weeks with picks on, a week gives what those gave on average, and no longer what the plan says.
    """
    by_week: dict[date, float] = defaultdict(float)
    for pick in picks:
        by_week[monday_of(pick.day)] += pick.amount
    this_week = monday_of(as_of)
    usual_day = max((pick.day.weekday() for pick in picks if pick.day < this_week), default=7)
    is_over = as_of.weekday() >= usual_day  # no more is picked this week than was
    whole_weeks = [amount for week, amount in by_week.items() if week < this_week or is_over]
    everyone = math.fsum(arrival.plants for arrival in arrivals)
    for arrival in arrivals:
        planned = arrival.plants * schedule.per_plant
        share = arrival.plants / everyone if everyone else 0.0
        weekly, basis = planned, Basis.PLAN
        if len(whole_weeks) >= RECORDED_WEEKS:
            weekly, basis = share * math.fsum(whole_weeks) / len(whole_weeks), Basis.RECORDS
        if walk is not None and walk.ready is not None and (as_of - walk.day) < WEEK:
            weekly, basis = share * walk.ready, Basis.WALK
            found.notes.append((Note.SEEN_ON_A_WALK, walk.ready))
        begins = min([arrival.ready, *(pick.day for pick in picks)])
        end = begins + WEEK * schedule.pick_weeks
        if end <= as_of:
            found.notes.append((Note.STILL_PICKED, float((as_of - end).days)))
            end = this_week + 2 * WEEK
        line = arrival.line(end)
        found.lines.append(line)
        week = max(monday_of(begins), this_week)
        while week < end:
            first, last = max(week, begins, as_of), min(week + WEEK, end) - DAY
            days = (min(week + WEEK, end) - max(week, begins)).days
            left = max(0.0, weekly * days / 7.0 - share * by_week.get(week, 0.0))
            if week == this_week and week in by_week and is_over:
                left = 0.0
            if first <= last and left > 0:
                number = (week - monday_of(begins)).days // 7 + 1
                line.coming.append(Coming(number, first, last, left, planned * days / 7.0, basis))
            week += WEEK
