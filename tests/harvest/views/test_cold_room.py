"""The cold room's pages: what lies there, counting, taking out by hand, packing. Today is Mon 4 May 2026."""

import re
from datetime import date, timedelta
from html import unescape

import pytest
from django.urls import reverse

from farmops.growing.models import Item, ItemPart
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.stock import in_the_cold_room
from tests.harvest.picks import NOW, TODAY, a_planting, lb, pick
from tests.journal.entries import an_entry
from tests.pages import key_in, refusals, said_in, send, text_of, typed_in, yes_in

pytestmark = pytest.mark.django_db
ROOM = "/cold-room/"


def lots_on(page):
    rows = re.findall(r"<li>(.*?)</li>", page.content.decode(), re.S)
    return [" ".join(unescape(re.sub(r"<[^>]+>", " ", row)).split()) for row in rows]


def cut(key, planting, days_ago, **other):
    return pick(key, planting, said={"day": TODAY - timedelta(days=days_ago)}, **other)


def of(lot, unit="lb"):
    return f"{reverse('cold-room-lot')}?lot={lot.pk}&variety={lot.planting.variety_id}&unit={unit}"


def an_item(planting, name="salad", unit="lb", keeps=5, **other):
    item = Item.objects.create(name=name, unit=unit, keeps_days=keeps, **other)
    ItemPart.objects.create(item=item, variety=planting.variety, share_percent=100)
    return item


def test_oldest_first_with_age_in_words_and_what_to_do_about_it(phone_client):
    planting = a_planting()
    an_item(planting)
    for key, days_ago in (("a", 0), ("b", 1), ("c", 4), ("d", 6)):
        cut(key, planting, days_ago, weight="2 lb 6")
    stopped = Lot.objects.get(made_on=TODAY - timedelta(days=1))
    stopped.stopped_at, stopped.stopped_because = NOW, "soap spray"
    stopped.save()
    page = phone_client.get(ROOM)
    codes = {(TODAY - lot.made_on).days: lot.code for lot in Lot.objects.all()}
    assert lots_on(page) == [
        f"{codes[6]} 6 days old · too old: it keeps 5 days 2.4 lb",
        f"{codes[4]} 4 days old · sell first 2.4 lb",
        f"{codes[1]} 1 day old STOPPED: soap spray. It stays where it lies. 2.4 lb",
        f"{codes[0]} cut today 2.4 lb",
    ]
    assert "green butterhead as cut · 9.5 lb" in text_of(page)


def test_what_went_out_unnoted_stands_apart_and_below(phone_client):
    planting = a_planting()
    cut("a", planting, 0, weight="2 lb 6")
    bag = an_item(planting, "salad bag", "bag")
    facts = {"why": "loaded", "moved_on": TODAY, "entry": an_entry("a load", job="load")}
    StockMove.objects.create(item=bag, amount=-13, unit="bag", **facts)
    text = text_of(phone_client.get(ROOM))
    assert text.index("green butterhead as cut") < text.index("1 of which more went out than was noted coming in")
    assert "salad bag packed · -13 bags" in text


def test_an_empty_room_says_so(phone_client):
    assert "By what was noted nothing lies here." in text_of(phone_client.get(ROOM))


