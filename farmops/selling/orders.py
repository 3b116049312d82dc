"""Standing orders and single wants: added, changed from a day on, ended, left out once. What was before stays there."""

from collections.abc import Mapping
from datetime import date, timedelta

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.growing.models import Item
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.market_dates import open_days
from farmops.selling.models import Outlet, StandingOrder, Want
from farmops.selling.prices import prices_on
from farmops.selling.set_price import write_price
from farmops.selling.typed_stock import stored_amount, stored_cents, with_unit
from farmops.selling.wants_of_day import next_due

Answer = tuple[str, Mapping[str, object]]


def add_order(
    *,
    saying: Saying,
    buyer: Outlet,
    item: Item,
    weekday: int,
    typed: str,
    first_on: date | None = None,
    last_on: date | None = None,
    every_weeks: int = 1,
    price: str = "",
    yes: frozenset[str] = frozenset(),
) -> Done:
    """What a buyer takes every week, or every so many, from a day on.

    Raises
    ------
    Refused
        If it is no buyer, has no price, or the rhythm has no first day.
    NeedsYes
        "besides": the buyer takes this item on that weekday already; and those of the amount.
    """

    def write(entry: Entry) -> Answer:
        whom = _locked(buyer)
        if whom.kind != Outlet.Kind.BUYER:
            raise Refused(_("%(name)s is no regular buyer.") % {"name": whom.name}, field="buyer")
        amount = stored_amount(typed, item.unit, field="amount", yes=yes)
        first = _first_delivery(first_on, weekday)
        _check_price(entry, whom, item, first or saying.day, price, yes)
        there = StandingOrder.objects.live().filter(buyer=whom, item=item, weekday=weekday)
        for one in there.select_related("item"):
            if "besides" not in yes and next_due(one, max(saying.day, first or saying.day)):
                words = {"buyer": whom.name, "item": item.name, "amount": with_unit(one.amount, item.unit)}
                raise NeedsYes(
                    _("%(buyer)s takes %(amount)s of %(item)s that day already. Is this besides?") % words,
                    question="besides",
                )
        save(
            StandingOrder(
                buyer=whom,
                item=item,
                weekday=weekday,
                amount=amount,
                first_on=first,
                last_on=last_on,
                every_weeks=every_weeks,
                entry=entry,
            )
        )
        words = {"buyer": whom.name, "item": item.name, "amount": with_unit(amount, item.unit)}
        return _("%(buyer)s takes %(amount)s of %(item)s from now on") % words, {"buyer": whom.pk}

    return do_once(saying, Job.SET, write)


def change_order(
    *, saying: Saying, order: StandingOrder, typed: str, from_on: date, yes: frozenset[str] = frozenset()
) -> Done:
    """Another amount from a day on, in the same rhythm; up to then it stays as it was.

    Raises
    ------
    Refused
        If the order is over by then.
    """

    def write(entry: Entry) -> Answer:
        old = _locked_order(order)
        amount = stored_amount(typed, old.item.unit, field="amount", yes=yes)
        first = next_due(old, from_on)
        if first is None:
            raise Refused(_("That order is over by then. Add a new one."), field="from_on")
        if old.first_on is not None and first <= old.first_on:
            change(entry, old, amount=amount)  # it has not begun: nothing of it was delivered yet
        else:
            last_on = old.last_on
            change(entry, old, last_on=first - timedelta(days=1))
            save(
                StandingOrder(
                    buyer=old.buyer,
                    item=old.item,
                    weekday=old.weekday,
                    amount=amount,
                    first_on=first,
                    last_on=last_on,
                    every_weeks=old.every_weeks,
                    failing_costs_cents=old.failing_costs_cents,
                    entry=entry,
                )
            )
        words = {**_words(old), "amount": with_unit(amount, old.item.unit), "day": day_in_words(first)}
        return _("%(buyer)s takes %(amount)s of %(item)s from %(day)s on") % words, {"buyer": old.buyer_id}

    return do_once(saying, Job.SET, write)


def end_order(*, saying: Saying, order: StandingOrder, last_on: date) -> Done:
    """Its last day.

    Raises
    ------
    Refused
        If it begins after that.
    """

    def write(entry: Entry) -> Answer:
        old = _locked_order(order)
        if old.first_on is not None and last_on < old.first_on:
            words = {"day": day_in_words(old.first_on)}
            raise Refused(
                _("It begins on %(day)s. Take it back in the day book, or leave single days out.") % words,
                field="from_on",
            )
        change(entry, old, last_on=last_on)
        words = {**_words(old), "day": day_in_words(last_on)}
        return _("%(buyer)s takes %(item)s until %(day)s") % words, {"buyer": old.buyer_id}

    return do_once(saying, Job.SET, write)


