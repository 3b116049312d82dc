"""What `bring` answers: a strict sheet of market days to figures for programs (JSON) or people (a table)."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.demand import Range
from farmops.exchange.notebook import Answers, Doubt, Notebook, NotebookRefused, read_notebook
from farmops.exchange.notebook.columns import STRICT_REQUIRED
from farmops.exchange.notebook.doubts import LEAVE_OUT
from farmops.exchange.notebook.times import clock
from farmops.planning.bringing import ItemOutlook, MarketOutlook, Outlook, what_to_bring

Json = dict[str, Any]  # what json.dumps takes


class MarketDaysRefused(Exception):
    """The sheet cannot be used as it is; carries every fault that the reading came to, not only the first."""

    def __init__(self, faults: Sequence[NotebookRefused]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


def read_market_days(source: bytes, name: str, as_of: date) -> Notebook:
    """Read a sheet that nobody can be asked about: every open question is a fault with its row and remedy.

    Raises
    ------
    MarketDaysRefused
        If required columns are missing, cells cannot be read, or nothing is left to learn from: with all of it.
    """
    try:
        notebook = read_notebook(source, name, Answers(), as_of)
    except NotebookRefused as refused:
        raise MarketDaysRefused([refused]) from refused
    faults = [*_missing_columns(notebook), *(_fault(doubt) for doubt in _all_open(notebook, source, name, as_of))]
    if not faults and not notebook.records:
        faults.append(
            NotebookRefused(
                _("No market day on or before %(day)s is left in this sheet.") % {"day": as_of.isoformat()},
                _("Check the dates, or ask for a later day."),
            )
        )
    if faults:
        raise MarketDaysRefused(faults)
    return notebook


def _all_open(notebook: Notebook, source: bytes, name: str, as_of: date) -> list[Doubt]:
    """Every open question; those that come up only later are found with the rows of the earlier ones left out."""
    said: dict[str, str] = {}
    found, further = list(notebook.open), notebook.open
    while further and all(any(choice.key == LEAVE_OUT for choice in doubt.choices) for doubt in further):
        said |= {doubt.key: LEAVE_OUT for doubt in further}
        try:
            further = read_notebook(source, name, Answers.of(said), as_of).open
        except NotebookRefused:  # nothing is left to look at
            break
        further = tuple(doubt for doubt in further if doubt.key not in said)
        found += further
    return found


def _missing_columns(notebook: Notebook) -> list[NotebookRefused]:
    missing = [column for column in STRICT_REQUIRED if not notebook.mapping.has(column)]
    if notebook.mapping.headings and missing:
        fault = NotebookRefused(
            ngettext("The column %(names)s is missing.", "The columns %(names)s are missing.", len(missing))
            % {"names": ", ".join(missing)},
            ngettext(
                "Add it to the heading in row %(row)d, and try again.",
                "Add them to the heading in row %(row)d, and try again.",
                len(missing),
            )
            % {"row": (notebook.table.heading_rows or (1,))[-1]},
            row=(notebook.table.heading_rows or (1,))[-1],
            column=missing[0],
        )
        return [fault]
    return []


def _fault(doubt: Doubt) -> NotebookRefused:
    ways = "; ".join(choice.words for choice in doubt.choices)
    remedy = _("Correct it in the sheet, and try again.")
    if ways:
        remedy = _("It could mean: %(ways)s. Write it so that only one is left, and try again.") % {"ways": ways}
    return NotebookRefused(doubt.question, remedy, rows=doubt.rows, column=doubt.column)


def fault_in_words(refused: NotebookRefused, name: str) -> str:
    """File, row, column, what is wrong and what to do, in one line."""
    place = [name]
    if refused.row is not None:
        place.append(_("row %(row)d") % {"row": refused.row})
    if refused.column:
        place.append(_("column %(column)s") % {"column": refused.column})
    return f"{', '.join(place)}: {refused.words} {refused.remedy}"


def outlook_of(notebook: Notebook, as_of: date, next_day: date | None) -> Outlook:
    """The advice for all markets of a notebook, on `next_day` or each market's usual next day."""
    markets = {record.market for record in notebook.records}
    return what_to_bring(
        notebook.records,
        notebook.economics,
        as_of=as_of,
        next_days=dict.fromkeys(markets, next_day) if next_day else None,
        guesses=notebook.guesses,
    )


def as_json(notebook: Notebook, outlook: Outlook) -> Json:
    """The answer for programs; its schema is schemas/bring.json."""
    return {
        "format": 1,
        "as_of": outlook.as_of.isoformat(),
        "first_day": outlook.first_day.isoformat() if outlook.first_day else None,
        "last_day": outlook.last_day.isoformat() if outlook.last_day else None,
        "records": len(notebook.records),
        "left_out": [{"reason": reason, "rows": rows, "words": words} for reason, rows, words in notebook.left_out],
        "total_rows": notebook.table.total_rows,
        "empty_rows": notebook.table.empty_rows,
        "notes": notes_of(notebook),
        "markets": [_market(market) for market in outlook.markets],
        "running_out": _money_range(outlook.running_out),
        "compost": _money_range(outlook.compost),
        "without_price": list(outlook.without_price),
        "no_longer_planned": [{"market": market, "item": item} for market, item in outlook.dropped],
    }


