"""The page of a pick and of its correction, as a phone uses them. The farm's clock says 09:00 on Mon 4 May 2026."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from farmops.growing.models import Planting, Stay
from farmops.harvest.models import CrateKind, Lot, Pick, PickLine, PickSheet, StockMove
from farmops.waiting.models import DoNotCut
from tests.harvest.picks import NOW, TODAY, a_planting, a_stay, lb
from tests.journal.entries import an_entry
from tests.pages import chosen_in, key_in, refusals, said_in, send, text_of, typed_in, yes_in
from tests.planning.small_farm import a_place, a_variety, moved
from tests.planning.small_farm import a_planting as a_sowing

pytestmark = pytest.mark.django_db


def address(code="L-13"):
    return reverse("pick-crop", args=[code])


def a_listed(planting, amount, unit="head", stay=None):
    sheet, _ = PickSheet.objects.get_or_create(pick_on=TODAY, version=1, made_at=NOW)
    return PickLine.objects.create(
        sheet=sheet,
        position=sheet.lines.count() + 1,
        planting=planting,
        stay=stay,
        amount=amount,
        unit=unit,
        packed=amount,
        packed_unit=unit,
    )


def great_buttons(response):
    return re.findall(r'<button class="great">(.*?)</button>', response.content.decode())


def test_as_listed_is_one_press(phone_client):
    """From the line: 1 touch; "24 heads as listed": 2."""
    planting = a_planting(way="head", unit="head")
    stay = a_stay(planting)
    page = phone_client.get(address(), {"amount": "24", "unit": "head", "stay": stay.pk})
    assert great_buttons(page) == ["24 heads as listed", "Save"]
    form = page.content.decode().partition('action="/plantings/L-13/pick/"')[2].partition("</form>")[0]
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    done = phone_client.post(address(), sent, follow=True)
    assert said_in(done) == "Cut 24 heads of L-13 green butterhead, Mon 4 May 2026"
    pick = Pick.objects.get()
    assert (pick.count, pick.count_unit, pick.stay, pick.picked_on) == (24, "head", stay, TODAY)
    assert pick.entry.by.name == "Ines"


def test_what_the_list_asks_for_stands_ready_until_it_is_cut(phone_client):
    planting = a_planting(way="head", unit="head")
    first, second = a_stay(planting, "N-1", 60), a_stay(planting, "N-2", 60)
    a_listed(planting, 24, stay=first), a_listed(planting, 30, stay=second)
    assert great_buttons(phone_client.get(address())) == ["24 heads as listed", "Save"]
    send(phone_client, address(), count="20", stay=str(first.pk))
    assert great_buttons(phone_client.get(address())) == ["4 heads as listed", "Save"]
    send(phone_client, address(), count="4", stay=str(first.pk))
    assert great_buttons(phone_client.get(address())) == ["30 heads as listed", "Save"]
    send(phone_client, address(), count="31", stay=str(second.pk))
    assert great_buttons(phone_client.get(address())) == ["Save"]


def test_it_says_what_was_noted_of_it_today(phone_client):
    a_planting()
    assert "Today so far" not in text_of(phone_client.get(address()))
    send(phone_client, address(), weight="12.0")
    send(phone_client, address(), weight="3", day="2026-05-03")
    send(phone_client, address(), weight="9,5")
    assert "Today so far: 12.0 lb (Ines) + 9,5 lb (Ines)" in text_of(phone_client.get(address()))


def test_digits_and_save(phone_client):
    """From the line: 1 touch; digits; save: 2 more at most, since the box has the focus."""
    a_planting(way="head", unit="head")
    page = phone_client.get(address()).content.decode()
    assert re.findall(r'<input[^>]*name="(\w+)"[^>]*autofocus', page) == ["count"]
    send(phone_client, address(), count="18", count_unit="head")
    assert Pick.objects.get().count == 18


def test_a_weighed_crop_asks_for_its_weight_first(phone_client):
    a_planting(way="cut", unit="lb")
    page = phone_client.get(address())
    assert re.findall(r'<input[^>]*name="(\w+)"[^>]*autofocus', page.content.decode()) == ["weight"]
    send(phone_client, address(), weight="2", weight_unit="lb", ounces="6")
    assert Pick.objects.get().mass_ng == lb("2.375")


@pytest.mark.case("H01")
def test_crates_of_last_time_stand_ready(phone_client):
    # paperzz.com how-to-track-your-harvest; pricecomputingscales.com on net weight; our numbers.
    a_planting(way="cut", unit="lb")
    blue = CrateKind.objects.create(name="blue", tare_ng=lb("1.60"))
    done = send(phone_client, address(), weight="14.35", crate=str(blue.pk), crates="3")
    assert (done.status_code, Pick.objects.get().mass_ng) == (303, lb("9.55"))
    page = phone_client.get(address())
    assert (chosen_in(page, "crate"), typed_in(page, "crates")) == (str(blue.pk), "3")
    refused = send(phone_client, address(), weight="4.10", crate=str(blue.pk), crates="3")
    assert refusals(refused) == ["4.10 lb is less than the empty crates, 4.80 lb."]
    assert (typed_in(refused, "weight"), typed_in(refused, "crates")) == ("4.10", "3")
    send(phone_client, address(), count="5", crate=str(blue.pk), crates="3")
    assert Pick.objects.latest("pk").typed == "5 head"


@pytest.mark.case("H02")
@pytest.mark.parametrize(
    ("typed", "net", "kept"),
    [
        ({"weight": "2", "ounces": "6"}, lb("2.375"), "2 lb 6 oz"),
        ({"weight": "2 lb 6"}, lb("2.375"), "2 lb 6"),
        ({"weight": "1.1", "weight_unit": "kg"}, 1_100_000_000_000, "1.1 kg"),
        ({"count": "24", "count_unit": "bunch"}, None, "24 bunch"),
        ({"count": "38", "count_unit": "head"}, None, "38 head"),
    ],
)
def test_pounds_ounces_kilos_bunches_and_heads(phone_client, typed, net, kept):
    # paperzz.com harvest guide; bethelspringsfarm.com "New Tools".
    a_planting()
    send(phone_client, address(), **typed)
    pick = Pick.objects.get()
    assert (pick.mass_ng, pick.typed) == (net, kept)


@pytest.mark.case("H05")
def test_the_same_form_twice_is_one_pick_and_two_forms_are_two(phone_client):
    # whatwg/html #5312; carpentries/amy #2511; sfu-fas/coursys #77: (a), (b), (d) and (c).
    a_planting()
    key = key_in(phone_client.get(address()))
    answers = [phone_client.post(address(), {"once": key, "weight": "12.0"}) for _again in range(3)]
    assert [answer.status_code for answer in answers] == [303, 303, 303]
    assert "Cut 12.0 lb of L-13" in text_of(phone_client.get("/day-book/"))
    assert Pick.objects.count() == 1
    send(phone_client, address(), weight="12.0")
    assert [pick.mass_ng for pick in Pick.objects.all()] == [lb("12.0")] * 2


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1,250", "“1,250” can be read two ways: 1.250 or 1250. Type the one you mean."),
        ("4e1", "“4e1” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz."),
        ("-3", "“-3” is less than nothing. To take something back, undo or correct its entry."),
        ("", "Type how much was cut; nothing typed is not taken for 0."),
        ("4000", "“4000” is 100 times the usual. Is it meant?"),
    ],
)
def test_what_cannot_be_read_comes_back_as_it_was_typed(phone_client, typed, words):
    # woogles-io/liwords #1367; whatwg/html #7497; betagouv/mrs #1053; django #8365. 40 plants of 1 lb: 40 lb.
    a_planting(way="cut", plants=40)
    refused = send(phone_client, address(), weight=typed, culled="2", day="2026-05-03", at="07:10")
    assert (refused.status_code, refusals(refused), Pick.objects.count()) == (422, [words], 0)
    assert [typed_in(refused, name) for name in ("weight", "culled", "day", "at")] == [
        typed,
        "2",
        "2026-05-03",
        "07:10",
    ]


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "pounds"), [("12,5", "12.5"), ("1 250,5", "1250.5"), ("12.5 lb", "12.5"), ("½", "0.5"), ("٤٠", "40")]
)
def test_a_comma_is_a_point(phone_client, typed, pounds):
    a_planting()
    send(phone_client, address(), weight=typed)
    assert Pick.objects.get().mass_ng == lb(pounds)


def test_far_more_heads_than_usual_are_asked_about(phone_client):
    a_planting(way="head", unit="head", plants=40)
    asked = send(phone_client, address(), count="4000")
    assert (refusals(asked), yes_in(asked)) == (["“4000” is 100 times the usual. Is it meant?"], ["count-unusual"])


@pytest.mark.case("H08")
def test_questions_are_answered_by_one_button(phone_client):
    """Cleared, cut after that and far more than usual: two questions, one yes each; the typed text stays."""
    # cherthollowfarm.com 2009/07; fireflyfields.org/noteworthy.
    planting = a_planting(way="cut", plants=40, cleared_on=date(2026, 5, 1))
    a_planting("L-14")
    first = send(phone_client, address(), weight="4000")
    words = "L-13 was cleared on Fri 1 May 2026. Was it cut after that all the same, or is it another planting?"
    assert (refusals(first), yes_in(first)) == ([words], ["after_clearing"])
    typed = {"once": key_in(first), "weight": typed_in(first, "weight")}
    second = phone_client.post(address(), {**typed, "yes": yes_in(first)[0]})
    assert yes_in(second) == ["after_clearing weight-unusual"]
    done = phone_client.post(address(), {**typed, "yes": yes_in(second)[0]})
    assert (done.status_code, Pick.objects.get().mass_ng) == (303, lb(4000))
    assert planting.picks.count() == 1


def test_before_it_is_ready_is_asked_and_remembered(phone_client):
    """Sown 1 Apr: 21 days on the shelf, 35 in the channel from 22 Apr: ready 27 May."""
    a_place()
    planting = a_sowing(a_variety(), "L-13", sown=date(2026, 4, 1))
    moved(planting.stays.get(), "N-1", 36, date(2026, 4, 22))
    moved(planting.stays.order_by("pk").first(), "N-2", 36, date(2026, 4, 22))
    asked = send(phone_client, address(), count="4")
    assert refusals(asked) == ["L-13 should be ready on Wed 27 May 2026. Was it cut before that?"]
    phone_client.post(address(), {"once": key_in(asked), "count": "4", "yes": yes_in(asked)[0]})
    assert Pick.objects.get().was_before_ready is True
    again = send(phone_client, address(), count="4")  # it was cut, so it could be
    assert (again.status_code, Pick.objects.latest("pk").was_before_ready) == (303, False)


WAITS = "Do not cut L-13 green butterhead in N-1 before Wed 6 May 2026, 09:00: soap spray"


def test_inside_a_wait_nothing_is_cut_and_the_page_says_so(phone_client):
    planting = a_planting(way="head", unit="head")
    a_stay(planting)
    until = NOW + timedelta(days=2)
    DoNotCut.objects.create(planting=planting, before=until, reason="soap spray", entry=an_entry("wait"))
    page = phone_client.get(address())
    assert WAITS in text_of(page)
    refused = send(phone_client, address(), count="4")
    assert refusals(refused) == [WAITS]
    # Cut this morning before anybody knew: a fact, but its lot is stopped.
    done = send(phone_client, address(), count="4", at="06:30")
    assert (done.status_code, Lot.objects.get().stopped_because) == (303, "cut inside a wait: soap spray")


def test_one_crate_of_two_plantings(phone_client):
    one, two = a_planting("L-13"), a_planting("L-31")
    beside = a_stay(one, "N-1").space
    Stay.objects.filter(pk=a_stay(two, "N-2").pk).update(space=beside)
    page = phone_client.get(address())
    assert [typed_in(page, name) for name in ("parts", f"also_{two.pk}")] == ["1", ""]
    send(phone_client, address(), weight="10", parts="2", **{f"also_{two.pk}": "1"})
    assert [pick.mass_ng for pick in Pick.objects.order_by("planting")] == [3_023_949_133_333, 1_511_974_566_667]
    correct = phone_client.get(reverse("correct-pick", args=[Pick.objects.latest("pk").pk]))
    boxes = ("planting", "weight", "parts", f"also_{two.pk}")
    assert [typed_in(correct, name) for name in boxes] == ["L-13", "10 lb", "2", "1"]


def test_of_what_else_stands_only_what_is_near_or_listed_has_a_box_and_one_more_can_be_chosen(phone_client):
    one, listed, far, farther = (a_planting(code) for code in ("L-13", "L-20", "L-31", "L-40"))
    for number, planting in enumerate((one, listed, far, farther)):
        a_stay(planting, f"N-{number}")
    a_listed(listed, 5)
    page = phone_client.get(address())
    assert re.findall(r'name="also_(\d+)"', page.content.decode()) == [str(listed.pk)]
    chooser = page.content.decode().partition('name="other"')[2].partition("</select>")[0]
    assert re.findall(r'value="(\d+)"', chooser) == [str(far.pk), str(farther.pk)]
    send(phone_client, address(), weight="10", parts="2", other=str(far.pk), other_parts="3")
    assert [(pick.planting, pick.mass_ng) for pick in Pick.objects.order_by("pk")] == [(one, lb("4")), (far, lb("6"))]
    refused = send(phone_client, address(), weight="10", other_parts="3")
    assert refusals(refused) == ["Say of which planting these parts are."]
    assert typed_in(refused, "other_parts") == "3"


def test_the_space_that_was_pressed_stands_first(phone_client):
    planting = a_planting()
    _one, two, _three = (a_stay(planting, f"N-{number}", 40) for number in (1, 2, 3))
    page = text_of(phone_client.get(address(), {"amount": "4", "unit": "lb", "stay": two.pk}))
    assert page.startswith("Pick L-13 N-2 · green butterhead It stands in N-1, N-3, too.")
    assert text_of(phone_client.get(address())).startswith("Pick L-13 green butterhead It stands in N-1, N-2, N-3.")


def test_a_planting_that_is_none_is_not_found(phone_client):
    assert phone_client.get(address("L-99")).status_code == 404


@pytest.mark.parametrize("rows", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_as_for_few(phone_client, django_assert_num_queries, rows):
    planting = a_planting(way="head", unit="head", plants=1000)
    for number in range(rows):
        a_stay(planting if number % 2 else a_planting(f"L-{100 + number}"), f"N-{number}", 3)
    a_listed(planting, 24)
    with django_assert_num_queries(14):
        phone_client.get(address())
    with django_assert_num_queries(12):  # until somebody writes something down
        phone_client.get(address())
    send(phone_client, address(), count="4")
    old = Pick.objects.get()
    with django_assert_num_queries(10):
        phone_client.get(reverse("correct-pick", args=[old.pk]))
    with django_assert_num_queries(8):
        phone_client.get(reverse("correct-pick", args=[old.pk]))


@pytest.mark.case("H04")
def test_the_wrong_planting_is_put_right_and_both_stay_to_be_seen(phone_client):
    """12.4 lb noted on L-31 instead of L-13; corrected on the day after."""
    # lsuagcenter.com traceability decision tree.
    wrong, right = a_planting("L-31"), a_planting("L-13")
    send(phone_client, address("L-31"), weight="12.4", day="2026-05-03")
    old = Pick.objects.get()
    correct = reverse("correct-pick", args=[old.pk])
    page = phone_client.get(correct)
    assert "Now it says: Cut 12.4 lb of L-31 green butterhead, Sun 3 May 2026." in text_of(page)
    assert [typed_in(page, name) for name in ("planting", "weight", "day")] == ["L-31", "12.4 lb", "2026-05-03"]
    unknown = send(phone_client, correct, planting="L-99", weight="12.4 lb", day="2026-05-03")
    assert (refusals(unknown), typed_in(unknown, "planting")) == (["There is no planting L-99."], "L-99")
    done = send(phone_client, correct, planting="l-13", weight="12.4 lb", day="2026-05-03")
    assert done.status_code == 303
    assert [pick.planting for pick in Pick.objects.live()] == [right]
    assert [move.lot.planting for move in StockMove.objects.live()] == [right]
    assert Pick.objects.filter(planting=wrong).count() == 1  # it stays, and counts no more
    book = text_of(phone_client.get("/day-book/", {"day": "2026-05-03"}))
    assert "Cut 12.4 lb of L-13 green butterhead, Sun 3 May 2026" in book
    assert "instead of: Cut 12.4 lb of L-31 green butterhead, Sun 3 May 2026" in book
    late = phone_client.get(correct)
    assert "in its place stands: Cut 12.4 lb of L-13 green butterhead, Sun 3 May 2026" in text_of(late)


def test_nobody_cuts_more_plantings_than_there_are(phone_client):
    a_planting(), a_planting("L-14")
    assert Planting.objects.count() == 2
