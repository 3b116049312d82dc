"""Picking: what was cut of a planting, or of several into one crate, with its lot, its stock and the plants it took."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import ceil

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.quantities import is_mass
from farmops.farm.days import day_in_words, farm_day, farm_zone, instant_of
from farmops.growing.balance import Here, balance_of, begin_all, check_day, clear_what_is_left, plantings_of, take
from farmops.growing.models import Leaving, Planting, Schedule, Stay
from farmops.growing.natural_order import natural_key
from farmops.harvest.cut_amounts import Amounts, TypedCut, read_cut, shared_out
from farmops.harvest.lot_of_the_day import lot_of_the_day, stop_lot
from farmops.harvest.models import Lot, Pick, PickSheet, StockMove
from farmops.harvest.typed_weight import weight_in_words
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.waiting.wait_words import wait_in_words

JUST_NOW = timedelta(minutes=15)  # a pick said to be so fresh can still be left; an older one is a fact
BESIDE = ("variety", "schedule")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFrom:
    """A planting that was cut, and what is known of it on that day.

    Attributes
    ----------
    stay : Stay or None
        Where it was cut; None: nobody said.
    share : int, >= 1
        Of a crate filled from several plantings.
    ready_on : date or None
        Its first good day to cut; None: not known.
    wait_until : datetime or None
        The wait that holds on the day of the pick; with a reason and no moment it holds until it is lifted.
    wait_reason : str
    wait_is_own : bool
        It is the grower's own and can be lifted; else it is a label's.
    wait_in : tuple of str
        Spaces in which it holds.
    """

    planting: Planting
    stay: Stay | None = None
    share: int = 1
    ready_on: date | None = None
    wait_until: datetime | None = None
    wait_reason: str = ""
    wait_is_own: bool = True
    wait_in: tuple[str, ...] = ()

    def must_wait_at(self, moment: datetime) -> bool:
        if self.wait_until is None:
            return bool(self.wait_reason)
        return moment < self.wait_until


def pick_crop(
    *,
    saying: Saying,
    cut_from: Sequence[CutFrom],
    cut: TypedCut,
    minute: int | None = None,
    cutting: int | None = None,
    cut_for: PickSheet | None = None,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Note what was cut on `saying.day`; with `saying.corrects` in place of an earlier pick.

    Where the earlier pick put nothing into the cold room, since a sheet told of it long after, this one puts nothing
    there either.

    Parameters
    ----------
    saying : Saying
    cut_from : sequence of CutFrom
        One planting, or those whose crop lies in one crate.
    cut : TypedCut
    minute : int or None
        When it was cut. [min after midnight]
    cutting : int or None
        Which cutting of a crop that grows again.
    cut_for : PickSheet or None
        The list of another day that it is for; a pick that is put right stays with its list.
    yes : frozenset of str
        Questions answered with yes.

    Raises
    ------
    Refused
        If it cannot have been so, cannot be read, or must not be cut now.
    NeedsYes
        "before_ready", "after_clearing" and those of the amounts.
    """
    if not cut_from:
        raise ValueError("a pick needs a planting it was cut from")
    if min(part.share for part in cut_from) < 1:
        raise ValueError(f"shares are 1 or more, got {[part.share for part in cut_from]}")

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        parts = _locked(entry, saying, cut_from)
        moment = cut_at(saying, minute)
        check_pick(saying, parts, moment, yes)
        amounts = read_cut(cut, yes)
        kept = {"minute": minute, "cutting": cutting, "cut_for": cut_for, **_kept_of(saying.corrects)}
        written = [
            _write_part(entry, saying, part, one, moment, kept)
            for part, one in zip(parts, shared_out(amounts, tuple(part.share for part in parts)), strict=True)
        ]
        plants_not_there = sum(one.plants_not_there for one in written)
        if saying.corrects is not None:
            for planting in Planting.objects.filter(pk__in=plantings_of(saying.corrects)).order_by("pk"):
                clear_what_is_left(planting)
        return _said(saying, parts, amounts, plants_not_there, written[0].pick.cut_for), {
            "picks": [one.pick.pk for one in written],
            "lots": [one.lot.code for one in written],
            "stopped": [one.lot.code for one in written if one.is_inside_wait],
            "plants_not_there": plants_not_there,
            "shares": [part.share for part in parts],
            "crate": cut.crate.pk if cut.crate else None,
        }

    return do_once(saying, Job.PICK, write)


def cut_at(saying: Saying, minute: int | None) -> datetime:
    """The moment of a pick; of an earlier day without a time its first, so that no wait is overlooked."""
    zone = farm_zone()
    if minute is not None:
        return instant_of(saying.day, minute, zone)
    said_at = min(saying.said_at, saying.now)
    return said_at if farm_day(said_at, zone) == saying.day else instant_of(saying.day, 0, zone)


