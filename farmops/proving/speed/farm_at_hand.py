"""The demo farm in the tables of this process, as on its own Monday, with today's work made ready."""

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from farmops import clock
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.exchange.sheets.written import sheet_bytes
from farmops.farm.days import farm_today, in_farm_zone
from farmops.farm.forms import new_key
from farmops.growing.models import Variety
from farmops.growing.plan_sowing import plan_sowing
from farmops.journal.deed import Saying
from farmops.people.let_in import let_phone_in, make_link
from farmops.people.middleware import remember_person, remember_phone
from farmops.people.models import Invitation, Person, Role
from farmops.planning.rows import FarmRows
from farmops.proving.speed.asking import Browser
from farmops.proving.speed.years import farm_of_years
from farmops.selling.load_van import load
from farmops.selling.models import MarketDay, MarketLine, Outlet
from farmops.selling.plan_market_day import plan_market_day
from farmops.serving import make_ready

DEMO = settings.BASE_DIR / "fixtures" / "demo" / "sheets"
TODAY = date(2026, 9, 7)
LET_IN_FOR = timedelta(days=400)
MOST_YEARS = 20


def set_up(years: int) -> int:
    """Fill this process's empty tables; the number of rows read."""
    settings.STATIC_ROOT = Path(settings.DATA_DIR) / "static"
    make_ready()
    rows = farm_of_years(read_folder(DEMO), years, TODAY)
    back_to_its_day(rows.the_farm.time_zone)
    with TemporaryDirectory(prefix="sheets-") as folder:
        write_folder(rows, Path(folder))
        read_sheets(Path(folder), now=clock.now())
    with in_farm_zone():
        make_todays_work()
    return rows_in(rows)


def rows_in(rows: FarmRows) -> int:
    return sum(len(getattr(rows, sheet.name)) for sheet in SHEETS)


def back_to_its_day(zone: str) -> None:
    """Set the clock back until it is the demo's today."""
    settings.CLOCK_BACK_DAYS = (timezone.localdate(timezone=ZoneInfo(zone)) - TODAY).days


def make_todays_work() -> None:
    """A market today, half its van loaded; a sowing planned for today."""
    market = Outlet.objects.filter(kind=Outlet.Kind.MARKET).order_by("pk")[0]
    plan_market_day(saying=saying(), outlet=market, held_on=farm_today())
    day = MarketDay.objects.get(outlet=market, held_on=farm_today())
    lines = MarketLine.objects.filter(market_day=day).order_by("pk")
    load(
        saying=saying(), market_day=day, typed={line.pk: "10" for line in lines[: len(lines) // 2]},
        yes=frozenset({"more_than_lies"}),
    )  # fmt: skip
    variety = Variety.objects.order_by("pk")[0]
    plan_sowing(saying=saying(), variety=variety, plants=variety.part_plants, sow_on=farm_today())


def saying() -> Saying:
    now = clock.now()
    return Saying(key=new_key(), body={}, day=farm_today(), said_at=now, now=now)


def let_in() -> dict[str, Browser]:
    """A phone that was let in with one of the crew on it, and the grower signed in."""
    account = User.objects.create_user("Odile", password=new_key())
    Person.objects.create(name="Odile", role=Role.GROWER, account=account)
    office = Client()
    office.force_login(account)
    return {"phone": Browser(phone_cookies("Shed")), "office": Browser(plain(office.cookies))}


def phone_cookies(called: str) -> dict[str, str]:
    """What a phone of that name keeps once it was let in, with somebody of the same name working on it."""
    now, today = clock.now(), clock.today()
    secret = make_link(purpose=Invitation.Purpose.PHONE, now=now)
    phone, phone_secret = let_phone_in(
        secret=secret,
        called=called,
        until_on=today + LET_IN_FOR + timedelta(days=settings.CLOCK_BACK_DAYS),
        today=today,
        now=now,
    )
    answer = HttpResponse()
    remember_phone(answer, phone, phone_secret, today)
    remember_person(answer, phone, Person.objects.create(name=called), today)
    return plain(answer.cookies)


def plain(cookies: Mapping[str, object]) -> dict[str, str]:
    return {name: str(getattr(morsel, "value")) for name, morsel in cookies.items()}  # noqa: B009 - http.cookies' own


def write_folder(rows: FarmRows, folder: Path) -> None:
    """Rows as a folder of sheets."""
    folder.mkdir(parents=True, exist_ok=True)
    for sheet in (sheet for sheet in SHEETS if getattr(rows, sheet.name)):
        (folder / f"{sheet.name}.csv").write_bytes(sheet_bytes(sheet, getattr(rows, sheet.name)))


def write_older_rows(folder: Path, least: int) -> int:
    """Records of years before the farm's own year, of plantings it does not know: so many rows or more.

    Raises
    ------
    ValueError
        If that would take too many years.
    """
    rows = read_folder(DEMO)
    first = farm_of_years(rows, 1, TODAY)
    known = {one.planting for one in first.plantings}
    began = min(one.date for one in first.market_days)
    for years in range(2, MOST_YEARS):
        all_rows = farm_of_years(rows, years, TODAY)
        of_plantings = {
            name: tuple(one for one in getattr(all_rows, name) if one.planting not in known)
            for name in ("plantings", "stays", "losses", "walks", "picks")
        }
        older = FarmRows(**of_plantings, market_days=tuple(day for day in all_rows.market_days if day.date < began))
        if (number := rows_in(older)) >= least:
            write_folder(older, folder)
            return number
    raise ValueError(f"{least} rows are more than {MOST_YEARS} years of this farm")
