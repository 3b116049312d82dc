"""A farm begun on the pages alone, without a sheet: planted, picked, sold, planned; then written, and read again."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.urls import reverse

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.write_sheets import write_sheets
from farmops.growing.models import Item, Planting, Space, Stay, Variety
from farmops.selling.models import MarketLine, Outlet
from tests.exchange.emptied import emptied
from tests.pages import refusals, send
from tests.planning.sown_farm import worked_out
from tests.selling.market import back, loaded

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
SATURDAYS = (date(2026, 4, 18), date(2026, 4, 25), date(2026, 5, 2))
SHELF = {"kind_1": "seedling shelf", "days_1": "21", "per_place_1": "72", "survive_1": "92"}
HEADS = {"way": "head", "unit": "head", "per_plant": "1", "stands_good": "7"}
STEPS = (
    ("farm", {"name": "Two Brooks", "latitude": "42.3 N", "time_zone": "America/New_York", "units": "lb",
              "currency": "USD", "paper": "letter", "harvest_days": ["tue", "fri"]}),
    ("new-spaces", {"kind": "seedling shelf", "names": "S-1 to S-4", "places": "8"}),
    ("new-spaces", {"kind": "finishing channel", "names": "F-01 to F-12", "places": "18"}),
    ("new-spaces", {"kind": "bed", "names": "north bed", "places": "40", "from_on": "2026-03-01"}),
    ("new-variety", {"name": "green butterhead", "crop": "lettuce", "part": "tray", "part_plants": "72",
                     "part_cost": "4"}),
    ("new-variety", {"name": "arugula", "crop": "arugula", "part": "bed foot", "part_plants": "30",
                     "part_cost": "1.50", "sow_first": "3-1", "sow_last": "9-30"}),
    ("new-seed-lot", {"name": "S26-07", "variety": "1", "supplier": "Hill Seeds", "their_lot": "77-B",
                      "received_on": "2026-02-01", "seeds": "5000", "germination": "92.5"}),
    ("new-item", {"name": "butterhead", "unit": "head", "keeps_days": "7", "variety_1": "green butterhead",
                  "cutting_cost": ".20"}),
    ("new-item", {"name": "arugula bag", "unit": "bag", "contains": "150", "contains_unit": "g", "keeps_days": "5",
                  "variety_1": "arugula", "share_1": "100"}),
    ("new-outlet", {"name": "Quay", "kind": "market", "weekday": "5", "opens": "08:00", "closes": "13:00"}),
)  # fmt: skip


def on(day, hour=13):
    return time_machine.travel(datetime(day.year, day.month, day.day, hour, tzinfo=UTC), tick=False)


def do(client, name, /, *args, **typed):
    done = send(client, reverse(name, args=args), **typed)
    assert (name, done.status_code, refusals(done)) == (name, 303, [])


def key(model, name):
    return model.objects.get(name=name).pk


def set_up(client):
    for name, typed in STEPS:
        do(client, name, **{**typed, **({"variety": key(Variety, "green butterhead")} if "variety" in typed else {})})
    channel = {"kind_2": "finishing channel", "days_2": "28", "per_place_2": "1", "survive_2": "95"}
    do(client, "new-schedule", key(Variety, "green butterhead"), **SHELF, **channel, **HEADS)
    bed = {"kind_1": "bed", "days_1": "35", "per_place_1": "30", "survive_1": "80"}
    cut = {"way": "cut", "unit": "oz", "per_plant": "0.4", "packed": "85", "cuttings": "100;70", "days_between": "14"}
    do(client, "new-schedule", key(Variety, "arugula"), **bed, **cut)
    for name, price in (("butterhead", "3.50"), ("arugula bag", "4")):
        do(client, "new-price", item=key(Item, name), outlet=key(Outlet, "Quay"), price=price, from_on="")


def grow(client):
    with on(date(2026, 2, 2)):
        typed = {"what": "sown", "parts": "2", "seed_lot": "S26-07", "to_space": "S-1"}
        sow = f"{reverse('sow')}?variety={key(Variety, 'green butterhead')}"
        assert send(client, sow, **typed).status_code == 303
    with on(date(2026, 2, 23)):
        for number in range(1, 8):
            shelf = Stay.objects.get(space__name="S-1", is_over=False)
            do(client, "move-plants", shelf.pk, plants="18", to_space=f"F-{number:02d}")
        do(client, "space-places", "F-12", places="16", from_on="2026-04-01")
        do(client, "close-space", "S-4", from_on="2026-04-01")
    code = Planting.objects.get().code
    for number, saturday in enumerate(SATURDAYS, 1):
        stay = Stay.objects.get(space__name=f"F-{number:02d}")
        with on(saturday.replace(day=saturday.day - 1)):
            do(client, "pick-crop", code, count="16", count_unit="head", stay=stay.pk, yes="before_ready")


def sell(client):
    for saturday in SATURDAYS:
        with on(saturday):
            do(client, "markets", outlet=key(Outlet, "Quay"), held_on=saturday.isoformat())
            lines = MarketLine.objects.select_related("market_day", "item")
            line = lines.get(market_day__held_on=saturday, item__name="butterhead")
            loaded(line, "16")
            back(line, home=2)


@pytest.fixture
def begun(office_client):
    with on(date(2026, 2, 1)):
        set_up(office_client)
    grow(office_client)
    sell(office_client)
    return office_client


def bytes_in(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_it_is_written_read_into_an_empty_farm_and_written_the_same(begun, tmp_path):
    assert [str(one) for one in check_farm(NOW.date())] == []
    first = write_sheets(tmp_path / "first")
    assert first.will_not_read == []
    emptied()
    read_sheets(tmp_path / "first", now=NOW)
    write_sheets(tmp_path / "second")
    assert bytes_in(tmp_path / "second") == bytes_in(tmp_path / "first")
    assert [str(one) for one in check_farm(NOW.date())] == []
    assert Space.objects.count() == 17


def test_its_own_sheets_are_there_already(begun, tmp_path):
    write_sheets(tmp_path / "own")
    read = read_sheets(tmp_path / "own", now=NOW, dry_run=True)
    assert dict(read.added) == {}


def test_its_sowing_list_works_out(begun):
    found = worked_out()
    wanted = sorted((line["variety"], line["part"]) for line in found.answer["now"])
    assert wanted == [("arugula", "bed foot"), ("green butterhead", "tray")]
    assert found.answer["gap"] < 0.01
