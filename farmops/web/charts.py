"""Small charts drawn on the server: no script, attributes and classes only, so they print and pass a strict policy."""

from dataclasses import dataclass

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
