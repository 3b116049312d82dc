"""Planned stays: where plants are to stand from when to when. One that does not fit shows as a clash, not refused."""

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words, farm_day
from farmops.growing.balance import balance_of, begin, lock_spaces
from farmops.growing.ground import rooms_of
from farmops.growing.models import Planting, Space, Stay
from farmops.growing.natural_order import natural_key
from farmops.growing.pace import farm_place, paces_of
from farmops.growing.places import Clash, places_in_words
from farmops.growing.room_for import coming_with
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused


def plan_stay(
    *, saying: Saying, planting: Planting, space: Space, plants: int, from_on: date, to_on: date | None = None
) -> Done:
    """Plan that plants of a planting, sown or to be sown, come into a space on a day.

    Parameters
    ----------
    saying : Saying
    planting : Planting
    space : Space
    plants : int, >= 1
    from_on : date
    to_on : date or None
        When they are to leave; None: at the usual end of their stage.

    Returns
    -------
    Done
        `answer["clashes"]` says with whom it clashes, and by how much.

    Raises
    ------
    Refused
        If the planting is cleared or has not so many plants, or the days are in the wrong order.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = begin(entry, saying, planting.pk)
        lock_spaces(space.pk)
        check_plan(fresh, plants, from_on, to_on)
        coming = coming_with(paces_of([fresh]).get(fresh.pk), farm_place(), space.kind, from_on, to_on=to_on)
        stay = Stay(
            planting=fresh,
            space=space,
            stage_number=coming.stage.number if coming.stage else None,
            plants=plants,
            from_on=from_on,
            planned_to_on=to_on,
            state=Stay.State.PLANNED,
            entry=entry,
        )
        save(stay)
        today = farm_day(saying.now)
        found = rooms_of([space], today)[space.pk].clashes(today)
        words = [clash_in_words(clash) for clash in found if stay.pk in {one.pk for one in clash.stays}]
        said = _("Planned: %(plants)d of %(code)s %(variety)s into %(space)s on %(day)s") % {
            "plants": plants,
            "code": fresh.code,
            "variety": fresh.variety.name,
            "space": space.name,
            "day": day_in_words(from_on),
        }
        return ". ".join([said, *words]), {"stay": stay.pk, "planting": fresh.pk, "clashes": words}

    return do_once(saying, Job.PLAN, write)


def drop_plan(*, saying: Saying, stay: Stay) -> Done:
    """Give a planned stay up.

    Raises
    ------
    Refused
        If it is over already.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        planting = begin(entry, saying, stay.planting_id)
        fresh = Stay.objects.select_related("space").get(pk=stay.pk)
        if fresh.state != Stay.State.PLANNED or fresh.is_over:
            raise Refused(_("That is planned no more."))
        change(entry, fresh, is_over=True)
        said = _("Given up: %(code)s into %(space)s on %(day)s") % {
            "code": planting.code,
            "space": fresh.space.name,
            "day": day_in_words(fresh.from_on),
        }
        return said, {"planting": planting.pk, "stay": fresh.pk}

    return do_once(saying, Job.PLAN, write)


def check_plan(planting: Planting, plants: int, from_on: date, to_on: date | None) -> None:
    """Everything that can be said against a plan; room is no ground for refusing it."""
    if planting.state == Planting.State.NOT_SOWN or planting.cleared_on is not None:
        raise Refused(_("%(code)s does not stand any more.") % {"code": planting.code})
    left = planting.plants if planting.state == Planting.State.PLANNED else balance_of(planting).left
    if not 1 <= plants <= left:
        raise Refused(
            _("%(code)s has %(left)d plants; plan for 1 to %(left)d.") % {"code": planting.code, "left": left},
            field="plants",
            offer={"plants": left},
        )
    if from_on < planting.sown_on:
        raise Refused(
            _("%(code)s is sown on %(day)s; it cannot stand anywhere before.")
            % {"code": planting.code, "day": day_in_words(planting.sown_on)},
            field="day",
        )
    if to_on is not None and to_on <= from_on:
        raise Refused(_("The day of leaving must come after the day of coming in."), field="to_day")


def clash_in_words(clash: Clash) -> str:
    """F-07: 18 places too many from Mon 28 Sep to Mon 28 Sep: P-1 lettuce, P-2 basil (over-full because ...)."""
    names = sorted({f"{stay.planting.code} {stay.planting.variety.name}" for stay in clash.stays}, key=natural_key)
    return said_of_days(clash, names)


def said_of_days(clash: Clash, names: Sequence[str]) -> str:
    numbers = {
        "space": clash.space.name,
        "over": places_in_words(clash.over),
        "first": date_format(clash.from_on, "D j M"),
        "last": date_format(clash.last_on, "D j M") if clash.last_on else "",
        "who": ", ".join(names),
    }
    if clash.last_on is None:
        said = _("%(space)s: %(over)s too few from %(first)s on: %(who)s") % numbers
    elif clash.last_on == clash.from_on:
        said = _("%(space)s: %(over)s too few on %(first)s: %(who)s") % numbers
    else:
        said = _("%(space)s: %(over)s too few from %(first)s to %(last)s: %(who)s") % numbers
    reasons = "; ".join(clash.reasons)
    return _("%(said)s (over-full because: %(why)s)") % {"said": said, "why": reasons} if reasons else said
