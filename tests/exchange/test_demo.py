"""The invented farm: filled once, on its own last day, from which its days go on."""

import os
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from farmops import clock
from farmops.exchange import demo
from farmops.exchange.demo import LAST_DAY, days_back, fill_demo, is_filled
from farmops.farm.days import farm_day, farm_today
from farmops.people.demo import demo_grower
from farmops.people.models import Person
from tests.exchange.grown_farm import write_grown

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 11, 25, 18, 0, tzinfo=UTC),  # 13:00 in New York
        datetime(2026, 11, 26, 4, 30, tzinfo=UTC),  # 23:30, winter time: half past midnight by the summer's clock
        datetime(2026, 9, 8, 3, 59, tzinfo=UTC),  # 23:59 on the last day itself
        datetime(2026, 6, 1, 4, 0, tzinfo=UTC),  # midnight, before the sheets end: the clock is put forward
    ],
)
def test_the_first_start_falls_on_the_last_day_of_the_sheets(now):
    assert (now - timedelta(days=days_back(now))).astimezone(demo.ZONE).date() == LAST_DAY


@pytest.mark.django_db
def test_it_is_filled_once_and_its_grower_is_the_one_of_its_sheets(tmp_path, settings, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(demo, "DEMO_SHEETS", write_grown(tmp_path / "sheets"))
    now = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
    assert not is_filled()
    fill_demo(now)
    assert is_filled()
    assert (tmp_path / "days-back").read_text(encoding="ascii") == "79\n"
    assert farm_day(now - timedelta(days=settings.CLOCK_BACK_DAYS)) == date(2026, 9, 7)
    assert clock.now() == datetime(2026, 5, 4, 13, 0, tzinfo=UTC) - timedelta(days=79)
    assert farm_today() == date(2026, 2, 14)
    assert demo_grower().name == "Maud"
    assert [(person.name, person.role) for person in Person.objects.order_by("pk")] == [
        ("Maud", "grower"), ("Tobin", "crew"),
    ]  # fmt: skip


def settings_with(folder, **environment):
    """What the settings of a program of its own say."""
    code = (
        "from django.conf import settings as s; print(s.DATA_DIR, s.CLOCK_BACK_DAYS, s.DATABASES['default']['ENGINE'])"
    )
    known = {**os.environ, "DJANGO_SETTINGS_MODULE": "farmops.settings", "FARMOPS_DATA": str(folder), **environment}
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=known, capture_output=True, text=True, check=False
    )


def test_its_records_lie_beside_the_farm_s_and_never_among_them(tmp_path):
    (tmp_path / "demo").mkdir()
    (tmp_path / "demo" / "days-back").write_text("79\n", encoding="ascii")
    elsewhere = {"DATABASE_URL": "postgres://nobody@nowhere/farm"}
    demo_settings = settings_with(tmp_path, FARMOPS_DEMO="1", **elsewhere)
    assert demo_settings.stdout == f"{tmp_path / 'demo'} 79 django.db.backends.sqlite3\n"
    farm_settings = settings_with(tmp_path, FARMOPS_DEMO="0", **elsewhere)
    assert farm_settings.stdout == f"{tmp_path} 0 django.db.backends.postgresql\n"


def test_a_spoilt_count_of_days_stops_the_start_by_its_name(tmp_path):
    (tmp_path / "demo").mkdir()
    (tmp_path / "demo" / "days-back").write_text("soon", encoding="ascii")
    stopped = settings_with(tmp_path, FARMOPS_DEMO="1")
    assert stopped.stderr.splitlines()[-1] == (
        "django.core.exceptions.ImproperlyConfigured: "
        f"{tmp_path / 'demo' / 'days-back'} must hold a number of days, got 'soon'"
    )
