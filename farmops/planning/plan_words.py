"""How good a plan of sowings is, and why a promise is not met in full: in words."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.core.sizing.reserve import RESERVE_DAYS

CAUSES = {
    "too_late": gettext_lazy("it had to be sown before now"),
    "season": gettext_lazy("it would have to be sown outside its season"),
    "days_short": gettext_lazy(
        "days too short: what is sown earlier is past its best by then, what is sown later not ready"
    ),
    "room": gettext_lazy("no room"),
    "seed_or_work": gettext_lazy("not enough seed or time"),
    "dearer": gettext_lazy("meeting it costs more than failing"),
}


def how_good(status: str, gap: float | None) -> str:
    """What the search for the plan found out about it; "stopped" is never called the best."""
    most = {"gap": "?" if gap is None else f"{max(0.01, 100 * gap):.2f}"}
    words = {
        "optimal": _("This is the best plan there is."),
        "gap": _("No other plan could earn more than %(gap)s %% above this one.") % most,
        "stopped": _("The search ended early: this is the best plan found, and another may earn up to %(gap)s %% more.")
        % most,
        "infeasible": _("There is no plan: the rules given cannot all hold together."),
    }
    return words[status]


def in_reserve() -> str:
    """What is kept against plants that come late."""
    return _(
        "Where there is room to spare, sowings that no order waits for are counted on %(days)d days later than usual: "
        "a reserve against plants that come late."
    ) % {"days": RESERVE_DAYS}


def cause_in_words(cause: str) -> str:
    """Why a promise is not met in full."""
    return str(CAUSES.get(cause, gettext_lazy("not looked into")))
