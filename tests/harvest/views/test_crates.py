"""Kinds of crates: what they weigh empty, from now on."""

import pytest

from farmops.harvest.models import CrateKind, Pick
from farmops.journal.models import Change
from tests.harvest.picks import a_planting, lb, pick
from tests.pages import refusals, said_in, send, typed_in

pytestmark = pytest.mark.django_db
CRATES = "/crates/"


@pytest.mark.case("H01")
def test_another_weight_leaves_old_picks_as_they_are(phone_client):
    """Gross 14.35 lb with 3 crates of 1.60 lb: 9.55 lb, also once the crates are known to weigh 1.75 lb."""
    # paperzz.com how-to-track-your-harvest; pricecomputingscales.com on net weight; our numbers.
    assert send(phone_client, CRATES, name="blue crate", tare="1.60", unit="lb").status_code == 303
    blue = CrateKind.objects.get()
    pick("one", a_planting(), weight="14.35", crate=blue, crates="3")
    address = f"{CRATES}?kind={blue.pk}"
    assert [typed_in(phone_client.get(address), name) for name in ("name", "tare")] == ["blue crate", "1.6"]
    done = send(phone_client, address, name="blue crate", tare="1.75", unit="lb")
    assert done.status_code == 303
    words = "blue crate weighs 1.75 lb empty from now on, before 1.60 lb; picks noted before keep theirs"
    assert words in said_in(phone_client.get(CRATES))
    blue.refresh_from_db()
    kept = Pick.objects.get()
    assert (blue.tare_ng, kept.mass_ng, kept.crate_tare_ng) == (lb("1.75"), lb("9.55"), lb("1.60"))
    assert [(one.old, one.new) for one in Change.objects.all()] == [(lb("1.60"), lb("1.75"))]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"name": " ", "tare": "1"}, "Give the crate a name: blue crate, black tub."),
        ({"name": "BLUE crate", "tare": "1"}, "There is a crate of that name already."),
        ({"name": "tub", "tare": "heavy"}, "“heavy” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz."),
        ({"name": "tub", "tare": ""}, "Type how much; nothing typed is not taken for 0."),
    ],
)
def test_what_cannot_be_comes_back_as_typed(phone_client, typed, words):
    CrateKind.objects.create(name="blue crate", tare_ng=lb("1.60"))
    refused = send(phone_client, CRATES, unit="lb", **typed)
    assert (refused.status_code, refusals(refused), CrateKind.objects.count()) == (422, [words], 1)
    assert [typed_in(refused, name) for name in ("name", "tare")] == [typed["name"], typed["tare"]]


@pytest.mark.parametrize("kind", ["²", "9" * 5000])
def test_an_address_that_names_no_crate_is_the_page_of_all(phone_client, kind):
    answer = phone_client.get(CRATES, {"kind": kind})
    assert (answer.status_code, answer.context["kind"]) == (200, None)


@pytest.mark.parametrize("kinds", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_as_for_few(phone_client, django_assert_num_queries, kinds):
    CrateKind.objects.bulk_create(CrateKind(name=f"crate {number}", tare_ng=lb(1)) for number in range(kinds))
    with django_assert_num_queries(5):
        page = phone_client.get(CRATES)
    assert page.content.decode().count('<span class="big">1 lb</span>') == kinds


def test_a_crate_that_is_none_is_not_found(phone_client):
    assert phone_client.get(CRATES, {"kind": "9"}).status_code == 404
