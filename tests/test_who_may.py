"""Every address of the farm and who may open it. A new address fails here until it stands in a row of the table."""

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from farmops.people.access import Mark
from tests.people.door import STOPPED, person, phone, signed_in

ASKERS = ("nobody", "phone alone", "phone, crew works", "crew by password", "office", "grower")
IN, SIGN, WHO, NO = "in", "sign in", "who works", "not yours"
# What each asker of ASKERS gets, by the kind of page.
KINDS: dict[str, tuple[str, ...]] = {
    Mark.ALL: (IN,) * 6,
    Mark.LET_IN: (SIGN, IN, IN, IN, IN, IN),
    Mark.WORKING: (SIGN, WHO, IN, IN, IN, IN),
    Mark.OFFICE: (SIGN, SIGN, SIGN, NO, IN, IN),
}
# Each address by its name. To add one: put its name into the row of those who may open it, and the mark on its view.
TABLE: dict[str, str] = {
    Mark.ALL: "sign-in sign-out first-account account phone-in",
    Mark.LET_IN: "who-works",
    Mark.WORKING: """due-now day-book undo-entry
        plantings planting sow sow-planned plan-stay drop-plan move-plants lose-plants walk-past clear-planting
        crop-lost do-not-cut lift-wait spaces space
        markets market-day market-advice market-items stall evening
        orders new-order want-once new-boxes boxes order
        ready-dates sowing-list work-out-sowings start-sowing last-sowing sowing-line sowing-list-paper sowing-list-pdf
        winter-plan work-out-year winter-wall-paper winter-wall-pdf winter-bench-paper winter-bench-pdf
        pick-list pick-crop correct-pick pick-sheet-printed pick-sheet-paper pick-sheet-pdf pick-sheet-changes
        cold-room cold-room-lot pack-lot crates""",
    Mark.OFFICE: """room-worth what-if what-if-worked-out
        look-back look-back-worked-out look-back-days look-back-paper look-back-pdf
        setting-up farm new-spaces space-places close-space
        items new-item item seed-lots new-seed-lot seed-lot
        varieties new-variety variety change-variety new-schedule schedule
        outlets new-outlet outlet outlet-closed new-price
        copy-year seed-order box-contents set-box-contents closed-days open-again kind-light
        people person phones stop-phone
        start notebooks notebook-demo notebook notebook-kept notebook-paper notebook-pdf
        farm-sheets all-sheets dropped-sheets take-back-reading
        sowings sowing-demo blank-sheets sowing""",
}
OPEN_UNTIL_FIRST = """ due-now start notebooks notebook-demo notebook notebook-kept notebook-paper notebook-pdf
    sowings sowing-demo blank-sheets sowing"""
SAMPLES = {"int": "1", "str": "x", "slug": "x", "name": "x"}


def patterns(within: URLResolver, before: str = "") -> Iterator[tuple[str, str]]:
    """Name and an address for each pattern; in the place of each part something of its kind."""
    for one in within.url_patterns:
        route = before + str(one.pattern)
        if isinstance(one, URLPattern):
            yield one.name or route, "/" + re.sub(r"<(\w+):\w+>", lambda part: SAMPLES[part[1]], route)
        else:
            yield from patterns(one, route)


ADDRESSES = sorted(set(patterns(get_resolver())))
KIND_OF = {name: kind for kind, names in TABLE.items() for name in names.split()}


def test_every_address_stands_in_one_row_and_no_row_names_another():
    assert sorted(name for names in TABLE.values() for name in names.split()) == sorted({name for name, _ in ADDRESSES})


@pytest.fixture
def askers(db, settings):
    """One browser each; the farm has begun, so that there is an account. Whoever is let in stops before the view."""
    settings.MIDDLEWARE = [*settings.MIDDLEWARE, "tests.people.door.stop_before_the_view"]
    pia, odile = person("Pia", "office", has_account=True), person("Odile", "grower", has_account=True)
    otto = person("Otto", has_account=True)
    browsers = (Client(), phone(), phone(person("Ines")), signed_in(otto), signed_in(pia), signed_in(odile))
    return dict(zip(ASKERS, browsers, strict=True))


def outcome(response) -> str:
    """What the door said to a page asked for."""
    leads_to = response.get("Location", "")
    said = {(302, "/sign-in/"): SIGN, (302, "/who-works/"): WHO, (403, ""): NO, (STOPPED, ""): IN}
    return said[response.status_code, leads_to.partition("?next=")[0]]


def expected(asker: str) -> dict[str, str]:
    return {name: KINDS[kind][ASKERS.index(asker)] for name, kind in KIND_OF.items()}


@pytest.mark.parametrize("asker", ASKERS)
def test_who_may_open_which_page(askers, asker):
    assert {name: outcome(askers[asker].get(address)) for name, address in ADDRESSES} == expected(asker)


@pytest.mark.parametrize("asker", ASKERS)
def test_a_form_reaches_a_view_only_from_whom_its_page_is_open_to(askers, asker):
    reached = {name: askers[asker].post(address, {"once": "one"}).status_code for name, address in ADDRESSES}
    assert reached == {name: STOPPED if said == IN else 403 for name, said in expected(asker).items()}


@pytest.mark.django_db
def test_before_the_first_account_the_notebooks_pages_alone_are_open(settings):
    settings.MIDDLEWARE = [*settings.MIDDLEWARE, "tests.people.door.stop_before_the_view"]
    for where, names in (("127.0.0.1", TABLE[Mark.ALL] + OPEN_UNTIL_FIRST), ("192.168.1.20", TABLE[Mark.ALL])):
        browser = Client(REMOTE_ADDR=where)
        found = {name for name, address in ADDRESSES if browser.get(address).status_code == STOPPED}
        assert sorted(found) == sorted(names.split())
