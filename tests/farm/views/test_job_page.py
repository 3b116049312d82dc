"""Forms of jobs sent by several phones in the same moment, over the server: each job is done once, nothing is lost."""

import http.client
import threading
from collections import Counter
from datetime import date
from urllib.parse import urlencode, urlsplit

import pytest
from django.db import connection
from django.middleware.csrf import _get_new_csrf_string as new_token

from farmops.exchange.check_farm.plants import wrong_places, wrong_plants
from farmops.growing.balance import balance_of
from farmops.growing.models import Planting
from farmops.journal.models import Entry
from tests.growing.beds import a_planting, a_space, a_stay

pytestmark = pytest.mark.django_db(transaction=True)
PHONES = 6


@pytest.fixture
def at_once(live_server, phone_client):
    """Sends forms as (address, what was typed), all in the same moment; how often each status came back."""
    token = new_token()
    cookies = {**{name: one.value for name, one in phone_client.cookies.items()}, "csrftoken": token}
    headers = {
        "Content-Type": "application/x-www-form-urlencoded",
        "Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items()),
        "Origin": live_server.url,
    }

    def send(forms):
        gate, found = threading.Barrier(len(forms)), Counter()

        def one(address, typed):
            phone = http.client.HTTPConnection(urlsplit(live_server.url).netloc, timeout=60)
            gate.wait()
            phone.request("POST", address, urlencode({**typed, "csrfmiddlewaretoken": token}), headers)
            found[phone.getresponse().status] += 1
            phone.close()

        threads = [threading.Thread(target=one, args=form) for form in forms]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        connection.close()
        return found

    return send


@pytest.fixture
def stay():
    """24 plants in N-1, and two channels of 18."""
    a_space("F-1")
    a_space("F-2")
    return a_stay(a_planting("P-1", 24), a_space("N-1", 60, "nursery channel"))


def holds():
    today = date(2026, 5, 4)
    return [str(wrong) for wrong in (*wrong_plants(), *wrong_places(today))] == []


def here():
    return {one.stay.space.name: one.plants for one in balance_of(Planting.objects.get(code="P-1")).here}


def test_one_form_sent_by_many_is_one_job_and_all_are_told_so(at_once, stay):
    address = f"/stays/{stay.pk}/lose/"
    assert at_once([(address, {"once": "the form", "plants": "4"})] * PHONES) == {303: PHONES}
    assert (Entry.objects.filter(job="lose").count(), here(), holds()) == (1, {"N-1": 20}, True)


def test_forms_alike_with_keys_of_their_own_are_all_done(at_once, stay):
    forms = [(f"/stays/{stay.pk}/lose/", {"once": f"form {number}", "plants": "2"}) for number in range(PHONES)]
    assert at_once(forms) == {303: PHONES}
    assert (here(), holds()) == ({"N-1": 12}, True)


def test_the_same_plants_are_moved_by_one_of_many(at_once, stay):
    move = f"/stays/{stay.pk}/move/"
    forms = [
        (move, {"once": f"form {number}", "plants": "18", "to_space": f"F-{1 + number % 2}", "yes": "other_kind"})
        for number in range(PHONES)
    ]
    assert at_once(forms) == {303: 1, 422: PHONES - 1}
    assert (sorted(here().values()), holds()) == ([6, 18], True)


@pytest.mark.parametrize(("keys", "told"), [(1, {303: PHONES}), (PHONES, {303: 1, 422: PHONES - 1})])
def test_an_undo_pressed_by_many_takes_back_once(at_once, stay, keys, told):
    at_once([(f"/stays/{stay.pk}/lose/", {"once": "lost", "plants": "4"})])
    undo = f"/entries/{Entry.objects.get(job='lose').pk}/undo/"
    assert at_once([(undo, {"once": f"form {number % keys}"}) for number in range(PHONES)]) == told
    assert (Entry.objects.filter(job="undo").count(), here(), holds()) == (1, {"N-1": 24}, True)


def test_an_undo_and_what_would_rest_on_it_do_not_both_happen(at_once, stay):
    moved = {"once": "moved", "plants": "18", "to_space": "F-1", "yes": "other_kind"}
    at_once([(f"/stays/{stay.pk}/move/", moved)])
    arrived = Planting.objects.get().stays.get(space__name="F-1")
    undo = f"/entries/{Entry.objects.get(job='move').pk}/undo/"
    forms = [(undo, {"once": "undo"}), *((f"/stays/{arrived.pk}/lose/", {"once": f"{n}", "plants": "3"}) for n in "12")]
    assert at_once(forms) in ({303: 1, 422: 2}, {303: 2, 422: 1})
    assert (here() in ({"N-1": 24}, {"N-1": 6, "F-1": 12}), holds()) == (True, True)
