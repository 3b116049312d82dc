"""The reason for a quantity as one sentence that a grower understands, made from the facts of the arithmetic."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from farmops.core.demand import Advice, Reason

SENTENCES = {
    "nothing to earn": gettext_lazy("Bring none: at this price one earns no more than it costs"),
    "hardly sells": ngettext_lazy(
        "Hardly any sell here (about %(mean)s a day over %(days)s day), so %(total)s are enough; think of dropping it",
        "Hardly any sell here (about %(mean)s a day over %(days)s days), so %(total)s are enough; think of dropping it",
        "days",
    ),
    "capped": gettext_lazy(
        "Too few days are known to trust a guess this high, so no more than %(cap)s:"
        " three times the most you brought or guessed"
    ),
    "fall-back": gettext_lazy(
        "The full reckoning failed, so this leans on a plain weighted average:"
        " about %(mean)s a day (%(low)s to %(high)s)"
    ),
    "no market day": gettext_lazy(
        "No market day is known yet: about %(mean)s a day (%(low)s to %(high)s) is only a start,"
        " and your own guess would be better"
    ),
    "similar items": gettext_lazy(
        "No market day of it is known yet: about %(mean)s a day (%(low)s to %(high)s)"
        " is borrowed from your other crops, and your own guess would be better"
    ),
    "guess": gettext_lazy(
        "From your own guess and your other crops, about %(mean)s a day (%(low)s to %(high)s);"
        " the first market days will tell more"
    ),
    "few days": gettext_lazy(
        "Only a few days of it are known, so it leans on your other crops: about %(mean)s a day (%(low)s to %(high)s)"
    ),
    "other markets": gettext_lazy(
        "It has not been to this market yet: about %(mean)s a day (%(low)s to %(high)s), from your other markets"
    ),
    "mostly untimed": ngettext_lazy(
        (
            "It ran out on %(ran_out)s of %(days)s day and mostly nobody noted when, so about %(mean)s a day"
            " is unsure (%(low)s to %(high)s); noting the time would settle it"
        ),
        (
            "It ran out on %(ran_out)s of %(days)s days and mostly nobody noted when, so about %(mean)s a day"
            " is unsure (%(low)s to %(high)s); noting the time would settle it"
        ),
        "days",
    ),
    "often ran out": ngettext_lazy(
        (
            "It ran out on %(ran_out)s of %(days)s day, so more was wanted than sold: about %(mean)s a day"
            " (%(low)s to %(high)s), and %(total)s last on about %(share)s of 10 days"
        ),
        (
            "It ran out on %(ran_out)s of %(days)s days, so more was wanted than sold: about %(mean)s a day"
            " (%(low)s to %(high)s), and %(total)s last on about %(share)s of 10 days"
        ),
        "days",
    ),
    "sometimes ran out": ngettext_lazy(
        (
            "About %(mean)s a day are wanted (%(low)s to %(high)s; it ran out on %(ran_out)s of %(days)s day),"
            " and %(total)s last on about %(share)s of 10 days"
        ),
        (
            "About %(mean)s a day are wanted (%(low)s to %(high)s; it ran out on %(ran_out)s of %(days)s days),"
            " and %(total)s last on about %(share)s of 10 days"
        ),
        "days",
    ),
    "never ran out": ngettext_lazy(
        (
            "About %(mean)s a day are wanted (%(low)s to %(high)s; it never ran out in %(days)s day),"
            " and %(total)s last on about %(share)s of 10 days"
        ),
        (
            "About %(mean)s a day are wanted (%(low)s to %(high)s; it never ran out in %(days)s days),"
            " and %(total)s last on about %(share)s of 10 days"
        ),
        "days",
    ),
}


def amount_in_words(steps: float, step: float = 1.0) -> str:
    """Steps as an amount of units: whole numbers of pieces, at most two decimals of weights."""
    amount = steps * step
    if step == 1.0:
        return f"{amount:.0f}" if amount >= 9.95 else f"{amount:.1f}".removesuffix(".0")
    return f"{amount:.2f}".rstrip("0").rstrip(".")


def reason_sentence(advice: Advice, step: float = 1.0) -> str:
    """Why to bring this many, in one sentence.

    Parameters
    ----------
    advice : Advice
    step : float, > 0
        Units in one step, so that pounds are said in pounds.
    """
    return reason_in_words(advice.reason, step)


def reason_in_words(reason: Reason, step: float = 1.0) -> str:
    """One sentence for one item at one market; arguments as for `reason_sentence`."""
    sentence = _main_clause(reason, step)
    if reason.weather == "rain":
        sentence = _("%(sentence)s; rain is counted in") % {"sentence": sentence}
    if reason.carry_use is not None:
        sentence = _("%(sentence)s; what comes back can be sold once more") % {"sentence": sentence}
    if reason.carried_in > 0:
        words = {"sentence": sentence, "carried": amount_in_words(reason.carried_in, step)}
        sentence = _("%(sentence)s; %(carried)s in hand are taken off") % words
    return sentence + "."


def _main_clause(reason: Reason, step: float) -> str:
    words = {
        "total": amount_in_words(reason.total, step),
        "mean": amount_in_words(reason.mean, step),
        "low": amount_in_words(reason.mean_low, step),
        "high": amount_in_words(reason.mean_high, step),
        "cap": amount_in_words(reason.cap or 0, step),
        "days": reason.days,
        "ran_out": reason.ran_out,
        "share": round(10 * reason.critical_ratio),
    }
    # Where no market day is known, nothing failed: there was nothing to reckon from.
    code = "no market day" if reason.code == "fall-back" and reason.days == 0 else reason.code
    return str(SENTENCES[code] % words)
