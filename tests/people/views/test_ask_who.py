"""Closed pages, and a form that was sent while its sender was not known."""

import re

import pytest
from django.test import Client

from farmops.farm.models import ClosedDays
from farmops.journal.deed import Saying, do_once
from farmops.journal.models import Entry, Job
from farmops.people.models import Phone
from tests.conftest import NOW
from tests.people.door import PASSWORD, TODAY, field, fields, heading, person, phone, signed_in

pytestmark = pytest.mark.django_db
OURS = {"Origin": "http://testserver"}
PART = {"HX-Request": "true", "HX-Current-URL": "http://testserver/day-book/?day=2026-05-04"}


@pytest.fixture
def odile(db):
    return person("Odile", "grower", has_account=True)


@pytest.fixture
def entry(db):
    def write(entry):
        ClosedDays.objects.create(first_on=TODAY, last_on=TODAY)
        return "Closed a day", {}

    return do_once(Saying(key="k", body={}, day=TODAY, said_at=NOW, now=NOW), Job.SET, write).entry


def undo(entry):
    return f"/entries/{entry.pk}/undo/"


def sent(browser, address, form, **headers):
    return browser.post(address, form, headers={**OURS, **headers})


@pytest.mark.usefixtures("odile")
def test_a_page_asked_for_leads_to_signing_in_and_back():
    browser = Client()
    answer = browser.get("/day-book/?day=2026-05-04")
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/?next=%2Fday-book%2F%3Fday%3D2026-05-04")
    page = browser.get(answer["Location"])
    done = browser.post("/sign-in/", {"name": "odile", "password": PASSWORD, "next": field(page, "next")})
    assert (done.status_code, done["Location"]) == (303, "/day-book/?day=2026-05-04")
    assert browser.get(done["Location"]).status_code == 200


@pytest.mark.usefixtures("odile")
def test_a_part_asked_for_leads_to_a_whole_page_and_back_to_the_page_it_was_part_of():
    answer = Client().get("/day-book/?day=2026-05-03", headers=PART)
    assert (answer.status_code, answer["HX-Redirect"]) == (200, "/sign-in/?next=%2Fday-book%2F%3Fday%3D2026-05-04")
    elsewhere = {**PART, "HX-Current-URL": "https://elsewhere.example//evil.example/"}
    assert Client().get("/day-book/", headers=elsewhere)["HX-Redirect"] == "/sign-in/?next=%2F"


@pytest.mark.case("F03")
@pytest.mark.usefixtures("odile")
@pytest.mark.parametrize("headers", [{}, PART], ids=["page", "part of a page"])
def test_session_over_form_full_nothing_typed_is_lost(entry, headers):
    browser = Client(enforce_csrf_checks=True)
    browser.get("/sign-in/")
    token = browser.cookies["csrftoken"].value
    typed = {"once": "one-form", "why": ["<b>wet “&” cold</b>", ""], "csrfmiddlewaretoken": token}
    refused = sent(browser, undo(entry), typed, **headers)
    assert (refused.status_code, heading(refused)) == (422 if headers else 403, "Sign in")
    assert "<!doctype html>" in refused.content.decode()
    assert (refused.get("HX-Retarget"), Entry.objects.count()) == ("body" if headers else None, 1)

    signing = {"name": "Odile", "kept": field(refused, "kept"), "csrfmiddlewaretoken": token}
    wrong = sent(browser, "/sign-in/", {**signing, "password": "no"})
    assert (wrong.status_code, field(wrong, "kept")) == (422, signing["kept"])
    found = sent(browser, "/sign-in/", {**signing, "password": PASSWORD})
    assert (found.status_code, heading(found)) == (200, "Send it once more")
    assert [(name, value) for name, value in fields(found) if name != "csrfmiddlewaretoken"] == [
        ("once", "one-form"),
        ("why", "<b>wet “&” cold</b>"),
        ("why", ""),
    ]
    assert 'action="' + undo(entry) in found.content.decode()
    again = dict(fields(found))
    assert sent(browser, undo(entry), again).status_code == 303
    assert [str(one) for one in Entry.objects.order_by("pk").values_list("by__name", flat=True)] == ["None", "Odile"]


def two_tabs(entry):
    """A form open in one tab, while in the other of the same browser somebody else comes to work."""
    ines, otto = person("Ines"), person("Otto")
    browser = phone(ines, enforce_csrf_checks=True)
    form = browser.get(undo(entry))
    typed = {"once": field(form, "once"), "csrfmiddlewaretoken": field(form, "csrfmiddlewaretoken")}
    names = browser.get("/who-works/")
    token = field(names, "csrfmiddlewaretoken")
    assert sent(browser, "/who-works/", {"person": otto.pk, "csrfmiddlewaretoken": token}).status_code == 303
    return browser, typed


