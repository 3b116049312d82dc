"""Plants balance: what was sown stands in stays or left them, and every move arrives where it went."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext as _

from farmops.exchange.check_farm.wrong import Wrong
from farmops.growing.balance import balance_from
from farmops.growing.ground import rooms_of
from farmops.growing.models import Leaving, Planting, Space, Stay, Walk
from farmops.growing.places import places_text
from farmops.harvest.models import Pick

How = Leaving.How


def wrong_plants() -> Iterator[Wrong]:
    """Faults of plantings, their stays and leavings."""
    stays: dict[int, list[Stay]] = defaultdict(list)
    leavings: dict[int, list[Leaving]] = defaultdict(list)
    for stay in Stay.objects.live().select_related("space", "planting").order_by("from_on", "pk"):
        stays[stay.planting_id].append(stay)
    live = Leaving.objects.live().select_related("stay", "to_stay", "planting").order_by("left_on", "pk")
    for leaving in live:
        leavings[leaving.planting_id].append(leaving)
    for planting in Planting.objects.select_related("schedule").order_by("pk"):
        yield from _planting(planting, stays[planting.pk], leavings[planting.pk])
    yield from _moves([stay for told in stays.values() for stay in told], list(live))
    yield from _of_one_planting()


def _planting(planting: Planting, stays: list[Stay], leavings: list[Leaving]) -> Iterator[Wrong]:
    done = [stay for stay in stays if stay.state == Stay.State.DONE]
    if planting.state != Planting.State.DONE:
        if done or leavings:
            yield Wrong.of(planting, _("It was not sown, but plants of it stand or left."), planting.code)
        return
    balance = balance_from(planting.plants, done, leavings)
    out = sum(balance.out.values())
    if balance.not_placed < 0:
        words = {"sown": planting.plants, "here": balance.in_stays, "out": out}
        yield Wrong.of(planting, _("%(sown)d were sown; %(here)d stand and %(out)d left.") % words, planting.code)
    if planting.cleared_on is not None and balance.in_stays:
        stand = {"day": planting.cleared_on, "here": balance.in_stays}
        yield Wrong.of(planting, _("Cleared on %(day)s, but %(here)d plants stand.") % stand, planting.code)
    if planting.schedule is not None and planting.schedule.variety_id != planting.variety_id:
        yield Wrong.of(planting, _("It follows the schedule of another variety."), planting.code)
    for stay in done:
        yield from _stay(stay, balance.plants_in(stay), [one for one in leavings if one.stay_id == stay.pk])


def _stay(stay: Stay, here: int, leavings: list[Leaving]) -> Iterator[Wrong]:
    called = _called(stay)
    left = sum(leaving.plants for leaving in leavings)
    if left > stay.plants:
        words = {"came": stay.plants, "left": left}
        yield Wrong.of(stay, _("%(came)d plants came in and %(left)d left.") % words, called)
    elif stay.is_over and here:
        yield Wrong.of(stay, _("It is called over, but %(here)d plants stand in it.") % {"here": here}, called)
    elif not stay.is_over and not here:
        yield Wrong.of(stay, _("No plant stands in it, but it is not called over."), called)
    if stay.from_on < stay.planting.sown_on:
        yield Wrong.of(stay, _("It began before its plants were sown."), called)
    for leaving in leavings:
        if leaving.left_on < stay.from_on:
            yield Wrong.of(leaving, _("Plants left before they came in."), called)


def _called(stay: Stay) -> str:
    return f"{stay.planting.code}, {stay.space.name}"


def _moves(stays: list[Stay], leavings: list[Leaving]) -> Iterator[Wrong]:
    arrived = {leaving.to_stay_id: leaving for leaving in leavings if leaving.to_stay_id is not None}
    for stay in stays:
        move = arrived.get(stay.pk)
        if stay.state == Stay.State.PLANNED or (stay.came_from_id is None and move is None):
            continue
        if move is None or stay.came_from_id != move.stay_id:
            yield Wrong.of(stay, _("Where its plants came from and where they left do not agree."), _called(stay))
        elif move.plants != stay.plants or move.planting_id != stay.planting_id:
            words = {"left": move.plants, "came": stay.plants}
            yield Wrong.of(stay, _("%(left)d plants left for it and %(came)d came in.") % words, _called(stay))
        elif move.left_on > stay.from_on:
            yield Wrong.of(stay, _("Its plants came before they left."), _called(stay))


def _of_one_planting() -> Iterator[Wrong]:
    """What names a stay names one of its own planting."""
    for model in (Leaving, Walk, Pick):
        rows = model._default_manager.exclude(stay=None).select_related("stay", "planting").order_by("pk")
        for row in rows.iterator():
            if row.stay is not None and row.stay.planting_id != row.planting_id:
                yield Wrong.of(row, _("It names a stay of another planting."), row.planting.code)


def wrong_places(today: date) -> Iterator[Wrong]:
    """More stands in a space today than it has places, and nobody said why."""
    spaces = list(Space.objects.select_related("kind").order_by("pk"))
    rooms = rooms_of(spaces, today)
    for space in spaces:
        room = rooms[space.pk]
        for clash in room.clashes(today):
            if clash.from_on <= today and not clash.is_planned and not clash.reasons:
                words = {"over": places_text(clash.over), "places": places_text(room.places(today))}
                yield Wrong.of(
                    space, _("%(over)s places more are taken than the %(places)s it has.") % words, space.name
                )
