"""Amounts as people type them, judged for a whole column; an empty cell is unknown, never zero."""

import re
import unicodedata
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from functools import lru_cache

from django.utils.translation import gettext as _

from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.doubts import Choice, Questions, rows_in_words

POINT, COMMA = "point", "comma"
MONEY = re.compile(r"[$€£¥]|\b(usd|eur|gbp|cad|dollars?|bucks)\b", re.IGNORECASE)
EMPTY = {"", "-", "--", "—", "–", "―", "−", "?", "??", "n/a", "na", "unknown", "not sure", "…", "..."}
ZERO = {"none", "nil", "zero", "nothing", "no", "sold out", "soldout", "gone", "all gone", "all sold", "s/o", "so"}
ALL = {"all", "all of it", "everything", "sold out", "soldout", "all sold"}
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
ABOUT = re.compile(r"^(~|≈|about|approx\.?|approximately|around|ca\.?|circa)\s*|(\s*(ish|or so|\+|approx\.?))$", re.I)
WEIGHTS = {"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz"}
WEIGHTS |= {"kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "g": "g", "gram": "g", "grams": "g"}
UNIT = (
    r"(?:lbs?|pounds?|oz|ounces?|kgs?|kilos?|g|grams?|bunch(?:es)?|bu|bch|heads?|hds?|ea|each|pcs?|pieces?|bags?|ct|"
    r"count|units?|pints?|pts?|qts?|quarts?|box(?:es)?|clamshells?|trays?|pots?|plants?|crates?|cases?|flats?|sold|left|"
    r"brought|back|stems?|sleeves?|bouquets?|dozen|doz|#)"
)
NUMBER = r"\d[\d.,' \u00a0\u2009\u202f]*|[.,]\d+"
AMOUNT = re.compile(rf"([-−–+]?)\s*({NUMBER}|\d+\s+\d+/\d+|\d+/\d+)\s*({UNIT})?\.?$", re.IGNORECASE)
MULTIPLE = re.compile(rf"(\d+)\s*(?:for|/|@)\s*({NUMBER})$", re.IGNORECASE)
PER_UNIT = re.compile(rf"\s*(?:/|per|a|an)\s*\.?\s*{UNIT}\.?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ReadAmounts:
    """Amounts by position (None = unknown), positions that could not be read, units of weight, how many "about"."""

    amounts: tuple[Decimal | None, ...]
    bad: tuple[int, ...]
    percents: frozenset[int] = frozenset()
    alls: frozenset[int] = frozenset()
    weighed: dict[int, str] = field(default_factory=dict)
    about: int = 0


@dataclass(frozen=True, slots=True)
class Typed:
    """One typed amount taken apart; the decimal mark is still open."""

    sign: int
    number: str
    money: bool
    percent: bool
    divisor: int = 1
    about: bool = False
    weight: str = ""


def read_amounts(
    cells: list[tuple[int, str]], name: str, heading: str, questions: Questions, *, money: bool = False
) -> ReadAmounts:
    """Read one column; asks once where the decimal mark cannot be known.

    Parameters
    ----------
    cells : list of (row number, text)
    name, heading : str
        The field, and the sheet's own words for it.
    money : bool
        Whether "2 for $5" is a price of 2.50.
    """
    typed = [None if isinstance(text, Exact) else take_apart(text, money) for _row, text in cells]
    style = _style(cells, typed, name, heading, questions)
    amounts: list[Decimal | None] = []
    bad, percents, alls = [], set(), set()
    about = 0
    for at, (_row, text) in enumerate(cells):
        word = plain_word(text)
        amount: Decimal | None = None
        if word in EMPTY:
            pass
        elif word in ALL and name == "sold":
            alls.add(at)
        elif word in ZERO and not money:
            amount = Decimal(0)
        else:
            amount = _exact(text) if isinstance(text, Exact) else _value(typed[at], style)
            waits = style is None and _open_mark(typed[at])
            if amount is None and not waits:
                bad.append(at)
            if text.rstrip().endswith("%"):
                percents.add(at)
            part = typed[at]
            about += bool(part and part.about)
        amounts.append(amount)
    weighed = {at: part.weight for at, part in enumerate(typed) if part and part.weight}
    return ReadAmounts(tuple(amounts), tuple(bad), frozenset(percents), frozenset(alls), weighed, about)


@lru_cache(maxsize=8192)
def plain_word(text: str) -> str:
    """The text for comparing with words: folded, single spaces, no full stop."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split()).strip(" .!") if text not in EMPTY else text


def parse_amount(text: str, style: str | None = None, *, money: bool = False) -> Decimal | None:
    """One amount by itself; None if it is none or if its decimal mark stays open."""
    return _exact(text) if isinstance(text, Exact) else _value(take_apart(text, money), style)


@lru_cache(maxsize=8192)
def take_apart(text: str, money: bool) -> Typed | None:
    """Sign, number, money, percent and "2 for" of one cell; None if it is no amount."""
    bare = _digits(" ".join(text.split()))
    if not bare or len(bare) > 40:
        return None
    has_money = bool(MONEY.search(bare))
    bare = MONEY.sub("", bare).strip()
    negative = bare.startswith("(") and bare.endswith(")")
    bare = bare[1:-1].strip() if negative else bare
    stripped = ABOUT.sub("", bare).strip()
    about, bare = stripped != bare, stripped
    percent = bare.endswith("%")
    bare = bare.removesuffix("%").strip()
    if money and (several := MULTIPLE.match(bare)) and not re.fullmatch(r"1/[2348]", bare):
        return Typed(1, several.group(2).strip(), True, False, max(1, int(several.group(1))), about)
    bare = PER_UNIT.sub("", bare) if money or has_money else bare
    found = AMOUNT.match(bare)
    if not found:
        return None
    sign = -1 if negative or found.group(1) in ("-", "−", "–") else 1
    weight = WEIGHTS.get((found.group(3) or "").casefold(), "")
    return Typed(sign, found.group(2).strip(), has_money, percent, 1, about, weight)


def _digits(text: str) -> str:
    """Digits of all scripts as 0-9, fractions of one sign written out."""
    if text.isascii():
        return text
    out: list[str] = []
    for sign in text:
        if sign in FRACTIONS:
            out.append((" " if out and out[-1].isdigit() else "") + FRACTIONS[sign])
        elif sign.isdecimal():
            out.append(str(unicodedata.decimal(sign)))
        else:
            out.append({"٫": ".", "٬": ",", "’": "'"}.get(sign, sign))
    return "".join(out)


def _exact(text: str) -> Decimal | None:
    bare = text.removesuffix("%")
    try:
        return Decimal(bare)
    except InvalidOperation:
        return None


def _marks(number: str) -> tuple[str, ...]:
    return tuple(sign for sign in number if sign in ".,")


def _open_mark(typed: Typed | None) -> bool:
    """Whether "1,250" or "1.250" could be 1250 or 1.25: one mark, one to three digits before, exactly three after."""
    if typed is None or typed.money or "/" in typed.number:
        return False
    found = re.fullmatch(r"(\d{1,3})[.,]\d{3}", typed.number)
    return bool(found) and found is not None and not found.group(1).startswith("0")


def _own_style(typed: Typed | None) -> str | None:
    """The decimal mark that the form of one number proves, if it does."""
    if typed is None or "/" in typed.number or _open_mark(typed):
        return None
    marks = _marks(typed.number)
    if not marks:
        return None
    if len(set(marks)) == 2:
        return POINT if marks[-1] == "." else COMMA
    if len(marks) > 1:
        return POINT if marks[0] == "," else COMMA
    behind = len(re.split("[.,]", typed.number)[1].strip())
    if behind == 3 and typed.money:
        return POINT if marks[0] == "," else COMMA
    return POINT if marks[0] == "." else COMMA


def _style(
    cells: list[tuple[int, str]], typed: list[Typed | None], name: str, heading: str, questions: Questions
) -> str | None:
    proofs = {style for part in typed if (style := _own_style(part))}
    waiting = [at for at, part in enumerate(typed) if _open_mark(part)]
    both = [at for at, part in enumerate(typed) if part and len(set(_marks(part.number))) == 2]
    clash = len({_own_style(typed[at]) for at in both}) > 1
    if len(proofs) == 1 and not clash:
        return next(iter(proofs))
    if not waiting and not clash:
        return POINT
    at = (waiting or both)[0]
    text = cells[at][1]
    readings = [(style, _value(typed[at], style)) for style in (POINT, COMMA)]
    labels = {POINT: _("the decimal mark is a point"), COMMA: _("the decimal mark is a comma")}
    choices = tuple(
        Choice(
            style,
            _("%(text)s is %(value)s: %(label)s") % {"text": text, "value": _shown(value), "label": labels[style]},
        )
        for style, value in readings
    )
    rows = tuple(cells[index][0] for index in (waiting or both))
    question = _("How are numbers written in “%(column)s” (rows %(rows)s)?")
    said = {"column": heading, "rows": rows_in_words(rows)}
    return questions.ask(f"decimal.{name}", question % said, choices, rows=rows, column=heading)


def _shown(value: Decimal | None) -> str:
    return _("not a number") if value is None else f"{value.normalize():f}"


@lru_cache(maxsize=8192)
def _value(typed: Typed | None, style: str | None) -> Decimal | None:
    if typed is None:
        return None
    if "/" in typed.number:
        return _fraction(typed)
    if _open_mark(typed) and style is None:
        return None
    # A form that proves its own mark is read by it; only an open one needs the column's.
    mark = _own_style(typed) or style or POINT
    if len(set(_marks(typed.number))) == 2 and style is not None and style != mark:
        return None
    thousands = r"[,' \u00a0\u2009\u202f]" if mark == POINT else r"[.' \u00a0\u2009\u202f]"
    whole, _mark, part = typed.number.partition("." if mark == POINT else ",")
    groups = re.split(thousands, whole)
    if len(groups) > 1 and not (1 <= len(groups[0]) <= 3 and all(len(group) == 3 for group in groups[1:])):
        return None
    text = "".join(groups) + ("." + part if part else "")
    if not re.fullmatch(r"\d*\.?\d*", text) or text in ("", ".") or len(text) > 18:
        return None
    return typed.sign * Decimal(text) / typed.divisor


def _fraction(typed: Typed) -> Decimal | None:
    found = re.fullmatch(r"(?:(\d{1,6})\s+)?(\d{1,3})/(\d{1,3})", typed.number)
    if not found or int(found.group(3)) == 0:
        return None
    return typed.sign * (Decimal(found.group(1) or 0) + Decimal(found.group(2)) / Decimal(found.group(3)))
