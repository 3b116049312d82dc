"""What the page of a pick shows before anything is typed: where it stands, what is listed, the crates of last time."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from operator import attrgetter

from django.db.models import Exists, OuterRef, QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass, read_amount, unit_name
from farmops.farm.days import farm_day, the_farm
from farmops.farm.models import Farm
from farmops.farm.unit_words import unit_of_many
from farmops.growing.models import Planting, Schedule, Stay
from farmops.growing.natural_order import natural_key, walking_key
from farmops.harvest.amounts_shown import figure
from farmops.harvest.forms import PickForm
from farmops.harvest.models import CrateKind, Pick, PickLine
from farmops.harvest.pick_sheets import done_of, to_cut_of
from farmops.planning.own_pace import OWN_DAYS
from farmops.waiting.waits_for import lines_now


@dataclass(frozen=True, slots=True)
class Listed:
    """What the pick list asks for: the figure as one would type it, its unit, and the button's words."""

    amount: str
    unit: str
    words: str
    stay: str = ""

    @property
    def is_weight(self) -> bool:
        return is_mass(self.unit)


@dataclass(frozen=True, slots=True)
class PickPage:
    """Everything the page needs.

    Attributes
    ----------
    stays : tuple of Stay
        Where the planting stands, in walking order.
    others : tuple of Planting
        What else of the crop stands near it or is on the list: it may lie in the same crate.
    more_others : tuple of Planting
        What else of the crop stands.
    first : Stay or None
        Where somebody said it is cut.
    by_weight : bool
        The weight is asked first, else the count.
    today_so_far : sequence of str
        What was noted of it today already, by whom: so that two people do not note the same crate. Empty where a pick
        is put right.
    initial : mapping
        What stands in the boxes before anything is typed.
    """

    planting: Planting
    stays: tuple[Stay, ...]
    others: tuple[Planting, ...]
    more_others: tuple[Planting, ...]
    first: Stay | None
    crate_kinds: tuple[CrateKind, ...]
    waits: tuple[str, ...]
    listed: Listed | None
    by_weight: bool
    is_metric: bool
    regrows: bool
    unit: str
    today_so_far: Sequence[str]
    initial: Mapping[str, object]

    @property
    def elsewhere(self) -> Sequence[str]:
        """Its other spaces, in walking order."""
        return [stay.space.name for stay in self.stays if stay is not self.first]

    def form(self, typed: QueryDict | None = None, **initial: object) -> PickForm:
        form = PickForm(
            typed,
            initial={**self.initial, **initial},
            count_units=() if self.by_weight and is_mass(self.unit) else (self.unit,),
            stays=self.stays,
            others=self.others,
            more_others=self.more_others,
            crate_kinds=self.crate_kinds,
        )
        form.fields["weight" if self.by_weight else "count"].widget.attrs["autofocus"] = True
        return form


def pick_page(planting: Planting, asked: Mapping[str, str], now: datetime, *, keep: Sequence[Pick] = ()) -> PickPage:
    """Gather it; the same few queries however much grows.

    Parameters
    ----------
    planting : Planting
        With variety and schedule.
    asked : mapping
        `amount`, `unit` and `stay` of the line one came from, and the day of its `list`; without them the day's pick
        list is asked.
    now : datetime
    keep : sequence of Pick
        Picks to be put right: their plantings and places can be chosen again, whatever became of them.
    """
    today, farm = farm_day(now), the_farm()
    kept = [pick.stay for pick in keep if pick.stay is not None and pick.planting_id == planting.pk]
    stays = _once_each_space([*kept, *_stays_of(planting)], asked.get("stay", ""))
    asked_stay = next((stay for stay in stays if str(stay.pk) == asked.get("stay", "")), None)
    near, far = _others_of_the_crop(planting, [asked_stay] if asked_stay else stays, _day(asked.get("list", ""), today))
    others = {one.pk: one for one in (*near, *(pick.planting for pick in keep))}
    others.pop(planting.pk, None)
    listed = _asked(asked) or _of_the_list(planting, today)
    is_metric = farm is not None and farm.units == Farm.Units.KG
    unit = unit_name(listed.unit if listed else planting.schedule.unit if planting.schedule else "head")
    by_weight = is_mass(unit)
    crate, crates = ("", "") if keep else _last_crates(planting, today)
    weight_unit = unit if by_weight else "kg" if is_metric else "lb"
    initial = {
        "count_unit": "head" if by_weight else unit,
        "weight_unit": weight_unit,
        "stay": asked.get("stay", "") or (listed.stay if listed else ""),
        "crate": crate,
        "crates": crates if crate else "",
        "day": today,
        "list_of": asked.get("list", ""),
    }
    return PickPage(
        planting=planting,
        stays=stays,
        others=_in_order(others.values()),
        more_others=_in_order(one for one in far if one.pk not in others and one.pk != planting.pk),
        first=next((stay for stay in stays if str(stay.pk) == str(initial["stay"])), None),
        crate_kinds=tuple(sorted(CrateKind.objects.all(), key=lambda kind: natural_key(kind.name))),
        waits=tuple(words for _wait, words in lines_now(planting, now)),
        listed=listed,
        by_weight=by_weight,
        is_metric=is_metric,
        regrows=planting.schedule is not None and planting.schedule.way == Schedule.Way.CUT,
        unit=unit,
        today_so_far=() if keep else _so_far(planting, today),
        initial=initial,
    )