def want_once(
    *,
    saying: Saying,
    outlet: Outlet,
    item: Item,
    wanted_on: date,
    typed: str,
    replaces_standing: bool = False,
    note: str = "",
    price: str = "",
    yes: frozenset[str] = frozenset(),
) -> Done:
    """So much on one day, beside what is standing or in its place.

    Raises
    ------
    Refused
        If there is no price.
    NeedsYes
        "closed": the farm or the outlet is closed that day; and those of the amount.
    """

    def write(entry: Entry) -> Answer:
        whom = _locked(outlet)
        amount = stored_amount(typed, item.unit, field="amount", yes=yes, may_be_zero=replaces_standing)
        if amount:
            _check_price(entry, whom, item, wanted_on, price, yes)
            if "closed" not in yes and not open_days(wanted_on, wanted_on).is_open(whom, wanted_on):
                words = {"name": whom.name, "day": day_in_words(wanted_on)}
                raise NeedsYes(
                    _("%(name)s is closed on %(day)s. Is it wanted all the same?") % words, question="closed"
                )
        save(_want(entry, whom, item, wanted_on, amount, replaces_standing=replaces_standing, note=note))
        words = {
            "buyer": whom.name,
            "item": item.name,
            "amount": with_unit(amount, item.unit),
            "day": day_in_words(wanted_on),
        }
        if replaces_standing:
            return _("%(buyer)s takes %(amount)s of %(item)s on %(day)s instead") % words, {"buyer": whom.pk}
        return _("%(buyer)s takes %(amount)s of %(item)s on %(day)s") % words, {"buyer": whom.pk}

    return do_once(saying, Job.SET, write)


def not_this_time(*, saying: Saying, outlet: Outlet, item: Item, day: date) -> Done:
    """Nothing of what is standing on one day; the next one is as ever."""

    def write(entry: Entry) -> Answer:
        whom = _locked(outlet)
        save(_want(entry, whom, item, day, 0, replaces_standing=True))
        words = {"buyer": whom.name, "item": item.name, "day": day_in_words(day)}
        return _("%(buyer)s: no %(item)s on %(day)s") % words, {"buyer": whom.pk}

    return do_once(saying, Job.SET, write)


def _want(
    entry: Entry, outlet: Outlet, item: Item, day: date, amount: int, *, replaces_standing: bool, note: str = ""
) -> Want:
    return Want(
        outlet=outlet,
        item=item,
        wanted_on=day,
        amount=amount,
        replaces_standing=replaces_standing,
        note=note,
        entry=entry,
    )


def _first_delivery(first_on: date | None, weekday: int) -> date | None:
    """The first such weekday on or after the day given."""
    return first_on + timedelta(days=(weekday - first_on.weekday()) % 7) if first_on else None


def _check_price(entry: Entry, outlet: Outlet, item: Item, day: date, price: str, yes: frozenset[str]) -> None:
    """Without a price nothing can be shared out fairly: one typed is kept, none at all is asked for."""
    known = prices_on([item], outlet, day)
    if price.strip():
        from_on = day if item.pk in known else None
        write_price(entry, item, outlet, from_on, stored_cents(price, field="price", yes=yes))
    elif item.pk not in known:
        words = {"item": item.name, "name": outlet.name}
        raise Refused(_("%(item)s has no price at %(name)s. Type one.") % words, field="price")


def _locked(outlet: Outlet) -> Outlet:
    return Outlet.objects.select_for_update(no_key=True).get(pk=outlet.pk)


def _locked_order(order: StandingOrder) -> StandingOrder:
    """As it stands now; whoever changes it second sees what the first did.

    Raises
    ------
    Refused
        If it was taken back.
    """
    _locked(order.buyer)
    fresh = StandingOrder.objects.live().select_related("buyer", "item").filter(pk=order.pk).first()
    if fresh is None:
        raise Refused(_("That order was taken back. Add it anew."))
    return fresh


def _words(order: StandingOrder) -> dict[str, str]:
    return {"buyer": order.buyer.name, "item": order.item.name}
