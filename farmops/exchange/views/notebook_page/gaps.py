"""What the page owns up to: days that tell little, what is not known, what was left out, how columns were read."""

from collections import Counter
from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook import Answers, Doubt, Notebook
from farmops.exchange.notebook.columns import MEANINGS
from farmops.exchange.views.notebook_page.shown import ColumnLine
from farmops.planning.bringing import Outlook
from farmops.planning.economics import COST_SHARE, Economics
from farmops.web.templatetags.formats import in_words

MOST_NAMED = 6


def tells_little(outlook: Outlook) -> tuple[str, ...]:
    """Days that say next to nothing: one line for each reason, the items most concerned first."""
    words = {
        "gone at once": _("Gone at once, before most customers came: %(items)s."),
        "time unknown": _("Ran out at a time nobody noted: %(items)s."),
        "sold not known": _("Nobody noted what sold or came back: %(items)s."),
        "left early": _("Packed up early: %(items)s."),
    }
    lines = []
    for mark, line in words.items():
        found = Counter((day.record.item, day.record.market) for day in outlook.back.days if mark in day.marks)
        shown = [
            ngettext("%(item)s at %(market)s on %(days)d day", "%(item)s at %(market)s on %(days)d days", days)
            % {"item": item, "market": market, "days": days}
            for (item, market), days in sorted(found.items(), key=lambda entry: (-entry[1], entry[0]))
        ]
        rest = len(shown) - MOST_NAMED
        if rest > 0:
            shown = [*shown[:MOST_NAMED], ngettext("%(rest)d other", "%(rest)d others", rest) % {"rest": rest}]
        if shown:
            lines.append(line % {"items": ", ".join(shown)})
    return tuple(lines)


def unknown(outlook: Outlook, guessed: list[str], economics: Mapping[str, Economics]) -> tuple[str, ...]:
    total = outlook.back.total
    lines = []
    if guessed:
        named = _("all items") if len(guessed) == len(economics) else ", ".join(guessed)
        lines.append(
            _("What %(items)s cost to grow and pick is a starting guess, %(share)s of the price.")
            % {"items": named, "share": f"{COST_SHARE:.0%}"}
        )
    if outlook.without_price:
        lines.append(
            _("No price for %(items)s: their money is left out of the sums.")
            % {"items": ", ".join(outlook.without_price)}
        )
    if total.untimed:
        lines.append(ngettext(
            "%(days)d time something ran out and nobody noted when: then only “more than that” is known.",
            "%(days)d times something ran out and nobody noted when: then only “more than that” is known.",
            total.untimed) % {"days": total.untimed})  # fmt: skip
    if outlook.first_day and outlook.last_day and (outlook.last_day - outlook.first_day).days < 330:
        lines.append(_("The records cover less than a year: how the other months differ is not known."))
    lines.append(_("Somebody who finds one thing gone may take another instead; this is not told apart."))
    lines.append(_("Whether there will be a holiday, a new neighbour at the market or a heat wave."))
    for market, item in outlook.dropped:
        lines.append(_("%(what)s was not brought for over a year and is left out.") % {"what": item or market})
    return tuple(lines)


def left_out(found: Notebook) -> tuple[str, ...]:
    rows = [
        ngettext("%(count)d row not counted: %(why)s", "%(count)d rows not counted: %(why)s", count)
        % {"count": count, "why": why}
        for _reason, count, why in found.left_out
    ]
    unused = _("Not used: %(headings)s.") % {"headings": ", ".join(found.unused)} if found.unused else ""
    return tuple(filter(None, [found.table.left_out_in_words, *rows, unused]))


def settled(found: Notebook) -> tuple[Doubt, ...]:
    """Questions answered or taken for granted; those about columns are changed where the headings stand."""
    return tuple(doubt for doubt in found.doubts if not doubt.must_be_answered and not doubt.key.startswith("column."))


def differences(found: Notebook) -> tuple[str, ...]:
    return tuple(
        _(
            "Row %(row)d, %(day)s, %(item)s: %(brought)s brought, %(sold)s noted as sold, %(left)s left; "
            "%(gap)s not accounted for."
        )
        % {
            "row": gap.row,
            "day": in_words(gap.day),
            "item": gap.item,
            "brought": f"{gap.brought:f}",
            "sold": f"{gap.sold:f}",
            "left": f"{gap.left:f}",
            "gap": f"{gap.unaccounted:f}",
        }
        for gap in found.differences
    )


def column_lines(found: Notebook, answers: Answers) -> tuple[ColumnLine, ...]:
    """Each meaning with the column taken for it, so that a wrong one can be changed in words."""
    headings = found.mapping.headings or found.table.headings
    choices = tuple((str(column), words) for column, words in enumerate(headings) if words)
    lines = []
    for name, meaning in MEANINGS.items():
        columns = found.mapping.columns.get(name, ())
        said = answers.get(f"column.{name}")
        lines.append(
            ColumnLine(
                field=name,
                meaning=str(meaning),
                heading=" + ".join(headings[column] for column in columns),
                sample=_sample(found, columns),
                chosen=said or "",
                is_said=said is not None,
                choices=choices,
            )
        )
    return tuple(lines)


def _sample(found: Notebook, columns: tuple[int, ...]) -> str:
    if not columns:
        return ""
    cells = [row.cells[columns[0]] for row in found.table.rows if columns[0] < len(row.cells) and row.cells[columns[0]]]
    return " · ".join(cell[:24] for cell, _count in Counter(cells[:40]).most_common(3))