def _stays_of(planting: Planting) -> Sequence[Stay]:
    """Where it stands."""
    if planting.state != Planting.State.DONE or planting.cleared_on is not None:
        return ()
    return list(_open_stays().filter(planting=planting).select_related("space__kind").order_by("pk"))


def _in_order(plantings: Iterable[Planting]) -> tuple[Planting, ...]:
    return tuple(sorted(plantings, key=lambda one: natural_key(one.code)))


def _others_of_the_crop(
    planting: Planting, stays: Sequence[Stay], day: date
) -> tuple[Sequence[Planting], Sequence[Planting]]:
    """What stands of the same crop: in these spaces or on the day's list, and elsewhere. One query."""
    beside = _open_stays().filter(planting=OuterRef("pk"), space__in=[stay.space_id for stay in stays])
    listed = PickLine.objects.filter(planting=OuterRef("pk"), sheet__pick_on=day, amount__gt=0)
    standing = Planting.objects.filter(
        variety__crop=planting.variety.crop,
        state=Planting.State.DONE,
        cleared_on=None,
        pk__in=_open_stays().values("planting"),
    ).annotate(is_near=Exists(beside) | Exists(listed))
    found = list(standing.select_related("variety", "schedule"))
    is_near = attrgetter("is_near")
    return [one for one in found if is_near(one)], [one for one in found if not is_near(one)]


def _day(text: str, today: date) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return today


def _open_stays() -> QuerySet[Stay]:
    return Stay.objects.live().filter(state=Stay.State.DONE, is_over=False)


def _once_each_space(here: Sequence[Stay], asked: str) -> tuple[Stay, ...]:
    """One stay for each space, in walking order: the one asked for, else the first that came."""
    found: dict[int, Stay] = {}
    for stay in here:
        if stay.space_id not in found or str(stay.pk) == asked:
            found[stay.space_id] = stay
    return tuple(sorted(found.values(), key=lambda stay: walking_key(stay.space)))


def _so_far(planting: Planting, today: date) -> list[str]:
    picks = Pick.objects.live().filter(planting=planting, picked_on=today).select_related("entry__by").order_by("pk")
    picks = picks.only("typed", "by_name", "entry__by__name")
    return [f"{pick.typed} ({by})" if (by := pick.by_name or pick.entry.by) else pick.typed for pick in picks]


def _asked(asked: Mapping[str, str]) -> Listed | None:
    reading = read_amount(asked.get("amount", ""))
    unit = unit_name(asked.get("unit", "") or reading.unit)
    if reading.amount is None or reading.doubt is not None or not unit:
        return None
    return _listed(f"{reading.amount:f}", unit, asked.get("stay", ""))


def _of_the_list(planting: Planting, today: date) -> Listed | None:
    """What is left to cut of it by the day's newest list; nothing once all of it is cut."""
    lines = to_cut_of(planting, today)[today]
    for one in done_of(lines, lines[0].sheet).values() if lines else ():
        if not one.is_done and one.left:
            return _listed(figure(one.left, one.line.unit), unit_name(one.line.unit), str(one.line.stay_id or ""))
    return None


def _listed(amount: str, unit: str, stay: str) -> Listed:
    shown = unit if amount == "1" else unit_of_many(unit)
    return Listed(amount, unit, _("%(amount)s %(unit)s as listed") % {"amount": amount, "unit": shown}, stay)


def _last_crates(planting: Planting, today: date) -> tuple[object, object]:
    """Kind and number of the crates in which the variety was last weighed: they are the likeliest."""
    lately = {"planting__variety": planting.variety_id, "planting__sown_on__gte": today - timedelta(days=OWN_DAYS)}
    picks = Pick.objects.live().filter(mass_ng__isnull=False, **lately).order_by("-pk")
    for answer, crates in picks.values_list("entry__answer", "crates")[:1]:
        return answer.get("crate") or "", crates or ""
    return "", ""
