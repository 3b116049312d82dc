"""At the stall: ran out, back on the table, another price from now, so many sold."""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta

from django.utils.translation import gettext as _

from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.locked_day import begin_at_stall, locked_line
from farmops.selling.market_facts import Kind, KnownLine, facts_of
from farmops.selling.models import MarketFact, MarketLine
from farmops.selling.own_hours import AS_NOTED, Hours, Said, keep_hours
from farmops.selling.typed_stock import in_figures, money_in_words, per_unit, stored_amount, stored_cents, with_unit

SLIP = timedelta(minutes=3)  # a press so soon after "sold out" takes a slip of the finger back
_SO_MANY_FOR = re.compile(r"\s*(?P<count>\d{1,3})\s*(?:for|/|@)\s*(?P<price>.+)", re.I)


def sold_out(
    *, saying: Saying, line: MarketLine, minute: int | None, puts_right: bool = False, hours: Hours = AS_NOTED
) -> Done:
    """Nothing of it lies on the table any more, since a minute or since nobody knows when.

    Noted already: an earlier minute replaces the one that stands there ("it was five minutes ago"); a later one does
    so where it `puts_right`, and is otherwise somebody else's second press.

    Raises
    ------
    Refused
        If that is noted already, the market did not or does not yet take place, or as `keep_hours`.
    """
    last = _last_sold_out(line)
    replaced = None
    if last is not None and minute is not None and minute != last.minute:
        is_better = puts_right or last.minute is None or minute < last.minute
        replaced = last if is_better else None

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line, Said.OUT, minute, hours)
        words = {"item": known.line.item.name, "when": when_in_words(minute)}
        if replaced is not None and replaced.entry.job == Job.READ:
            change(entry, replaced, minute=minute)
        elif known.is_empty:
            words["when"] = when_in_words(known.out_at[-1])
            raise Refused(_("%(item)s is noted as sold out %(when)s already.") % words)
        else:
            save(MarketFact(line=known.line, kind=Kind.SOLD_OUT, minute=minute, entry=entry))
        return _("%(item)s sold out %(when)s") % words

    takes_back = replaced.entry if replaced is not None and replaced.entry.job != Job.READ else None
    return at_stall(replace(saying, corrects=takes_back), line, write)


def back_on_table(*, saying: Saying, line: MarketLine, minute: int | None, hours: Hours = AS_NOTED) -> Done:
    """It lies on the table again. Right after "sold out" it takes that back: a slip is no sell-out.

    Raises
    ------
    Refused
        If it lies there already, or as `keep_hours`.
    """
    last = _last_sold_out(line)
    if last is not None and timedelta(0) <= saying.said_at - last.entry.said_at <= SLIP:
        return not_sold_out(saying=saying, line=line)

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line, Said.ON_THE_TABLE, minute, hours)
        if not known.is_empty:
            raise Refused(_("%(item)s is on the table already.") % {"item": known.line.item.name})
        save(MarketFact(line=known.line, kind=Kind.BACK, minute=minute, entry=entry))
        return _("%(item)s back on the table %(when)s") % {"item": known.line.item.name, "when": when_in_words(minute)}

    return at_stall(saying, line, write)


def not_sold_out(*, saying: Saying, line: MarketLine) -> Done:
    """The last "sold out" was a slip: it counts no more.

    Raises
    ------
    Refused
        If nobody noted one, or it came with a sheet's other rows.
    """
    last = _last_sold_out(line)

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line)
        if last is None:
            raise Refused(_("%(item)s is not noted as sold out.") % {"item": known.line.item.name})
        return _("%(item)s was not sold out after all") % {"item": known.line.item.name}

    if last is not None and last.entry.job == Job.READ:
        raise Refused(_("That was read from a sheet. Note when it was back on the table instead."))
    return at_stall(replace(saying, corrects=last.entry if last else None), line, write)


def price_from_now(
    *,
    saying: Saying,
    line: MarketLine,
    typed: str,
    minute: int | None,
    sold_so_far: str = "",
    yes: frozenset[str] = frozenset(),
    hours: Hours = AS_NOTED,
) -> Done:
    """Another price from a minute on; with what was sold at the one before, where somebody counted.

    Parameters
    ----------
    saying, line
    typed : str
        3.50, or 2 for 5.
    minute : int or None
        [min after midnight]
    sold_so_far : str
        As typed; empty: not counted.
    yes : frozenset of str
    hours : Hours

    Raises
    ------
    Refused, NeedsYes
        As the amounts and `keep_hours`; "odd" as `tally`.
    """

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line, Said.PRICE, minute, hours)
        count, price = price_typed(typed, yes=yes)
        if sold_so_far.strip():
            sold = stored_amount(sold_so_far, line.unit, field="amount", yes=yes, may_be_zero=True)
            _check_odd(known, sold, yes)
            save(MarketFact(line=known.line, kind=Kind.TALLIED, amount=sold, minute=minute, entry=entry))
        save(
            MarketFact(
                line=known.line,
                kind=Kind.PRICE,
                minute=minute,
                price_cents=price,
                price_for=count if count != 1 else None,
                entry=entry,
            )
        )
        words = {"item": line.item.name, "price": price_in_words(price, count), "when": when_in_words(minute)}
        return _("%(item)s %(price)s %(when)s") % words

    return at_stall(saying, line, write)