def check_pick(saying: Saying, parts: Sequence[CutFrom], moment: datetime, yes: frozenset[str] = frozenset()) -> None:
    """Everything that can be said against a pick but its amounts; writes nothing.

    Raises
    ------
    Refused, NeedsYes
        As `pick_crop`.
    """
    for part in parts:
        _check_there(saying, part)
    _check_not_ahead(saying, moment)
    for part in parts:
        is_now = saying.corrects is None and saying.now - moment <= JUST_NOW
        if is_now and part.must_wait_at(moment):
            raise Refused(_do_not_cut(part), field="planting")
    cleared = [part.planting for part in parts if _is_cleared(part.planting, saying.day)]
    if cleared and "after_clearing" not in yes:
        raise NeedsYes(
            _("%(code)s was cleared on %(day)s. Was it cut after that all the same, or is it another planting?")
            % {"code": cleared[0].code, "day": day_in_words(cleared[0].cleared_on or saying.day)},
            question="after_clearing",
            field="planting",
            offer={"plantings": _standing_of(cleared[0], saying.day)},
        )
    early = [part for part in parts if part.ready_on is not None and saying.day < part.ready_on]
    if early and "before_ready" not in yes:
        raise NeedsYes(
            _("%(code)s should be ready on %(day)s. Was it cut before that?")
            % {
                "code": ", ".join(part.planting.code for part in early),
                "day": ", ".join(day_in_words(part.ready_on) for part in early if part.ready_on),
            },
            question="before_ready",
            field="day",
        )


@dataclass(frozen=True, slots=True)
class _Written:
    pick: Pick
    lot: Lot
    is_inside_wait: bool
    plants_not_there: int


def _locked(entry: Entry, saying: Saying, cut_from: Sequence[CutFrom]) -> list[CutFrom]:
    """Lock the plantings, those of the replaced pick too, and take them as they stand then."""
    keys = [part.planting.pk for part in cut_from]
    if len(set(keys)) < len(keys):
        raise Refused(_("The same planting stands there twice."), field="planting")
    before = Pick.objects.filter(entry=saying.corrects).values_list("planting", flat=True) if saying.corrects else ()
    fresh = begin_all(entry, saying, *keys, *before, beside=BESIDE if len(keys) > 1 else ())
    if len(keys) == 1:
        _take_over(cut_from[0].planting, fresh[keys[0]])
    stays = Stay.objects.select_related("space").in_bulk([part.stay.pk for part in cut_from if part.stay])
    return [
        replace(part, planting=fresh[part.planting.pk], stay=stays[part.stay.pk] if part.stay else None)
        for part in cut_from
    ]


def _take_over(known: Planting, fresh: Planting) -> None:
    """A planting's lock does not hold what it points to: what was read with it before is as good as read again."""
    if fresh.variety_id == known.variety_id:
        fresh.variety = known.variety
    if fresh.schedule_id == known.schedule_id:
        fresh.schedule = known.schedule


def _check_not_ahead(saying: Saying, moment: datetime) -> None:
    if moment > saying.now + JUST_NOW:
        hour = date_format(moment.astimezone(farm_zone()), "H:i")
        raise Refused(_("%(hour)s lies ahead. Note it when it is cut.") % {"hour": hour}, field="minute")


def _check_there(saying: Saying, part: CutFrom) -> None:
    planting, stay = part.planting, part.stay
    if planting.state != Planting.State.DONE:
        raise Refused(_("%(code)s is not sown.") % {"code": planting.code}, field="planting")
    check_day(saying, (planting.sown_on, _("%(code)s was sown") % {"code": planting.code}))
    if stay is not None and stay.planting_id != planting.pk:
        raise Refused(
            _("%(code)s does not stand there in %(space)s.") % {"code": planting.code, "space": stay.space.name},
            field="stay",
        )
    if stay is not None:
        check_day(saying, (stay.from_on, _("They came into %(space)s") % {"space": stay.space.name}))


def _kept_of(corrects: Entry | None) -> Mapping[str, str | PickSheet | None]:
    """Who cut it, where a sheet named somebody, and for which list: another figure changes neither."""
    if corrects is None:
        return {}
    picks = list(Pick.objects.filter(entry=corrects).select_related("cut_for").order_by("pk"))
    named = next((pick.by_name for pick in picks if pick.by_name), "")
    return {"cut_for": picks[0].cut_for if picks else None, **({"by_name": named} if named else {})}