@pytest.mark.parametrize("lots", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_as_for_few(phone_client, django_assert_num_queries, lots):
    planting, entry = a_planting(), an_entry("picks", job="pick")
    for number in range(lots):
        lot = Lot.objects.create(code=f"L-{number}", kind="received", made_on=TODAY, entry=entry)
        facts = {"moved_on": TODAY, "amount": 5, "unit": "head", "why": "picked", "entry": entry}
        StockMove.objects.create(lot=lot, variety=planting.variety, **facts)
    with django_assert_num_queries(7):
        page = phone_client.get(ROOM)
    assert len(lots_on(page)) == lots


def test_what_is_counted_by_hand_is_what_lies_there(phone_client):
    planting = a_planting()
    cut("a", planting, 1, weight="12")
    lot = Lot.objects.get()
    assert "12 lb should lie there" in text_of(phone_client.get(of(lot)))
    done = send(phone_client, of(lot), do="count", there="9,5")
    assert (done.status_code, done["Location"]) == (303, ROOM)
    assert f"Counted 9,5 of green butterhead; noted were 12 lb ({lot.code})" in said_in(phone_client.get(ROOM))
    move = StockMove.objects.latest("pk")
    assert (move.amount, move.why, move.cut_on) == (-lb("2.5"), "counted", TODAY - timedelta(days=1))
    send(phone_client, of(lot), do="count", there="9.5")  # it agrees, and somebody looked
    assert [one.amount for one in StockMove.objects.order_by("pk")[2:]] == [-lb("9.5"), lb("9.5")]
    send(phone_client, of(lot), do="count", there="0")
    assert in_the_cold_room(TODAY) == []


def test_more_than_lies_there_is_asked_about(phone_client):
    planting = a_planting(way="head", unit="head")
    cut("a", planting, 0, count="12")
    lot = Lot.objects.get()
    asked = send(phone_client, of(lot, "head"), do="out", amount="15", why="donated", where_to="food bank")
    assert refusals(asked) == ["Only 12 heads of green butterhead should lie there. Was it more all the same?"]
    assert (typed_in(asked, "amount"), typed_in(asked, "where_to")) == ("15", "food bank")
    typed = {"do": "out", "amount": "15", "why": "donated", "where_to": "food bank", "once": key_in(asked)}
    phone_client.post(of(lot, "head"), {**typed, "yes": yes_in(asked)[0]})
    move = StockMove.objects.latest("pk")
    assert (move.amount, move.why, move.where_to) == (-15, "donated", "food bank")
    assert move.entry.said == f"15 head of green butterhead: given away, food bank ({lot.code})"
    assert lots_on(phone_client.get(ROOM)) == [
        f"{lot.code} cut today · more went out than came in: count it -3 heads",
    ]


def test_a_stopped_lot_goes_on_the_compost_and_to_nobody(phone_client):
    planting = a_planting(way="head", unit="head")
    cut("a", planting, 0, count="12")
    lot = Lot.objects.get()
    lot.stopped_at, lot.stopped_because = NOW, "soap spray"
    lot.save()
    page = phone_client.get(of(lot, "head")).content.decode()
    assert "Pack it" not in page
    refused = send(phone_client, of(lot, "head"), do="out", amount="3", why="donated")
    assert refusals(refused) == [f"{lot.code} is stopped: soap spray. Nobody gets any of it."]
    send(phone_client, of(lot, "head"), do="out", amount="12", why="compost")
    assert in_the_cold_room(TODAY) == []


@pytest.mark.parametrize("asked", ["", "?unit=lb", "?variety=1&item=1&unit=lb", "?lot=x&variety=1&unit=lb", "?item=9"])
def test_an_address_that_names_nothing_is_not_found(phone_client, asked):
    a_planting()
    assert phone_client.get(reverse("cold-room-lot") + asked).status_code == 404


@pytest.mark.case("G14")
def test_more_packed_than_cut_is_asked_about_not_refused(phone_client):
    """44.0 lb cut, 39.6 lb packed; then wet leaves weigh 46.0 lb after 44.0 cut."""
    # uvm.edu produce portal, Shelburne Farms wash line SOP; our numbers.
    planting = a_planting(way="cut", plants=400)
    item = an_item(planting, step=lb("0.1"))
    cut("a", planting, 1, weight="88.0")
    lot = Lot.objects.get()
    address = reverse("pack-lot", args=[lot.code])
    page = phone_client.get(address)
    assert "88 lb as cut should lie there" in text_of(page)
    assert typed_in(page, "used") == "88"
    first = {"item": str(item.pk), "used": "44.0", "used_unit": "lb", "packed": "39.6"}
    assert send(phone_client, address, **first).status_code == 303
    wet = {**first, "packed": "46.0"}
    asked = send(phone_client, address, **wet)
    assert refusals(asked) == ["46.00 lb packed is more than the 44.00 lb cut. Is that the water on the leaves?"]
    assert [typed_in(asked, name) for name in ("used", "packed")] == ["44.0", "46.0"]
    phone_client.post(address, {**wet, "once": key_in(asked), "yes": yes_in(asked)[0]})
    lying = [(one.name, one.item, one.amount, one.oldest_on) for one in in_the_cold_room(TODAY)]
    assert lying == [("salad", item.pk, lb("85.6"), date(2026, 5, 3))]


def test_a_lot_is_packed_as_what_it_can_become(phone_client):
    planting = a_planting()
    an_item(planting), Item.objects.create(name="kale", unit="lb", keeps_days=5)
    cut("a", planting, 0, weight="3")
    address = reverse("pack-lot", args=[Lot.objects.get().code])
    page = phone_client.get(address).content.decode()
    choices = re.search(r'<select name="item".*?</select>', page, re.S)[0]
    assert re.findall(r"<option[^>]*>([^<]*)<", choices) == ["salad (lb)"]
    refused = send(phone_client, address, used="3", packed="2")
    assert refusals(refused) == ["Say as what."]
    assert phone_client.get(reverse("pack-lot", args=["none"])).status_code == 404