def tally(
    *,
    saying: Saying,
    line: MarketLine,
    typed: str,
    minute: int | None = None,
    yes: frozenset[str] = frozenset(),
    hours: Hours = AS_NOTED,
) -> Done:
    """So many sold, as one seller counted; with a minute, up to then.

    Raises
    ------
    Refused, NeedsYes
        As `stored_amount` and `keep_hours`; "odd" where the number does not go into "2 for 5".
    """

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line, Said.COUNTED, minute, hours)
        amount = stored_amount(typed, line.unit, field="amount", yes=yes, may_be_zero=True)
        _check_odd(known, amount, yes)
        save(MarketFact(line=known.line, kind=Kind.TALLIED, amount=amount, minute=minute, entry=entry))
        return _("%(item)s: %(amount)s sold, as counted") % {
            "item": line.item.name,
            "amount": with_unit(amount, line.unit),
        }

    return at_stall(saying, line, write)


def price_typed(typed: str, *, yes: frozenset[str] = frozenset()) -> tuple[int, int]:
    """How many for how many cents: 2 for 5 is (2, 500), 3.50 is (1, 350)."""
    pack = _SO_MANY_FOR.fullmatch(typed)
    if pack is None:
        return 1, stored_cents(typed, field="price", yes=yes)
    if int(pack["count"]) < 1:
        raise Refused(_("“%(typed)s” is no price. Type it like 3.50 or 2 for 5.") % {"typed": typed}, field="price")
    return int(pack["count"]), stored_cents(pack["price"], field="price", yes=yes)


def price_in_words(price_cents: int, count: int = 1) -> str:
    """$3.50; 2 for $5.00."""
    money = money_in_words(price_cents)
    return money if count == 1 else _("%(count)d for %(money)s") % {"count": count, "money": money}


def odd_in_words(known: KnownLine) -> str:
    """Where the sum of a line does not go into its packs: 15 at 2 for $5.00; empty where all is even."""
    found = known.takings
    for spell in found.low_spells if found else ():
        count = spell.price_for // per_unit(known.line.unit)
        if count > 1 and spell.sold % spell.price_for:
            words = {"sold": in_figures(spell.sold, known.line.unit), "price": price_in_words(spell.price_cents, count)}
            return _("%(sold)s at %(price)s: an odd number") % words
    return ""


def at_stall(saying: Saying, line: MarketLine, write: Callable[[Entry], str]) -> Done:
    """Do what concerns one line, under an entry of the stall."""

    def write_all(entry: Entry) -> tuple[str, Mapping[str, object]]:
        return write(entry), {"line": line.pk}

    return do_once(saying, Job.STALL, write_all)


def begun(
    saying: Saying,
    entry: Entry,
    line: MarketLine,
    said: Said = Said.COUNTED,
    minute: int | None = None,
    hours: Hours = AS_NOTED,
) -> KnownLine:
    """What is known of a line whose day is locked and takes place; what is `said` of a minute lies within its hours."""
    fresh = locked_line(line)
    begin_at_stall(saying, entry, fresh.market_day)
    keep_hours(entry, fresh.market_day, said, minute, hours)
    return facts_of(fresh)


def _check_odd(known: KnownLine, amount: int, yes: frozenset[str]) -> None:
    count = known.prices[-1].count if known.prices else 1
    if count > 1 and amount % (count * per_unit(known.line.unit)) and "odd" not in yes:
        price = price_in_words(known.prices[-1].cents, count)
        words = {"amount": with_unit(amount, known.line.unit), "price": price}
        raise NeedsYes(
            _("%(amount)s sold at %(price)s is an odd number. Is it meant?") % words, question="odd", field="amount"
        )


def _last_sold_out(line: MarketLine) -> MarketFact | None:
    known = facts_of(line)
    return known.of(Kind.SOLD_OUT)[-1] if known.is_empty else None


def when_in_words(minute: int | None) -> str:
    """At 11:40; (time not known)."""
    if minute is None:
        return _("(time not known)")
    return _("at %(hour)02d:%(minute)02d") % {"hour": minute // 60, "minute": minute % 60}
