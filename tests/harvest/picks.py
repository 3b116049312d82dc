"""Plantings to cut and sayings to cut them with, for the tests of the harvest. The farm's clock says 09:00 at NOW."""

from datetime import UTC, date, datetime
from decimal import Decimal

from farmops.core.quantities import nanograms
from farmops.farm.models import Farm
from farmops.growing.models import Planting, Schedule, Space, SpaceKind, Stay, Variety
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.journal.deed import Saying
from tests.journal.entries import an_entry

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
SOWN, TODAY = date(2026, 3, 20), date(2026, 5, 4)


def lb(pounds):
    return nanograms(Decimal(pounds), "lb")


def saying(key, **other):
    return Saying(**{"key": key, "body": {"form": key}, "day": TODAY, "said_at": NOW, "now": NOW, **other})


def a_planting(code="L-13", *, variety="green butterhead", plants=120, way=None, unit="lb", **other):
    Farm.objects.get_or_create(defaults={"name": "Two Brooks", "latitude": 42, "time_zone": "America/New_York"})
    kind, _ = Variety.objects.get_or_create(name=variety, defaults={"crop": "lettuce"})
    grown = {"way": way, "unit": unit, "units_per_plant": 1}
    schedule = Schedule.objects.get_or_create(variety=kind, defaults=grown)[0] if way else None
    facts = {"state": "done", "sown_on": SOWN, "entry": an_entry(f"sowing {code}"), **other}
    return Planting.objects.create(code=code, variety=kind, schedule=schedule, plants=plants, **facts)


def a_stay(planting, name="N-1", plants=120, from_on=SOWN):
    kind, _ = SpaceKind.objects.get_or_create(name="raft")
    space = Space.objects.create(name=name, kind=kind)
    return Stay.objects.create(planting=planting, space=space, plants=plants, from_on=from_on, entry=planting.entry)


def pick(key, planting, *, yes=(), minute=None, said=None, stay=None, cut_for=None, **other):
    """Cut one planting: what is no box of the form is known of the planting."""
    known = {name: other.pop(name) for name in ("ready_on", "wait_until", "wait_reason") if name in other}
    return pick_crop(
        saying=saying(key, **(said or {})),
        cut_from=[CutFrom(planting=planting, stay=stay, **known)],
        cut=TypedCut(**other),
        minute=minute,
        cut_for=cut_for,
        yes=frozenset(yes),
    )