def _write_part(
    entry: Entry,
    saying: Saying,
    part: CutFrom,
    amounts: Amounts,
    moment: datetime,
    kept: Mapping[str, int | str | PickSheet | None],
) -> _Written:
    lot = lot_of_the_day(entry, part.planting, saying.day)
    scale = amounts.weighing
    pick = Pick(
        planting=part.planting,
        stay=part.stay,
        lot=lot,
        picked_on=saying.day,
        count=amounts.count,
        count_unit=amounts.count_unit,
        mass_ng=amounts.mass_ng,
        typed=amounts.typed,
        typed_unit=amounts.typed_unit,
        gross_ng=scale.gross_ng if scale else None,
        crates=scale.crates if scale else None,
        crate_tare_ng=scale.tare_ng if scale else None,
        culled_count=amounts.culled,
        culled_ng=amounts.culled_ng,
        was_before_ready=part.ready_on is not None and saying.day < part.ready_on,
        entry=entry,
        **kept,
    )
    is_in_the_house = saying.corrects is None or StockMove.objects.filter(entry=saying.corrects).exists()
    save(pick, *([_into_the_cold_room(entry, saying, part.planting, lot, amounts)] if is_in_the_house else []))
    is_inside_wait = part.must_wait_at(moment)
    if is_inside_wait:
        stop_lot(entry, lot, saying.now, _("cut inside a wait: %(reason)s") % {"reason": part.wait_reason or "?"})
    return _Written(pick, lot, is_inside_wait, _take_plants(entry, saying, part, amounts))


def _into_the_cold_room(entry: Entry, saying: Saying, planting: Planting, lot: Lot, amounts: Amounts) -> StockMove:
    """Counted or weighed as the variety's schedule does; without one heads stay heads."""
    by_weight = planting.schedule is not None and is_mass(planting.schedule.unit)
    weighed = amounts.mass_ng is not None and (by_weight or amounts.count is None)
    unit = amounts.weighing.unit if weighed and amounts.weighing else amounts.count_unit
    return StockMove(
        lot=lot,
        variety=planting.variety,
        moved_on=saying.day,
        amount=(amounts.mass_ng if weighed else amounts.count) or 0,  # one of them is above 0
        unit=unit,
        why=StockMove.Why.PICKED,
        cut_on=saying.day,
        entry=entry,
    )


def _take_plants(entry: Entry, saying: Saying, part: CutFrom, amounts: Amounts) -> int:
    """Take the plants of cut heads from where they stand; how many of them stood nowhere."""
    plants = plants_cut(part.planting.schedule, amounts)
    if plants == 0:
        return 0
    for here in _where(part):
        some = min(plants, here.plants)
        take(entry, here, some, Leaving.How.CUT, saying.day)
        plants -= some
        if plants == 0:
            break
    return plants


def plants_cut(schedule: Schedule | None, amounts: Amounts) -> int:
    """Plants that are gone with what was counted: whole heads only, those thrown out while cutting too."""
    if amounts.count is None or amounts.count_unit != "head":
        return 0
    if schedule is not None and schedule.way != Schedule.Way.HEAD:
        return 0
    each = schedule.units_per_plant if schedule is not None and schedule.unit == "head" else Decimal(1)
    return ceil((amounts.count + (amounts.culled or 0)) / each)


def _where(part: CutFrom) -> list[Here]:
    """Where the plants are taken from: what came into the named space at another time stands there just as well."""
    here = balance_of(part.planting).here
    named = part.stay
    if named is None:
        return list(here)
    there = [one for one in here if one.stay.space_id == named.space_id]
    return sorted(there, key=lambda one: one.stay.pk != named.pk)


def _is_cleared(planting: Planting, day: date) -> bool:
    return planting.cleared_on is not None and day > planting.cleared_on


def _standing_of(planting: Planting, day: date) -> list[str]:
    """Plantings of the same variety that stood on that day."""
    others = Planting.objects.sown().filter(
        Q(cleared_on=None) | Q(cleared_on__gte=day), variety=planting.variety_id, sown_on__lte=day
    )
    return sorted(others.exclude(pk=planting.pk).values_list("code", flat=True), key=natural_key)


def _do_not_cut(part: CutFrom) -> str:
    return wait_in_words(
        f"{part.planting.code} {part.planting.variety.name}",
        spaces=part.wait_in,
        until=part.wait_until,
        reason=part.wait_reason,
        is_own=part.wait_is_own,
        zone=farm_zone(),
    )


def _said(
    saying: Saying, parts: Sequence[CutFrom], amounts: Amounts, plants_not_there: int, cut_for: PickSheet | None
) -> str:
    """Cut 14.35 lb (9.55 lb without crates) of P26-184 Genovese, Mon 4 May 2026; 4 plants more than stood there."""
    typed = amounts.typed_in_words
    if amounts.weighing and amounts.weighing.crates:
        net = weight_in_words(amounts.weighing.net_ng, amounts.weighing.unit)
        typed = _("%(typed)s (%(net)s without crates)") % {"typed": typed, "net": net}
    said = _("Cut %(typed)s of %(plantings)s, %(day)s") % {
        "typed": typed,
        "plantings": " + ".join(f"{part.planting.code} {part.planting.variety.name}" for part in parts),
        "day": day_in_words(saying.day),
    }
    if cut_for is not None:
        said = _("%(said)s, for the list of %(day)s") % {"said": said, "day": day_in_words(cut_for.pick_on)}
    if not plants_not_there:
        return said
    more = ngettext("%(n)d plant more than stood there", "%(n)d plants more than stood there", plants_not_there)
    return f"{said}; {more % {'n': plants_not_there}}"