@pytest.mark.case("F04")
@pytest.mark.usefixtures("odile")
def test_two_tabs_and_somebody_else_it_says_who_will_be_recorded_and_sends_once(entry):
    browser, typed = two_tabs(entry)
    refused = sent(browser, undo(entry), typed)
    page = refused.content.decode()
    assert (refused.status_code, heading(refused)) == (403, "Send it once more")
    assert "It will be recorded as done by <strong>Otto</strong>." in page
    assert re.findall(r"<button>(.*?)</button>", page) == ["Send it as Otto"]
    assert "CSRF verification" not in page
    assert Entry.objects.count() == 1
    again = dict(fields(refused))
    assert again["once"] == typed["once"]
    assert [sent(browser, undo(entry), again).status_code for _ in range(2)] == [303, 303]
    assert list(Entry.objects.filter(job=Job.UNDO).values_list("by__name", flat=True)) == ["Otto"]


@pytest.mark.case("F04")
def test_logged_out_and_in_as_another(entry, odile):
    pia = person("Pia", "office", has_account=True)
    browser = signed_in(odile, Client(enforce_csrf_checks=True))
    form = browser.get(undo(entry))
    typed = {"once": field(form, "once"), "csrfmiddlewaretoken": field(form, "csrfmiddlewaretoken")}
    browser.logout()
    browser.cookies["csrftoken"] = "x" * 32
    nobody = sent(browser, undo(entry), typed)
    assert (nobody.status_code, heading(nobody)) == (403, "Sign in")
    signing = {"name": "Pia", "password": PASSWORD, "kept": field(nobody, "kept")}
    found = sent(browser, "/sign-in/", {**signing, "csrfmiddlewaretoken": field(nobody, "csrfmiddlewaretoken")})
    assert "It will be recorded as done by <strong>Pia</strong>." in found.content.decode()
    assert sent(browser, undo(entry), dict(fields(found))).status_code == 303
    assert Entry.objects.get(job=Job.UNDO).by == pia


@pytest.mark.usefixtures("odile")
@pytest.mark.parametrize("headers", [{}, {"Origin": "https://elsewhere.example"}], ids=["unknown", "elsewhere"])
def test_what_another_site_sends_is_not_offered_to_be_sent_again(entry, headers):
    browser, typed = two_tabs(entry)
    refused = browser.post(undo(entry), typed, headers=headers)
    assert (refused.status_code, heading(refused)) == (403, "Once more, please")
    assert typed["once"] not in refused.content.decode()


@pytest.mark.usefixtures("odile")
def test_a_phone_on_which_nobody_is_chosen_asks_who_works_and_keeps_the_form(entry):
    ines, browser = person("Ines"), phone()
    assert browser.get("/day-book/")["Location"] == "/who-works/?next=%2Fday-book%2F"
    asked = sent(browser, undo(entry), {"once": "one-form"})
    assert (asked.status_code, heading(asked)) == (403, "Who is working?")
    found = sent(browser, "/who-works/", {"person": ines.pk, "kept": field(asked, "kept")})
    assert "It will be recorded as done by <strong>Ines</strong>." in found.content.decode()
    assert sent(browser, undo(entry), dict(fields(found))).status_code == 303
    assert (Entry.objects.get(job=Job.UNDO).by, Entry.objects.get(job=Job.UNDO).phone) == (ines, Phone.objects.get())


@pytest.mark.usefixtures("entry")
def test_passwords_are_never_carried_on(odile):
    browser = Client(enforce_csrf_checks=True)
    refused = sent(browser, "/sign-in/", {"name": "Odile", "password": PASSWORD})
    assert (refused.status_code, PASSWORD in refused.content.decode()) == (403, False)


def test_a_form_may_carry_on_without_an_account_where_pages_are_open():
    browser = Client(enforce_csrf_checks=True)
    refused = sent(browser, "/notebooks/", {"pasted": "date,item\n3/4/26,Basil"})
    assert (refused.status_code, heading(refused)) == (403, "Send it once more")
    assert ("pasted", "date,item\n3/4/26,Basil") in fields(refused)


def test_crew_that_signed_in_is_told_for_whom_a_page_is(odile):
    browser = signed_in(person("Ines", has_account=True))
    refused = browser.get("/people/")
    assert (refused.status_code, heading(refused)) == (403, "Not for you to open")


def test_before_the_first_account_it_says_how_one_is_made():
    refused = Client().get("/day-book/")
    assert (refused.status_code, heading(refused)) == (403, "First, an account")
    assert Client().get("/notebooks/").status_code == 200


def test_money_pages_are_not_stored_by_the_browser(odile):
    assert signed_in(odile).get("/people/")["Cache-Control"] == "no-store"
    assert phone(odile).get("/day-book/").get("Cache-Control") is None
