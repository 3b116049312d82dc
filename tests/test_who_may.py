"""Every address of the farm and who may open it. A new address fails here until it stands in a row of the table."""

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from farmops.people.access import Mark
from tests.people.door import person, phone, signed_in

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
    Mark.WORKING: """day-book undo-entry
        markets market-day market-advice market-items stall evening
        orders new-order want-once new-boxes boxes order
        sowing-list work-out-sowings start-sowing last-sowing sowing-line sowing-list-paper sowing-list-pdf
        pick-list pick-crop correct-pick pick-sheet-printed pick-sheet-paper pick-sheet-pdf pick-sheet-changes
        cold-room cold-room-lot pack-lot crates""",
    Mark.OFFICE: """look-back look-back-worked-out look-back-days look-back-paper look-back-pdf
        people person phones stop-phone
        start notebooks notebook-demo notebook notebook-kept notebook-paper notebook-pdf
        sowings sowing-demo blank-sheets sowing""",
}
SAMPLES = {"int": "1", "str": "x", "slug": "x"}


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
def askers(db):
    """One browser each; the farm has begun, so that there is an account."""
    ines, pia, odile = (
        person("Ines"),
        *(person(*one, has_account=True) for one in (("Pia", "office"), ("Odile", "grower"))),
    )
    crew = person("Otto", has_account=True)
    return dict(
        zip(ASKERS, (Client(), phone(), phone(ines), signed_in(crew), signed_in(pia), signed_in(odile)), strict=True)
    )


def outcome(response) -> str:
    """What the door said; whatever the view itself answers, a 404 or a 405 too, one was let in for it."""
    leads_to = response.get("Location", "")
    if leads_to.startswith("/sign-in/?next="):
        return SIGN
    if leads_to.startswith("/who-works/?next="):
        return WHO
    return NO if response.status_code == 403 else IN


@pytest.mark.parametrize(("name", "address"), ADDRESSES)
def test_who_may_open_it(askers, name, address):
    said = tuple(outcome(browser.get(address)) for browser in askers.values())
    assert dict(zip(ASKERS, said, strict=True)) == dict(zip(ASKERS, KINDS[KIND_OF[name]], strict=True))


@pytest.mark.parametrize(("name", "address"), ADDRESSES)
def test_nobody_writes_anything_by_sending_a_form_to_it(db, name, address):
    person("Odile", "grower", has_account=True)
    expected = 403 if KIND_OF[name] != Mark.ALL else None
    status = Client().post(address, {"once": "one"}).status_code
    assert status == expected or (expected is None and status in {302, 410, 422})
