"""Figures that set a farm up, as people type them: numbers, shares, money, days of the year, where on earth it lies."""

import re
import unicodedata
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import rounded
from farmops.farm.typed_amount import amount_of
from farmops.journal.refusal import Refused

MOST = Decimal(100_000)
LEAP_YEAR = 2028  # in which every date of a year stands
LATITUDE_PLACES = 5  # a metre
_DEGREES = re.compile(
    r"(?P<side>[NS])? ?(?P<sign>[-−–+])?(?P<degrees>\d{1,2}(?:[.,]\d+)?)"
    r"(?:[°º˚ ]+(?P<minutes>\d{1,2}(?:[.,]\d+)?))?(?:['’′ ]+(?P<seconds>\d{1,2}(?:[.,]\d+)?))?"
    r"[°º˚'’′\"”″ ]*(?P<after>[NS])?"
)


def name_of(typed: str) -> str:
    """A name as it is kept: one form of Unicode, single spaces."""
    return " ".join(unicodedata.normalize("NFC", typed).split())


def number_of(
    typed: str,
    *,
    field: str,
    places: int = 0,
    most: Decimal = MOST,
    empty: Decimal | None = None,
    may_be_zero: bool = False,
) -> Decimal:
    """A number with at most so many places behind the point; `empty` is what nothing typed means, if it means anything.

    Raises
    ------
    Refused
        Missing, no number, 0 where that cannot be, too fine or too much.
    """
    if not typed.strip() and empty is not None:
        return empty
    reading = amount_of(typed, field=field, yes=frozenset({f"{field}-zero"}))
    number = reading.amount or Decimal(0)
    words = {"typed": typed.strip()[:40], "most": f"{most.normalize():f}", "places": places}
    if reading.unit:
        raise Refused(_("“%(typed)s”: write the number alone.") % words, field=field)
    if number == 0 and not may_be_zero:
        raise Refused(_("0 cannot be meant here. Write what it really is."), field=field)
    if number > most:
        raise Refused(_("“%(typed)s” is more than can be: at most %(most)s.") % words, field=field)
    if number != rounded(number, places):
        said = _("“%(typed)s” is finer than can be kept: %(places)d digits behind the point.") if places else None
        raise Refused((said or _("“%(typed)s” is not a whole number.")) % words, field=field)
    return rounded(number, places).normalize() + 0


def whole_number(
    typed: str, *, field: str, most: int = int(MOST), empty: int | None = None, may_be_zero: bool = False
) -> int:
    """A whole number. Raises Refused as `number_of`."""
    nothing = None if empty is None else Decimal(empty)
    return int(number_of(typed, field=field, most=Decimal(most), empty=nothing, may_be_zero=may_be_zero))


def percent_of(typed: str, *, field: str, empty: Decimal | None = None, may_be_zero: bool = False) -> Decimal:
    """A share from 0 to 100 %, with or without its sign. Raises Refused as `number_of`."""
    plain = typed.strip().removesuffix("%")
    return number_of(plain, field=field, places=4, most=Decimal(100), empty=empty, may_be_zero=may_be_zero)


def cents_typed(typed: str, *, field: str) -> int:
    """Money in whole cents, $ before or behind it; nothing typed is nothing.

    Raises
    ------
    Refused
        As `number_of`; also where it is finer than a cent.
    """
    plain = typed.replace("$", " ")
    return int(number_of(plain, field=field, places=2, empty=Decimal(0), may_be_zero=True) * 100)


def cents_text(cents: int) -> str:
    """What `cents_typed` reads as so much; empty for nothing."""
    return f"{cents // 100}.{cents % 100:02d}" if cents else ""


def figure_text(number: Decimal | int | None) -> str:
    """A stored number as one would type it."""
    return "" if number is None else f"{Decimal(number).normalize():f}"


def month_day_typed(typed: str, *, field: str) -> str:
    """A day of every year as it is stored, 03-15; nothing for nothing.

    Raises
    ------
    Refused
        If it is none.
    """
    text = typed.strip()
    if not text:
        return ""
    match = re.fullmatch(r"(\d{1,2})[-/. ](\d{1,2})", text)
    try:
        if match is None:
            raise ValueError
        return date(LEAP_YEAR, int(match[1]), int(match[2])).strftime("%m-%d")
    except ValueError:
        words = _("“%(typed)s” is not a day of the year. Write month-day, e.g. 03-15 for 15 March.")
        raise Refused(words % {"typed": text[:40]}, field=field) from None


def latitude_of(typed: str, *, field: str = "latitude") -> Decimal:
    """Degrees north, south negative, from 42.3 N, 42° 18' N, 33.9 S or −33.9.

    Raises
    ------
    Refused
        If it cannot be read, or lies beyond a pole.
    """
    text = " ".join(typed.upper().split())
    found = _DEGREES.fullmatch(text.replace("NORTH", "N").replace("SOUTH", "S"))
    said = {"typed": typed.strip()[:40]}
    if found is None or (found["side"] and found["after"]) or (found["sign"] and (found["side"] or found["after"])):
        words = _("“%(typed)s” is no latitude. Write degrees and N or S, e.g. 42.3 N, as a map shows them.")
        raise Refused(words % said, field=field)
    degrees, minutes, seconds = (
        Decimal((found[name] or "0").replace(",", ".")) for name in ("degrees", "minutes", "seconds")
    )
    latitude = degrees + minutes / 60 + seconds / 3600
    if latitude > 90 or minutes >= 60 or seconds >= 60:
        raise Refused(_("There is no latitude “%(typed)s”: it lies between 0 and 90, N or S.") % said, field=field)
    is_south = "S" in {found["side"], found["after"]} or (found["sign"] or "+") in "-−–"
    return rounded(-latitude if is_south else latitude, LATITUDE_PLACES).normalize() + 0


def latitude_text(latitude: Decimal) -> str:
    """42.3 N; 33.9 S."""
    return f"{abs(latitude).normalize():f} {'N' if latitude >= 0 else 'S'}"
