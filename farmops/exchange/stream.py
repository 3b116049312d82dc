"""One line in, one line out: all past records and the asks of a day, answered without the database."""

import math
import reprlib
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import Any, TypeVar

from django.utils.translation import gettext as _

from farmops.core.demand import Ask, MarketRecord, advise_all, learn
from farmops.planning.reasons import reason_sentence

FORMAT = 1  # of the answers; a change that a program must know of raises it
OPENS, CLOSES = 8 * 60, 13 * 60  # [min after midnight]
MOST_COUNT = 100_000
MOST_MONEY = 1_000_000.0
MOST_RECORDS = 200_000
MOST_SHOWN = 80  # characters of a value that an error shows again
WEATHER = {"dry", "rain"}
NUMBERS = {int, float}  # true and false are no numbers

T = TypeVar("T")

# JSON objects come from outside: their values are unknown until the readers below have looked at them.
Row = dict[str, Any]


class NotUnderstood(ValueError):
    """What is wrong with a line, in plain words."""


def answer(line: Row) -> Row:
    """Answer one line of the stream.

    Parameters
    ----------
    line : dict
        "records": all past market days of the farm; "asks": what to bring. Unknown keys are ignored.

    Returns
    -------
    dict
        "format": 1; "bring": whole numbers of fresh stock beyond what is carried in; "mean": usual demand; "reason":
        sentences; or "format" and "error": what is wrong, in plain words. Its schema is schemas/stream.json.
        Never raises for what a line says.
    """
    try:
        records, asks = _rows(line)
        return _advice(records, asks)
    except NotUnderstood as error:
        return refusal(str(error))
    except (ArithmeticError, ValueError) as error:
        return refusal(_("This line cannot be reckoned: %(why)s") % {"why": str(error)[:MOST_SHOWN]})


def refusal(words: str) -> Row:
    """The answer to a line that cannot be answered."""
    return {"format": FORMAT, "error": words}


def _rows(line: Any) -> tuple[list[MarketRecord], list[Ask]]:
    if not isinstance(line, dict):
        raise NotUnderstood(_('A line must be an object with "records" and "asks".'))
    raw_records = [] if line.get("records") is None else line["records"]
    raw_asks = line.get("asks")
    if not isinstance(raw_records, list) or not isinstance(raw_asks, list):
        raise NotUnderstood(_('"records" and "asks" must be lists.'))
    if len(raw_records) > MOST_RECORDS:
        raise NotUnderstood(_("At most %(most)s records a line.") % {"most": MOST_RECORDS})
    records = [_read(raw, "records", at, record_of) for at, raw in enumerate(raw_records)]
    asks = [_read(raw, "asks", at, _ask) for at, raw in enumerate(raw_asks)]
    _refuse_two_guesses(asks)
    return [record for record in records if record is not None], asks


def _refuse_two_guesses(asks: list[Ask]) -> None:
    """A guess is about an item at a market, so two that differ leave open which one is meant."""
    first: dict[tuple[str, str], tuple[int, float]] = {}
    for at, ask in enumerate(asks):
        if ask.guess is None:
            continue
        before, guess = first.setdefault((ask.market, ask.item), (at, ask.guess))
        if guess != ask.guess:
            words = {"at": at, "guess": ask.guess, "before": before, "other": guess}
            raise NotUnderstood(
                _('asks[%(at)s]: "guess" is %(guess)g, but asks[%(before)s] guesses %(other)g for the same.') % words
            )


def _read(raw: Any, where: str, at: int, reader: Callable[[Row], T]) -> T:
    """Read one row; a fault names the row."""
    try:
        if not isinstance(raw, dict):
            raise NotUnderstood(_("must be an object."))
        return reader(raw)
    except NotUnderstood as error:
        raise NotUnderstood(f"{where}[{at}]: {error}") from error


def _advice(records: list[MarketRecord], asks: list[Ask]) -> Row:
    if not asks:
        return {"format": FORMAT, "bring": [], "mean": [], "reason": []}
    guesses = {(ask.market, ask.item): ask.guess for ask in asks if ask.guess is not None}
    categories = {ask.item: ask.category for ask in sorted(asks, key=lambda ask: (ask.item, ask.category))}
    before = date.fromordinal(max(1, min(ask.day for ask in asks).toordinal() - 1))
    as_of = max((record.day for record in records), default=before)
    learned = learn(records, as_of=as_of, guesses=guesses, categories=categories)
    advices = advise_all(learned, asks)
    return {
        "format": FORMAT,
        "bring": [advice.fresh for advice in advices],
        "mean": [round(advice.forecast.mean, 4) for advice in advices],
        "reason": [reason_sentence(advice) for advice in advices],
    }


def record_of(raw: Row) -> MarketRecord | None:
    """A market day, or None where it was called off or nothing is known of what was brought."""
    if _flag(raw, "cancelled"):
        return None
    brought = _count(raw, "brought")
    carried_in = _count(raw, "carried_in") or 0
    sold, left = _count(raw, "sold"), _count(raw, "left")
    if brought is None:
        raise NotUnderstood(_('"brought" is missing.'))
    _check_balance(brought + carried_in, sold, left)
    opens, closes = _hours(raw)
    times = _times(raw, "sold_out_at")
    if times and not opens <= times[0] <= times[-1] <= closes:
        raise NotUnderstood(_('"sold_out_at" lies before the market opens or after it closes.'))
    said, ran_out = raw.get("sold_out"), _flag(raw, "sold_out")
    if said is None:
        ran_out = bool(times) or (left == 0 and brought + carried_in > 0)
    elif times and not ran_out:
        raise NotUnderstood(_('"sold_out" is false, yet "sold_out_at" gives a time.'))
    return MarketRecord(
        day=_date(raw),
        market=_text(raw, "market"),
        item=_text(raw, "item"),
        category=_text(raw, "category", needed=False),
        opens=opens,
        closes=closes,
        brought=brought,
        carried_in=carried_in,
        sold=sold,
        left=left,
        ran_out=ran_out,
        ran_out_at=times,
        price=_money(raw, "price"),
        weather=_weather(raw),
    )


