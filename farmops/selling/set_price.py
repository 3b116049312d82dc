"""Prices, outlets and their closed days: what is sold where and when. Each is noted, and can be taken back.

These tables name no entry: a new row comes in with its entry and goes with it when that is taken back, unless
something rests on it.
"""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.farm.row_moves import bring_in
from farmops.farm.typed_figures import name_of
from farmops.growing.models import Item
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.selling.models import Outlet, OutletClosedDays, Price
from farmops.selling.typed_stock import money_in_words, stored_cents

Answer = tuple[str, Mapping[str, object]]


def set_price(
    *,
    saying: Saying,
    item: Item,
    outlet: Outlet | None,
    typed: str,
    from_on: date | None,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """What an item costs from a day on, at one outlet or at every one without its own; days before keep theirs.

    Raises
    ------
    Refused, NeedsYes
        As `stored_cents`.
    """

    def write(entry: Entry) -> Answer:
        Item.objects.select_for_update(no_key=True).get(pk=item.pk)
        price_cents = stored_cents(typed, field="price", yes=yes)
        write_price(entry, item, outlet, from_on, price_cents)
        words = {
            "item": item.name,
            "money": money_in_words(price_cents),
            "where": f" {outlet.name}" if outlet else "",
            "when": _(" from %(day)s on") % {"day": day_in_words(from_on)} if from_on else "",
        }
        return _("%(item)s costs %(money)s%(where)s%(when)s") % words, {"item": item.pk}

    return do_once(saying, Job.SET, write)


def write_price(entry: Entry, item: Item, outlet: Outlet | None, from_on: date | None, price_cents: int) -> None:
    """A price from a day on, within another deed."""
    there = Price.objects.filter(item=item, outlet=outlet, from_on=from_on).first()
    if there is not None:
        change(entry, there, price_cents=price_cents)
        return
    bring_in(entry, Price(item=item, outlet=outlet, from_on=from_on, price_cents=price_cents))


def add_outlet(
    *,
    saying: Saying,
    name: str,
    kind: str,
    weekday: int,
    opens_minute: int = 480,
    closes_minute: int = 780,
) -> Done:
    """A market, a buyer or a box, from now on.

    Raises
    ------
    Refused
        If there is one of that name.
    """
    called = name_of(name)

    def write(entry: Entry) -> Answer:
        facts = {"kind": kind, "weekday": weekday, "opens_minute": opens_minute, "closes_minute": closes_minute}
        if Outlet.objects.filter(name__iexact=called).exists():
            raise Refused(_("There is an outlet of that name already."), field="name")
        outlet = Outlet(name=called, **facts)
        bring_in(entry, outlet)
        return _("%(name)s is sold to from now on") % {"name": called}, {"outlet": outlet.pk}

    return do_once(saying, Job.SET, write)


def change_outlet(
    *,
    saying: Saying,
    outlet: Outlet,
    weekday: int,
    opens_minute: int,
    closes_minute: int,
    first_on: date | None,
    last_on: date | None,
) -> Done:
    """Its weekday, hours and season from now on; market days on the list keep the hours they have.

    Raises
    ------
    Refused
        If it closes before it opens, or ends before it begins.
    """
    if closes_minute <= opens_minute:
        raise Refused(_("A market closes after it opens."), field="closes")
    if first_on and last_on and last_on < first_on:
        raise Refused(_("Its season must end after it begins."), field="last_on")

    def write(entry: Entry) -> Answer:
        fresh = Outlet.objects.select_for_update(no_key=True).get(pk=outlet.pk)
        facts = {"weekday": weekday, "opens_minute": opens_minute, "closes_minute": closes_minute}
        change(entry, fresh, first_on=first_on, last_on=last_on, **facts)
        return _("%(name)s changed") % {"name": fresh.name}, {"outlet": fresh.pk}

    return do_once(saying, Job.SET, write)


def close_outlet(*, saying: Saying, outlet: Outlet, first_on: date, last_on: date, reason: str = "") -> Done:
    """Days on which it is closed.

    Raises
    ------
    Refused
        If the last comes before the first.
    """

    def write(entry: Entry) -> Answer:
        if last_on < first_on:
            raise Refused(_("The last closed day must not come before the first."), field="last_on")
        bring_in(entry, OutletClosedDays(outlet=outlet, first_on=first_on, last_on=last_on, reason=reason))
        words = {"name": outlet.name, "first": day_in_words(first_on), "last": day_in_words(last_on)}
        return _("%(name)s closed from %(first)s to %(last)s") % words, {"outlet": outlet.pk}

    return do_once(saying, Job.SET, write)
