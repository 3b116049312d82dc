"""Small charts drawn on the server: no script, attributes and classes only, so they print and pass a strict policy."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

WIDTH, HEIGHT, MIDDLE = 220.0, 30.0, 15.0


@dataclass(frozen=True, slots=True)
class DemandRange:
    """What one row of the demand chart shows, in sold units; `top` is the end of the common axis."""

    low: float  # 1 day in 10 sells less
    high: float  # 1 day in 10 sells more
    usual_low: float  # the usual demand lies between these two, 8 to 2
    usual_high: float
    brought: float | None  # usually brought of late
    bring: float  # to bring next time
    top: float


def demand_chart(shown: DemandRange) -> SafeString:
    """A line for single days, a bar for the usual demand, a broken tick for what was brought, a wedge for next time.

    Plain attributes are what papers show; on screens the stylesheet overrules them.
    """

    def at(value: float) -> float:
        return round(2 + (WIDTH - 4) * min(max(value, 0.0), shown.top) / max(shown.top, 1e-9), 1)

    usual = at(shown.usual_low)
    brought = SafeString("")
    if shown.brought is not None:
        x = at(shown.brought)
        brought = format_html(
            '<path class="brought" fill="none" stroke="#000" stroke-width="2" stroke-dasharray="2 2" d="M{} 3V27"/>', x
        )
    bring = at(shown.bring)
    label = _("One day: %(low)s to %(high)s; usually %(usual_low)s to %(usual_high)s; bring %(bring)s") % {
        "low": f"{shown.low:g}",
        "high": f"{shown.high:g}",
        "usual_low": f"{shown.usual_low:.0f}",
        "usual_high": f"{shown.usual_high:.0f}",
        "bring": f"{shown.bring:g}",
    }
    return format_html(
        '<svg class="range" viewBox="0 0 {} {}" preserveAspectRatio="none" role="img" aria-label="{}">'
        '<path class="axis" stroke="#999" d="M2 {}H{}"/>'
        '<path class="span" fill="none" stroke="#000" stroke-width="1.5" d="M{} {}H{}M{} 11V19M{} 11V19"/>'
        '<rect class="likely" fill="#bbb" stroke="#000" x="{}" y="9" width="{}" height="12"/>{}'
        '<path class="next" fill="#000" d="M{} 9L{} 0H{}Z"/></svg>',
        int(WIDTH),
        int(HEIGHT),
        label,
        MIDDLE,
        WIDTH - 2,
        at(shown.low),
        MIDDLE,
        at(shown.high),
        at(shown.low),
        at(shown.high),
        usual,
        max(round(at(shown.usual_high) - usual, 1), 2.0),
        brought,
        bring,
        round(bring - 4, 1),
        round(bring + 4, 1),
    )


@dataclass(frozen=True, slots=True)
class LifeSpell:
    """Plants in one kind of place: from when, until when (not counted), and what stands beside the bar."""

    row: int
    first: date
    end: date
    words: str
    is_ahead: bool = False


@dataclass(frozen=True, slots=True)
class Life:
    """The life of one planting along the weeks.

    Attributes
    ----------
    spells : sequence of LifeSpell
        In their rows, from above.
    ready : (date, date, date) or None
        One in ten is earlier than the first, half by the second, one in ten later than the third.
    picks : sequence of date
    today : date or None
        None once it is over.
    """

    first: date
    last: date
    spells: Sequence[LifeSpell]
    ready: tuple[date, date, date] | None = None
    picks: Sequence[date] = ()
    today: date | None = None


LIFE_WIDTH, ROW, HEAD, FOOT = 420.0, 26.0, 20.0, 22.0


def life_chart(life: Life) -> SafeString:
    """Bars where plants stood, a bracket when it should be ready, a wedge for each day it was cut, a line for today."""
    days = max((life.last - life.first).days, 7)

    def at(day: date) -> float:
        return round(2 + (LIFE_WIDTH - 4) * min(max((day - life.first).days, 0), days) / days, 1)

    rows = max((spell.row for spell in life.spells), default=0) + 1
    bottom = HEAD + rows * ROW
    marks = [_weeks_axis(life, at, bottom, days), *(_spell(spell, at) for spell in life.spells)]
    if life.ready is not None:
        early, usual, late = (at(day) for day in life.ready)
        line = format_html('<path class="span" fill="none" d="M{} {}H{}', early, bottom + 6, late)
        ticks = format_html('M{} {}v6M{} {}v6M{} {}v8"/>', early, bottom + 3, late, bottom + 3, usual, bottom + 2)
        marks.append(line + ticks)
    marks += [format_html('<path class="next" d="M{} {}l4 8h-8Z"/>', at(day), bottom + 12) for day in life.picks]
    if life.today is not None:
        marks.append(
            format_html('<path class="brought" fill="none" d="M{} {}V{}"/>', at(life.today), HEAD - 6, bottom + FOOT)
        )
    return format_html(
        '<svg class="life" viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg>',
        int(LIFE_WIDTH),
        int(bottom + FOOT),
        _("The weeks of its life; the tables below say the same in words"),
        SafeString("".join(marks)),
    )


def _weeks_axis(life: Life, at: Callable[[date], float], bottom: float, days: int) -> SafeString:
    """A hairline at each Monday; every so many weeks its number."""
    every = max(1, round(days / 7 / 8))
    monday = life.first + timedelta(days=-life.first.weekday() % 7)
    marks = []
    for number in range((life.last - monday).days // 7 + 1):
        day = monday + timedelta(days=7 * number)
        marks.append(format_html('<path class="axis" d="M{} {}V{}"/>', at(day), HEAD, bottom))
        if number % every == 0 and at(day) < LIFE_WIDTH - 20:
            marks.append(format_html('<text x="{}" y="12">{}</text>', at(day), day.isocalendar().week))
    return SafeString("".join(marks))


def _spell(spell: LifeSpell, at: Callable[[date], float]) -> SafeString:
    top, left = HEAD + spell.row * ROW, at(spell.first)
    width = max(at(spell.end) - left, 3.0)
    shade = "ahead" if spell.is_ahead else "likely"
    bar = format_html('<rect class="{}" x="{}" y="{}" width="{}" height="12"/>', shade, left, top + 12, width)
    is_far_right = left > LIFE_WIDTH * 0.6
    anchor, x = ("end", left + width) if is_far_right else ("start", left)
    return bar + format_html('<text x="{}" y="{}" text-anchor="{}">{}</text>', x, top + 9, anchor, spell.words)
