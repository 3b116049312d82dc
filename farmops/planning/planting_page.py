"""What is known of one planting, gathered for its page: where it stands, when it is ready and why, what it gave."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.coming import Basis, Coming, Outlook
from farmops.core.growth import Slowness, Span, through_stages
from farmops.core.quantities import is_mass
from farmops.core.schedule import Planting as Followed
from farmops.farm.days import day_in_words
from farmops.growing.balance import Balance, Here, balance_of
from farmops.growing.ground_now import key_now, remembered
from farmops.growing.models import Leaving, Planting, Stay, Walk
from farmops.harvest.picks_of import PickRow, picks_of
from farmops.planning.amount_words import amount_in_words
from farmops.planning.standing_now import MoveDue, Standing, moves_due, standing_now
from farmops.waiting.models import Treatment

OF_WALK = ("planting", "seen_on", "is_finished", "ready", "days_late", "by_name", "entry__by__name")


@dataclass(frozen=True, slots=True)
class StayRow:
    """Where plants stand, or stood: so many, since when, and what is due there."""

    stay: Stay
    plants: int
    is_here: bool
    gone_on: date | None
    move: MoveDue | None


@dataclass(frozen=True, slots=True)
class Ready:
    """When it should be ready, and the steps that make the date.

    Attributes
    ----------
    span : Span
        One planting in ten is earlier than `low`, one in ten later than `high`.
    steps : sequence of str
    """

    span: Span
    steps: Sequence[str]


@dataclass(frozen=True, slots=True)
class ComingRow:
    """So much, as cut, from one day to another; `planned` what the plan alone would say."""

    first: date
    last: date
    amount: str
    planned: str
    basis: str


@dataclass(frozen=True, slots=True)
class PlantingPage:
    planting: Planting
    today: date
    age_days: int
    balance: Balance
    out: Sequence[tuple[str, int]]
    stays: Sequence[StayRow]
    ready: Ready | None
    coming: Sequence[ComingRow]
    walks: Sequence[Walk]
    picks: Sequence[PickRow]
    treatments: Sequence[Treatment]
    followed: tuple[Followed, Outlook] | None

    @property
    def is_standing(self) -> bool:
        return self.planting.state == Planting.State.DONE and self.planting.cleared_on is None


def planting_page(planting: Planting, today: date) -> PlantingPage:
    """Gather it. `planting` comes with variety, schedule and seed lot.

    What names nobody is read once after each entry; a name can be erased without one.
    """
    key = key_now(today)
    standing = standing_now(today, key)
    followed = standing.outlook_of(planting.code)
    balance = standing.balances.get(planting.code) or balance_of(planting)
    stays, treatments = remembered(
        f"planting {planting.pk}", today, lambda: (_stays(planting, balance, standing), _treatments(planting)), key=key
    )
    picks = picks_of(planting)
    walks = Walk.objects.live().filter(planting=planting).select_related("entry__by").only(*OF_WALK)
    ready = _ready(followed, standing, today) if followed else None
    return PlantingPage(
        planting=planting,
        today=today,
        age_days=((planting.cleared_on or today) - planting.sown_on).days,
        balance=balance,
        out=[(str(Leaving.How(how).label), plants) for how, plants in balance.out.items()],
        stays=stays,
        ready=ready,
        coming=_coming(followed) if followed else (),
        walks=list(walks.order_by("-seen_on", "-pk")),
        picks=picks,
        treatments=treatments,
        followed=followed,
    )


def _stays(planting: Planting, balance: Balance, standing: Standing) -> list[StayRow]:
    """Every stay in order of days, those that are over too."""
    due = {one.here.stay.pk: one for one in moves_due(standing, date.max) if one.planting.key == planting.code}
    here = {one.stay.pk: one.plants for one in balance.here}
    stays = Stay.objects.live().filter(planting=planting).select_related("space")
    left = Leaving.objects.filter(stay__planting=planting).values("stay").annotate(last_on=Max("left_on")).order_by()
    gone = dict(left.values_list("stay", "last_on"))
    rows = []
    for stay in sorted(stays, key=lambda stay: (stay.from_on, stay.pk)):
        is_here = stay.pk in here
        rows.append(
            StayRow(
                stay=stay,
                plants=here.get(stay.pk, stay.plants),
                is_here=is_here,
                gone_on=None if is_here else gone.get(stay.pk),
                move=due.get(stay.pk),
            )
        )
    return rows


def _treatments(planting: Planting) -> list[Treatment]:
    return list(Treatment.objects.live().filter(planting=planting).order_by("pk"))


def _ready(followed: tuple[Followed, Outlook], standing: Standing, today: date) -> Ready | None:
    """The first day to cut, as a range, from the plants that are furthest on."""
    planting, _outlook = followed
    stages = planting.schedule.stages
    entered, number = _furthest(planting, standing.balances[planting.key].here)
    own = standing.growing.own.get(planting.variety)
    spans = through_stages([stage.need for stage in stages[number:]], standing.growing.place, entered, own)
    walk = planting.last_walk()
    late = timedelta(days=round(walk.days_late)) if walk is not None and walk.days_late else timedelta(0)
    last = spans[-1]
    steps, begins = [], entered
    for stage, span in zip(stages[number:], spans, strict=True):
        days = (span.usual - begins).days
        words = ngettext("%(stage)s: %(days)d day from %(day)s", "%(stage)s: %(days)d days from %(day)s", days)
        steps.append(words % {"stage": stage.name, "days": days, "day": day_in_words(begins)})
        begins = span.usual
    if own is not None and own.plantings:
        steps.append(_own_pace(own, spans[-1].usual))
    if late and walk is not None:
        words = ngettext("seen on a walk: %(days)d day late", "seen on a walk: %(days)d days late", late.days)
        steps.append(words % {"days": late.days})
    return Ready(Span(last.low + late, last.usual + late, last.high + late), steps)


def _furthest(planting: Followed, here: Sequence[Here]) -> tuple[date, int]:
    """Since when and in which stage the plants stand that are furthest on; without any stay, from the sowing."""
    found = [
        (stand.stage, stand.from_day)
        for stand in planting.stands
        if stand.to_day is None and any(one.stay.space.name == stand.space for one in here)
    ]
    if not found:
        return planting.sown, 0
    number = max(stage for stage, _since in found)
    return min(since for stage, since in found if stage == number), number


def _own_pace(own: Slowness, ready: date) -> str:
    share = round((own.factor_on(ready) - 1) * 100)
    words = ngettext(
        "your own planting of it took %(share)+d %% against the schedule",
        "your own %(n)d plantings of it took %(share)+d %% against the schedule",
        own.plantings,
    )
    return words % {"n": own.plantings, "share": share}


def _coming(followed: tuple[Followed, Outlook]) -> list[ComingRow]:
    planting, outlook = followed
    return [_coming_row(one, planting.schedule.unit) for one in outlook.coming if one.amount > 0]


def _coming_row(one: Coming, unit: str) -> ComingRow:
    words = {
        Basis.PLAN: _("by the plan"),
        Basis.RECORDS: _("by the real picks"),
        Basis.WALK: _("seen on a walk"),
    }
    return ComingRow(one.first, one.last, _much(one.amount, unit), _much(one.planned, unit), words[one.basis])


def _much(amount: float, unit: str) -> str:
    return amount_in_words(Decimal(str(amount)) if is_mass(unit) else Decimal(round(amount)), unit)