def _check_balance(stock: int, sold: int | None, left: int | None) -> None:
    """Less than there was may be sold and left (the rest was given away), but never more."""
    words = {"sold": sold, "left": left, "stock": stock}
    if (sold or 0) > stock:
        raise NotUnderstood(_("sold %(sold)s of %(stock)s: more than there was.") % words)
    if (left or 0) > stock:
        raise NotUnderstood(_("left %(left)s of %(stock)s: more than there was.") % words)
    if (sold or 0) + (left or 0) > stock:
        raise NotUnderstood(_("sold %(sold)s and left %(left)s of %(stock)s: more than there was.") % words)


def _ask(raw: Row) -> Ask:
    opens, closes = _hours(raw)
    price = _money(raw, "price")
    unit_cost = _money(raw, "unit_cost")
    if price is None:
        raise NotUnderstood(_('"price" is missing.'))
    loss = _number(raw, "carry_loss", 0.0, 1.0)
    return Ask(
        day=_date(raw),
        market=_text(raw, "market"),
        item=_text(raw, "item"),
        category=_text(raw, "category", needed=False),
        opens=opens,
        closes=closes,
        price=price,
        unit_cost=0.3 * price if unit_cost is None else unit_cost,
        leftover_value=_money(raw, "leftover_value") or 0.0,
        weather=_weather(raw),
        shelf_markets=max(_count(raw, "shelf_markets") or 1, 1),
        carry_loss=loss or 0.0,
        carried_in=_count(raw, "carried_in") or 0,
        guess=_number(raw, "guess", 0.0, MOST_COUNT),
    )


def _shown(value: Any) -> str:
    """A value as an error shows it: never long, however long it came."""
    plain = repr(value[:MOST_SHOWN]) if isinstance(value, str) else reprlib.repr(value)
    return plain if len(plain) <= MOST_SHOWN else plain[: MOST_SHOWN - 1] + "…"


def _weather(raw: Row) -> str:
    """ "dry" or "rain"; any other word is weather that tells nothing here."""
    weather = _text(raw, "weather", needed=False)
    return weather if weather in WEATHER else ""


def _text(raw: Row, key: str, needed: bool = True) -> str:
    value = raw.get(key)
    if value is None and not needed:
        return ""
    if not isinstance(value, str) or (needed and not value.strip()):
        raise NotUnderstood(_('"%(key)s" must be a word, got %(value)s.') % {"key": key, "value": _shown(value)})
    return value


_day = lru_cache(maxsize=20_000)(date.fromisoformat)  # a season names the same days for every item


def _date(raw: Row) -> date:
    value = raw.get("date")
    try:
        return _day(value)
    except (TypeError, ValueError) as error:
        words = {"value": _shown(value)}
        raise NotUnderstood(_('"date" must be like 2026-05-02, got %(value)s.') % words) from error


@lru_cache(maxsize=2_000)
def _clock(text: str) -> int | None:
    """Minutes after midnight of HH:MM, or None."""
    parts = text.split(":")
    if len(parts) == 2 and all(part.isascii() and part.isdigit() and len(part) <= 2 for part in parts):
        hour, minute = int(parts[0]), int(parts[1])
        if hour < 24 and minute < 60:
            return 60 * hour + minute
    return None


def _minute(value: Any, key: str) -> int:
    minute = _clock(value) if isinstance(value, str) else None
    if minute is not None:
        return minute
    raise NotUnderstood(_('"%(key)s" must be a time like 09:45, got %(value)s.') % {"key": key, "value": _shown(value)})


def _times(raw: Row, key: str) -> tuple[int, ...]:
    value = raw.get(key)
    if value is None or value == "":
        return ()
    return tuple(sorted(_minute(part, key) for part in (value if isinstance(value, list) else [value])))


def _hours(raw: Row) -> tuple[int, int]:
    opens = OPENS if raw.get("opens") is None else _minute(raw["opens"], "opens")
    closes = CLOSES if raw.get("closes") is None else _minute(raw["closes"], "closes")
    if closes <= opens:
        raise NotUnderstood(_("the market must close after it opens."))
    return opens, closes


def _number(raw: Row, key: str, least: float, most: float) -> float | None:
    value = raw.get(key)
    if value is None:
        return None
    if type(value) not in NUMBERS or (isinstance(value, float) and not math.isfinite(value)):
        raise NotUnderstood(_('"%(key)s" must be a number, got %(value)s.') % {"key": key, "value": _shown(value)})
    if not least <= value <= most:
        words = {"key": key, "least": least, "most": most, "value": _shown(value)}
        raise NotUnderstood(_('"%(key)s" must lie between %(least)g and %(most)g, got %(value)s.') % words)
    return float(value)


def _count(raw: Row, key: str) -> int | None:
    value = _number(raw, key, 0, MOST_COUNT)
    if value is not None and value != int(value):
        words = {"key": key, "value": _shown(value)}
        raise NotUnderstood(_('"%(key)s" must be a whole number, got %(value)s.') % words)
    return None if value is None else int(value)


def _money(raw: Row, key: str) -> float | None:
    return _number(raw, key, 0.0, MOST_MONEY)


def _flag(raw: Row, key: str) -> bool:
    value = raw.get(key)
    if value is None or isinstance(value, bool):
        return bool(value)
    words = {"key": key, "value": _shown(value)}
    raise NotUnderstood(_('"%(key)s" must be true, false or null, got %(value)s.') % words)
