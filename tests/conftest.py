"""What all tests share: known ids, frozen time, a database of their own, no silent skips, repeatable properties."""

import os
import re
from collections.abc import Generator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
import time_machine
from django.conf import settings as django_settings
from django.contrib.auth.models import User
from django.db import connections
from django.http import HttpResponse
from django.test import Client
from hypothesis import settings

from farmops.growing import ground_now
from farmops.people.let_in import let_phone_in, make_link
from farmops.people.middleware import remember_person, remember_phone
from farmops.people.models import Person, Role
from farmops.planning.standing_now import forget
from tests.catalogue import CASES, CHECKS, ORACLES

pytest_plugins = ["pytester"]
KNOWN_IDS = {"case": CASES, "check": CHECKS, "oracle": ORACLES}
IN_CI = os.environ.get("CI") == "true"
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
OWN_MARKS = (
    "season: a simulated season; runs as the last stage",
    "sqlite: tells of SQLite alone; left out where the database is another",
    "real_time: the clock runs, since other programs are waited for",
)

settings.register_profile("local", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if IN_CI else "local")


def pytest_configure(config: pytest.Config) -> None:
    for mark in OWN_MARKS:
        config.addinivalue_line("markers", mark)


@pytest.hookimpl(trylast=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    """Settings for tests: a quick hash for passwords, static files by their plain names and from where they lie."""
    django_settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    django_settings.STORAGES = {
        **django_settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    # The first folder always exists; what `start` once collected may be older than what is tested.
    django_settings.STATIC_ROOT = Path(__file__).parent


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Fail on a mark whose id is not in the catalogue; leave out what tells of another database."""
    for item in items:
        for kind, known in KNOWN_IDS.items():
            for mark in item.iter_markers(kind):
                unknown = [identity for identity in mark.args if identity not in known]
                if unknown or not mark.args:
                    raise pytest.UsageError(f"{item.nodeid}: unknown {kind} id {unknown or '(none given)'}")
    if connections["default"].vendor != "sqlite":
        left_out = [item for item in items if item.get_closest_marker("sqlite")]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def why_skip_fails(nodeid: str, reason: str, *, in_ci: bool) -> str | None:
    """Why a skipped test counts as failed; None where a skip may stand."""
    if not in_ci:
        return None
    if "tests/browser" in nodeid:
        return f"a browser test may not be skipped in CI: {reason}"
    if not re.search(r"\bissue \d+", reason):
        return f"a test may be skipped only for an issue, named as 'issue 12' in the reason: {reason}"
    return None


def _fail_if_skipped(report: pytest.TestReport | pytest.CollectReport) -> None:
    if report.outcome != "skipped" or hasattr(report, "wasxfail"):
        return
    reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    if why := why_skip_fails(report.nodeid, reason, in_ci=IN_CI):
        report.outcome = "failed"
        report.longrepr = why


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    _fail_if_skipped(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    _fail_if_skipped(report)
    return report


@pytest.fixture(autouse=True)
def frozen_time(request: pytest.FixtureRequest) -> Generator[None]:
    """One instant for every test, so that none passes or fails by the day it runs on; browsers need a running clock."""
    if request.node.get_closest_marker("real_time") or "browser" in Path(request.node.path).parts:
        yield
        return
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture(autouse=True)
def nothing_remembered() -> Generator[None]:
    """What stands is remembered between pages, and must not be between tests, whose entries have the same numbers."""
    forget()
    ground_now.forget()
    back_days = django_settings.CLOCK_BACK_DAYS
    yield
    django_settings.CLOCK_BACK_DAYS = back_days
    forget()
    ground_now.forget()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A file of this run's own: in memory, pages that ask for several things at once meet a locked table."""
    if connections["default"].vendor == "sqlite":
        connections["default"].settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("db") / "test.sqlite3")


@pytest.fixture
def phone_client(db: None) -> Client:
    """A phone that was let in, with Ines of the crew working on it."""
    today = NOW.date()
    phone, secret = let_phone_in(
        secret=make_link(purpose="phone", now=NOW), called="Shed", until_on=date(2026, 12, 31), today=today, now=NOW
    )
    answer = HttpResponse()
    remember_phone(answer, phone, secret, today)
    remember_person(answer, phone, Person.objects.create(name="Ines"), today)
    client = Client()
    client.cookies.update(answer.cookies)
    return client


@pytest.fixture
def office_client(db: None) -> Client:
    """Odile, who grows here, signed in with her password."""
    account = User.objects.create_user("Odile", password="long enough to pass")
    Person.objects.create(name="Odile", role=Role.GROWER, account=account)
    client = Client()
    client.force_login(account)
    return client