def notes_of(notebook: Notebook) -> list[str]:
    """What was taken for granted while reading, in words."""
    taken = []
    for doubt in notebook.doubts:
        words = {choice.key: choice.words for choice in doubt.choices}
        settled = doubt.settled or ""
        taken.append(f"{doubt.question} {words.get(settled, settled)}")
    if notebook.table.unread_from is not None:  # else counts of what was left out say enough
        taken.append(notebook.table.left_out_in_words)
    return [*taken, *notebook.warnings]


def _market(market: MarketOutlook) -> Json:
    return {
        "market": market.market,
        "next_day": market.day.isoformat(),
        "opens": clock(market.opens),
        "closes": clock(market.closes),
        "days": market.days,
        "items": [_item(item) for item in market.items],
    }


def _item(item: ItemOutlook) -> Json:
    economics = item.economics.filled()
    has_price = item.economics.price is not None
    return {
        "item": item.item,
        "unit": item.unit,
        "step": _number(item.economics.step),
        "bring": _number(item.bring),
        "mean": round(item.mean, 3),
        "mean_low": round(item.mean_low, 3),
        "mean_high": round(item.mean_high, 3),
        "low": _number(item.low),
        "high": _number(item.high),
        "fall_back_mean": round(item.simple_mean, 3),
        "reason": item.reason,
        "days": item.days,
        "ran_out_days": item.ran_out_days,
        "ran_out_untimed_days": item.untimed_days,
        "tells_little_days": item.tells_little,
        "usually_brought": round(item.usually_brought, 2),
        "usually_out_at": None if item.usually_out_at is None else clock(item.usually_out_at),
        "price": _number(economics.price or 0.0) if has_price else None,
        "unit_cost": _number(economics.unit_cost or 0.0) if has_price else None,
        "leftover_value": _number(economics.leftover_value or 0.0),
        "starting_guesses": sorted(item.economics.assumed - {"price"}),
        "running_out": _money_range(item.running_out),
        "compost": _money_range(item.compost),
    }


def _money_range(money: Range | None) -> Json | None:
    if money is None:
        return None
    return {"low": round(money.low, 2), "mean": round(money.mean, 2), "high": round(money.high, 2)}


def _number(amount: float) -> float | int:
    """Whole numbers without a point; the noise of binary fractions cut off."""
    return int(amount) if amount == int(amount) else round(amount, 6)


def as_table(notebook: Notebook, outlook: Outlook) -> str:
    """The answer for people, as plain text."""
    lines: list[str] = []
    for market in outlook.markets:
        head = _("%(market)s, %(day)s, %(opens)s to %(closes)s")
        lines.append(
            head
            % {
                "market": market.market,
                "day": f"{market.day:%a} {market.day.isoformat()}",
                "opens": clock(market.opens),
                "closes": clock(market.closes),
            }
        )
        lines += ["  " + line for line in _columns(_table_rows(market))]
        lines += [f"  {item.item}: {item.reason}" for item in market.items]
        lines.append("")
    lines += _sums(outlook)
    for _reason, rows, words in notebook.left_out:
        lines.append(ngettext("%(rows)d row left out: %(words)s", "%(rows)d rows left out: %(words)s", rows)
                     % {"rows": rows, "words": words})  # fmt: skip
    return "\n".join(lines)


def _table_rows(market: MarketOutlook) -> list[list[str]]:
    head = [_("item"), _("bring"), _("unit"), _("usual demand"), _("one day"), _("brought"), _("ran out"), _("at")]
    rows = [head]
    for item in market.items:
        rows.append(
            [
                item.item,
                f"{item.bring:g}",
                item.unit,
                f"{item.mean:.1f} ({item.mean_low:.1f}-{item.mean_high:.1f})",
                f"{item.low:g}-{item.high:g}",
                f"{item.usually_brought:.1f}",
                ngettext("%(out)d of %(days)d day", "%(out)d of %(days)d days", item.days)
                % {"out": item.ran_out_days, "days": item.days},
                "" if item.usually_out_at is None else clock(item.usually_out_at),
            ]
        )
    return rows


def _columns(rows: list[list[str]]) -> list[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def _sums(outlook: Outlook) -> list[str]:
    said: Mapping[str, Range | None] = {
        _("Running out cost"): outlook.running_out,
        _("Compost cost"): outlook.compost,
    }
    lines = []
    for words, money in said.items():
        if money is None:
            lines.append(_("%(what)s: not known without prices.") % {"what": words})
        else:
            text = (
                f"{money.low:,.0f}-{money.high:,.0f}" if round(money.low) != round(money.high) else f"{money.mean:,.0f}"
            )
            lines.append(f"{words}: {text}")
    if outlook.without_price and outlook.running_out is not None:
        lines.append(
            _("Not counted, because no price is known: %(items)s") % {"items": ", ".join(outlook.without_price)}
        )
    return lines
