"""What a line of a market day adds up to, as a sum to read."""

from django.utils.translation import gettext as _

from farmops.selling.at_stall import odd_in_words
from farmops.selling.market_facts import Kind, KnownLine, place_in_words
from farmops.selling.typed_clock import clock_of
from farmops.selling.typed_stock import in_figures, money_in_words, with_unit


def balance_in_words(known: KnownLine) -> list[str]:
    """60 brought = 47 sold + 3 taken home + 8 given away + 2 compost; what does not fit is named, not hidden."""
    found, unit = known.balance, known.line.unit
    if found.on_table is None:
        return _without_load(known)
    if found.on_table == 0 and not known.came_back:
        return [_("none brought")]
    said = [_sum(known)]
    if found.sold_by_count is not None and found.sold_by_tally is not None and found.not_tallied:
        words = {"count": with_unit(found.sold_by_count, unit), "tally": with_unit(found.sold_by_tally, unit)}
        said.append(_("sold by count %(count)s, as counted %(tally)s; both are kept") % words)
    if known.is_at_least:
        said.append(_at_least(known))
    if found.out_minutes and known.amount(Kind.RESTOCKED):
        said.append(_("the table stood empty for %(minutes)d minutes") % {"minutes": found.out_minutes})
    return said


def takings_in_words(known: KnownLine) -> list[str]:
    """What it took; a range where nobody knows what was sold at which price."""
    found = known.takings
    if found is None:
        return []
    said = [money_in_words(found.low)]
    if found.low != found.high:
        said = [f"{money_in_words(found.low)}–{money_in_words(found.high)}"]
    elif known.of(Kind.PRICE) and known.mean_price_cents is not None:
        said.append(_("%(money)s each on the mean") % {"money": money_in_words(known.mean_price_cents)})
    if odd := odd_in_words(known):
        said.append(odd)
    return said


def _sum(known: KnownLine) -> str:
    found, unit = known.balance, known.line.unit
    parts = []
    if found.unaccounted is not None and found.sold_by_tally is not None:
        parts.append(_("%(amount)s sold, as counted") % {"amount": in_figures(found.sold_by_tally, unit)})
    elif known.sold is not None:
        parts.append(_("%(amount)s sold") % {"amount": in_figures(known.sold, unit)})
    for kind, amount in known.came_back.items():
        if amount:
            parts.append(f"{in_figures(amount, unit)} {place_in_words(kind)}")
    brought = _brought(known)
    if found.unaccounted is not None and found.unaccounted < 0:
        words = {"brought": brought, "parts": " + ".join(parts), "more": in_figures(-found.unaccounted, unit)}
        return _("%(brought)s, but %(parts)s: %(more)s more than there were") % words
    if found.unaccounted:
        parts.append(_("%(amount)s unaccounted") % {"amount": in_figures(found.unaccounted, unit)})
    line = f"{brought} = {' + '.join(parts)}" if known.came_back or known.is_empty else "; ".join([brought, *parts])
    return line if known.came_back or known.is_empty else _("%(sum)s; what came back is not known") % {"sum": line}


def _brought(known: KnownLine) -> str:
    """50 brought, 20 of it put out later; 30 brought + 6 brought later."""
    unit, besides = known.line.unit, known.besides
    said = _("%(amount)s brought") % {"amount": with_unit((known.balance.on_table or 0) - besides, unit)}
    put_out = (known.amount(Kind.RESTOCKED) or 0) - besides
    if put_out:
        said = _("%(brought)s (%(amount)s of it put out later)") % {
            "brought": said,
            "amount": with_unit(put_out, unit),
        }
    if besides:
        said = _("%(brought)s + %(amount)s brought later") % {"brought": said, "amount": with_unit(besides, unit)}
    return said


def _at_least(known: KnownLine) -> str:
    times = [minute for minute in known.out_at if minute is not None]
    words = {"amount": "?" if known.sold is None else with_unit(known.sold, known.line.unit)}
    if not times:
        return _("at least %(amount)s wanted; when it ran out is not known") % words
    return _("at least %(amount)s wanted; ran out at %(times)s") % {
        **words,
        "times": ", ".join(clock_of(minute) for minute in times),
    }


def _without_load(known: KnownLine) -> list[str]:
    said = [_("what was brought is not known")]
    if known.came_back:
        back = ", ".join(
            f"{in_figures(amount, known.line.unit)} {place_in_words(kind)}" for kind, amount in known.came_back.items()
        )
        said.append(back)
    if known.balance.sold_by_tally is not None:
        said.append(
            _("%(amount)s sold, as counted") % {"amount": with_unit(known.balance.sold_by_tally, known.line.unit)}
        )
    return said
