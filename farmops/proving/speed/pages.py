"""Every page of the app with an address that fits the farm at hand, found by the names of its addresses.

A new page is measured as soon as it has a name; only what its address needs beyond a planting, a stay, a space or a
market day has to be said here.
"""

import time
from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass

from django.db.models import Model
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from farmops.farm.days import farm_today
from farmops.growing.models import Item, Planting, Schedule, SeedLot, Stay, Variety
from farmops.growing.natural_order import natural_key
from farmops.harvest.models import Pick, PickSheet
from farmops.people.models import Person
from farmops.planning.views.sowing_list import known_list
from farmops.proving.speed.asking import Browser
from farmops.selling.models import BoxCount, MarketDay, Outlet, StandingOrder
from farmops.waiting.models import DoNotCut

# What is worked out when somebody asks for it, before its pages have something to show.
BUTTONS = ("pick-list", "work-out-sowings", "market-advice", "look-back-worked-out")
DONE = 303
# Not pages of the farm's records: doors that open once, and reckonings over a sheet that somebody dropped in.
NOT_OF_RECORDS = frozenset(
    {"first-account", "account", "phone-in", "notebook", "notebook-kept", "notebook-paper", "notebook-pdf",
     "notebook-demo", "sowing", "sowing-demo", "blank-sheets"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Page:
    """A page that answered; `pattern` is where its view hangs."""

    name: str
    address: str
    pattern: URLPattern
    by_office: bool

    @property
    def browser(self) -> str:
        return "office" if self.by_office else "phone"


@dataclass(slots=True)
class Found:
    """Pages, and what has a name but is none, each with the reason."""

    pages: dict[str, Page]
    left_out: dict[str, str]


def find_pages(browsers: Mapping[str, Browser], only: Container[str] | None = None) -> Found:
    """Ask each address, or `only` those of these names, as a phone and else as the office; who takes posts says no."""
    found = Found({}, {})
    for pattern in patterns(get_resolver()):
        name = str(pattern.name)
        if name in NOT_OF_RECORDS or name in found.pages or (only is not None and name not in only):
            continue
        missing = [part for part in pattern.pattern.converters if (name, part) not in SPECIAL and part not in USUAL]
        if missing:
            found.left_out[name] = f"nothing is known for {', '.join(missing)} of its address"
            continue
        _look(pattern, browsers, found)
    return found


def patterns(within: URLResolver) -> Iterator[URLPattern]:
    """All addresses that have a name, in the order in which they are tried."""
    for one in within.url_patterns:
        if isinstance(one, URLResolver):
            yield from patterns(one)
        elif one.name:
            yield one


def press(name: str, browser: Browser) -> float:
    """Press the button at an address that takes nothing but being pressed; the seconds of this process it took.

    Raises
    ------
    ArithmeticError
        If it did not do it.
    """
    pattern = next(one for one in patterns(get_resolver()) if one.name == name)
    parts = {part: SPECIAL.get((name, part), USUAL.get(part, _nothing))() for part in pattern.pattern.converters}
    address = reverse(name, kwargs={**pattern.default_args, **parts})
    started = time.process_time()
    answer = browser.post(address, {})
    seconds = time.process_time() - started
    if answer.status != DONE:
        raise ArithmeticError(f"pressing {name} was answered with {answer.status}")
    return seconds


def _look(pattern: URLPattern, browsers: Mapping[str, Browser], found: Found) -> None:
    name = str(pattern.name)
    parts = {part: SPECIAL.get((name, part), USUAL.get(part, _nothing))() for part in pattern.pattern.converters}
    if any(value is None for value in parts.values()):
        found.left_out[name] = "the farm has nothing to show there"
        return
    address = reverse(name, kwargs={**pattern.default_args, **parts})
    answers = {who: browsers[who].get(address) for who in ("phone", "office")}
    for who, answer in answers.items():
        if answer.is_page:
            found.pages[name] = Page(name, address, pattern, by_office=who == "office")
            return
    answer = answers["office"]
    found.left_out[name] = f"no page: the office gets {answer.status} {answer.headers.get('content-type', '')}".strip()


def _nothing() -> None:
    return None


def a_planting() -> Planting | None:
    """One that stands, in most places; of several the first by its code."""
    standing = [stay.planting for stay in _standing()]
    return min(standing, key=lambda one: (-standing.count(one), natural_key(one.code)), default=None)


def _standing() -> list[Stay]:
    stays = Stay.objects.live().filter(
        state=Stay.State.DONE, is_over=False, planting__state=Planting.State.DONE, planting__cleared_on=None
    )
    return list(stays.select_related("planting", "space"))


def _code() -> str | None:
    planting = a_planting()
    return planting.code if planting else None


def _planned() -> str | None:
    planned = Planting.objects.filter(state=Planting.State.PLANNED)
    return min((one.code for one in planned), key=natural_key, default=None)


def _stay() -> int | None:
    planting = a_planting()
    here = [stay for stay in _standing() if stay.planting == planting]
    return max(here, key=lambda stay: (stay.plants, -stay.pk)).pk if here else None


def _planned_stay() -> int | None:
    return Stay.objects.live().filter(state=Stay.State.PLANNED).order_by("pk").values_list("pk", flat=True).first()


def _space() -> str | None:
    names = [stay.space.name for stay in _standing()]
    return min(names, key=lambda name: (-names.count(name), natural_key(name)), default=None)


def _market_today() -> int | None:
    days = MarketDay.objects.filter(held_on__gte=farm_today()).order_by("held_on", "pk")
    return days.values_list("pk", flat=True).first()


def _last_market() -> int | None:
    days = MarketDay.objects.filter(held_on__lt=farm_today()).order_by("-held_on", "pk")
    return days.values_list("pk", flat=True).first()


def _pick() -> int | None:
    picks = Pick.objects.live().filter(planting__cleared_on=None).order_by("-picked_on", "-pk")
    return picks.values_list("pk", flat=True).first()


def _wait() -> int | None:
    return DoNotCut.objects.in_force().order_by("pk").values_list("pk", flat=True).first()


def _sheet() -> int | None:
    return PickSheet.objects.order_by("-pk").values_list("pk", flat=True).first()


def _person() -> int | None:
    return Person.objects.order_by("pk").values_list("pk", flat=True).first()


def _order() -> int | None:
    return StandingOrder.objects.live().order_by("pk").values_list("pk", flat=True).first()


def _boxes() -> int | None:
    return BoxCount.objects.live().order_by("pk").values_list("pk", flat=True).first()


def _market() -> int | None:
    return Outlet.objects.markets().order_by("pk").values_list("pk", flat=True).first()


def _first(model: type[Model]) -> Callable[[], object]:
    return lambda: model._default_manager.order_by("pk").values_list("pk", flat=True).first()


def _listed_variety() -> int | None:
    shown = known_list()
    return shown.lines[0].variety.pk if shown and shown.lines else Variety.objects.values_list("pk", flat=True).first()


def _listed_monday() -> str | None:
    shown = known_list()
    return str(shown.lines[0].monday) if shown and shown.lines else None


USUAL: dict[str, Callable[[], object]] = {"code": _code, "stay": _stay, "name": _space, "day": _market_today}
SPECIAL: dict[tuple[str, str], Callable[[], object]] = {
    ("sow-planned", "code"): _planned,
    ("drop-plan", "stay"): _planned_stay,
    ("evening", "day"): _last_market,
    ("correct-pick", "number"): _pick,
    ("pick-sheet-paper", "number"): _sheet,
    ("pick-sheet-pdf", "number"): _sheet,
    ("person", "number"): _person,
    ("lift-wait", "number"): _wait,
    ("order", "number"): _order,
    ("boxes", "number"): _boxes,
    ("variety", "number"): _first(Variety),
    ("change-variety", "number"): _first(Variety),
    ("new-schedule", "number"): _first(Variety),
    ("schedule", "number"): _first(Schedule),
    ("item", "number"): _first(Item),
    ("seed-lot", "number"): _first(SeedLot),
    ("outlet", "number"): _market,
    ("outlet-closed", "number"): _market,
    ("sowing-line", "variety"): _listed_variety,
    ("sowing-line", "monday"): _listed_monday,
}
