"""How good a plan of sowings is, and why a promise is not met in full: in words."""

from django.utils.translation import gettext as _


def how_good(status: str, gap: float | None) -> str:
    """What the search for the plan found out about it; "stopped" is never called the best."""
    most = {"gap": "?" if gap is None else f"{max(0.01, 100 * gap):.2f}"}
    words = {
        "optimal": _("This is the best plan there is."),
        "gap": _("At most %(gap)s %% more could be earned with any other plan; the search stopped there.") % most,
        "stopped": _("The search ended early: this is the best plan found, and another may earn up to %(gap)s %% more.")
        % most,
        "infeasible": _("There is no plan: the rules given cannot all hold together."),
    }
    return words[status]


def cause_in_words(cause: str) -> str:
    """Why a promise is not met in full."""
    causes = {
        "too_late": _("it had to be sown before now"),
        "season": _("it would have to be sown outside its season"),
        "days_short": _("days too short: what is sown earlier is past its best by then, what is sown later not ready"),
        "room": _("no room"),
        "seed_or_work": _("not enough seed or time"),
        "dearer": _("meeting it costs more than failing"),
    }
    return causes.get(cause, _("not looked into"))
