"""An amount as people type it: read by one rule, doubts asked in words, the text kept."""

from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import Doubt, Reading, read_amount
from farmops.journal.refusal import NeedsYes, Refused


def amount_of(
    typed: str,
    *,
    field: str,
    usual: Decimal | None = None,
    yes: frozenset[str] = frozenset(),
    may_be_zero: bool = False,
) -> Reading:
    """Read what was typed into a field, or say why not.

    Parameters
    ----------
    typed : str
    field : str
        The form's field, for the message and for its question.
    usual : Decimal or None
        What is usual here; far more is asked about.
    yes : frozenset of str
        Questions answered with yes.
    may_be_zero : bool
        Whether 0 is an ordinary answer ("none came back").

    Returns
    -------
    Reading
        With an amount.

    Raises
    ------
    Refused
        Missing, not a number, below 0, or to be read two ways (the ways stand in `offer`).
    NeedsYes
        0, or far more than usual: `question` is the field's name and "zero" or "unusual".
    """
    reading = read_amount(typed, usual)
    if reading.doubt is None or (reading.doubt is Doubt.ZERO and may_be_zero):
        return reading
    if reading.doubt in {Doubt.ZERO, Doubt.UNUSUAL}:
        question = f"{field}-{reading.doubt.value}"
        if question in yes:
            return reading
        raise NeedsYes(_asked(reading), question=question, field=field)
    raise Refused(_wrong(reading), field=field, offer={"choices": [str(choice) for choice in reading.choices]})


def whole_of(typed: str, *, field: str, yes: frozenset[str] = frozenset(), may_be_zero: bool = False) -> int:
    """A whole count as typed.

    Raises
    ------
    Refused, NeedsYes
        As `amount_of`; also where it is not whole.
    """
    amount = amount_of(typed, field=field, yes=yes, may_be_zero=may_be_zero).amount or Decimal(0)
    if amount != int(amount):
        raise Refused(_("“%(typed)s” is not a whole number.") % {"typed": typed.strip()}, field=field)
    return int(amount)


def _asked(reading: Reading) -> str:
    if reading.doubt is Doubt.ZERO:
        return _("Nothing at all: is 0 meant?")
    return _("“%(typed)s” is %(times)d times the usual. Is it meant?") % {
        "typed": reading.text.strip(),
        "times": int(reading.times_usual or 0),
    }


def _wrong(reading: Reading) -> str:
    typed = {"typed": reading.text.strip()}
    if reading.doubt is Doubt.MISSING:
        return _("Type how much; nothing typed is not taken for 0.")
    if reading.doubt is Doubt.NEGATIVE:
        return _("“%(typed)s” is less than nothing. To take something back, undo or correct its entry.") % typed
    if reading.doubt is Doubt.TWO_WAYS:
        ways = _(" or ").join(str(choice) for choice in reading.choices)
        return _("“%(typed)s” can be read two ways: %(ways)s. Type the one you mean.") % {**typed, "ways": ways}
    return _("“%(typed)s” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz.") % typed
