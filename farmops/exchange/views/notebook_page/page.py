"""The page of a notebook that has no open question left: from sheet, answers and typed figures to what is shown."""

from collections.abc import Mapping
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.demand import Learned
from farmops.exchange.desk import Sheet, desk
from farmops.exchange.figures import FarmFigures
from farmops.exchange.notebook import Answers, Notebook
from farmops.exchange.views.notebook_page.gaps import (
    column_lines,
    differences,
    left_out,
    settled,
    tells_little,
    unknown,
)
from farmops.exchange.views.notebook_page.headline import (
    compost_shown,
    market_sums,
    running_out_shown,
    timed_words,
)
from farmops.exchange.views.notebook_page.items import (
    general_fields,
    market_block,
    price_lines,
    worth_most,
)
from farmops.exchange.views.notebook_page.shown import NotebookPage
from farmops.planning.bringing import learn_from, what_to_bring
from farmops.planning.economics import COST_SHARE
from farmops.web.templatetags.formats import in_words, whole

STALE_WEEKS = 4


def make_page(
    sheet: Sheet, found: Notebook, answers: Answers, given: Mapping[str, str], today: date, *, is_kept: bool = False
) -> NotebookPage:
    """The page for a notebook that has no open question, with the figures typed in its address."""
    places = sorted({(record.market, record.item) for record in found.records})
    typed = FarmFigures.read(given, found.economics, places).checked(found.economics)
    economics = typed.economics(found.economics)
    guesses = typed.guesses_in_steps(found.guesses, found.economics)
    as_of = max(record.day for record in found.records)

    def learn_now() -> Learned:
        return learn_from(found.records, as_of, guesses)

    learned = desk.once(sheet.key, ("learned", answers, tuple(sorted(guesses.items()))), learn_now)
    outlook = what_to_bring(
        found.records, economics, as_of=as_of, next_days=typed.next_days, guesses=guesses, learned=learned
    )
    total = outlook.back.total
    return NotebookPage(
        key=sheet.key,
        address=reverse("notebook", args=[sheet.key]),
        answers=urlencode([(name, value) for name, value in given.items() if value]),
        is_kept=is_kept,
        read_line=_read_line(sheet, found),
        last_day=as_of,
        running_out=running_out_shown(outlook),
        compost=compost_shown(outlook, economics),
        ran_out_days=total.ran_out,
        item_days=sum(day.sold is not None for day in outlook.back.days),
        timed_words=timed_words(total.ran_out, total.untimed),
        changes=worth_most(outlook),
        parts=tuple(market_sums(outlook)),
        reckoned=_reckoned(typed),
        stale=_stale(as_of, today),
        general=general_fields(typed),
        prices=price_lines(outlook, typed, typed.guessed_costs(found.economics)),
        markets=tuple(market_block(outlook, block, typed, at) for at, block in enumerate(outlook.markets)),
        tells_little=tells_little(outlook),
        unknown=unknown(outlook, typed.guessed_costs(found.economics), economics),
        warnings=found.warnings,
        left_out=left_out(found),
        differences=differences(found),
        columns=column_lines(found, answers),
        settled=settled(found),
    )


def _read_line(sheet: Sheet, found: Notebook) -> str:
    held = len({(record.day, record.market) for record in found.records})
    items = len({record.item for record in found.records})
    return ", ".join(
        [
            found.days_in_words,
            ngettext("%(count)s market day", "%(count)s market days", held) % {"count": whole(held)},
            ngettext("%(count)s item", "%(count)s items", items) % {"count": items},
            ngettext("%(count)s row", "%(count)s rows", len(found.records)) % {"count": whole(len(found.records))},
            sheet.name or _("pasted"),
        ]
    )


def _reckoned(typed: FarmFigures) -> str:
    """What costs and leftovers were reckoned with, for the paper."""
    if typed.cost.value is None:
        cost = _("costs not typed by item at %(share)s of the price, a starting guess") % {"share": f"{COST_SHARE:.0%}"}
    else:
        cost = _("costs not typed by item at %(typed)s") % {"typed": typed.cost.text.strip()}
    leftover = typed.leftover.text.strip() if typed.leftover.value is not None else "0"
    words = [_("Reckoned with %(cost)s, leftovers at %(leftover)s.") % {"cost": cost, "leftover": leftover}]
    own = [
        _("%(item)s: %(what)s %(typed)s") % {"item": item, "what": what, "typed": figure.text.strip()}
        for item, figures in sorted(typed.items.items())
        for what, figure in ((_("price"), figures.price), (_("cost"), figures.cost), (_("leftover"), figures.leftover))
        if figure.value is not None
    ] + [
        _("%(item)s at %(market)s: own guess %(typed)s")
        % {"item": item, "market": market, "typed": figure.text.strip()}
        for (market, item), figure in sorted(typed.guesses.items())
        if figure.value is not None
    ]
    if own:
        words.append(_("Typed by you: %(figures)s.") % {"figures": "; ".join(own)})
    return " ".join(words)


def _stale(last: date, today: date) -> str:
    """A word where the notebook ends long ago."""
    weeks = (today - last).days // 7
    if weeks < STALE_WEEKS:
        return ""
    return _("The newest row, of %(day)s, is %(weeks)d weeks old: “next” is the first market day after that row.") % {
        "weeks": weeks,
        "day": in_words(last),
    }
