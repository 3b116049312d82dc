"""The pages of the winter plan: the year, its copy, its sowings, the seed."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from farmops.growing.models import SeedLot, Variety
from farmops.journal.models import Entry
from farmops.planning.models import StoredAnswer
from farmops.planning.stored_answers import newest_entry
from farmops.planning.winter_sowings import work_out_year
from farmops.selling.models import MarketDay, Outlet, Price
from tests.journal.entries import an_entry
from tests.pages import great_in, key_in, refusals, said_in, send, text_of
from tests.planning.sown_farm import NOW, TODAY, a_market_day, a_sown_farm, quick, the_quay
from tests.selling.orders import a_buyer, a_count, an_order

PLAN = reverse("winter-plan")
SEED = reverse("seed-order")
COPY = reverse("copy-year", args=[2027])


@pytest.fixture
def variety(db):
    return a_sown_farm()[0]


def year():
    return work_out_year(TODAY, NOW, solver=quick)


def test_the_year_stands_there_before_anything_is_worked_out(phone_client, variety):
    words = text_of(phone_client.get(PLAN))
    assert words.startswith("The year 2026 Weeks 1 to 53, Mon 29 Dec 2025 to Sun 3 Jan 2027. ← 2025 2027 →")
    assert "1–53 Sat Quay Mon 29 Dec to Sun 3 Jan Quay: 53 days, 3 of them on the list" in words
    assert "It has not been worked out yet." in words
    assert great_in(phone_client.get(PLAN)) == ["Work out the year's sowings"]


@pytest.mark.parametrize("asked", ["soon", "1", "2099", "-1"])
def test_a_year_that_weeks_cannot_be_counted_in_is_not_found(phone_client, variety, asked):
    assert phone_client.get(PLAN, {"year": asked}).status_code == 404


def test_one_press_works_it_out_in_a_process_of_its_own(phone_client, variety):
    page = phone_client.post(f"{reverse('work-out-year')}?year=2026")
    assert (page.status_code, page["Location"]) == (303, f"{PLAN}?year=2026")
    shown = phone_client.get(page["Location"])
    assert said_in(shown) == "Worked out from all that is written down."
    words = text_of(shown)
    assert "From week 31 on these are not yet whole trays: they are rounded here" in words
    assert "It begins on Mon 4 May 2026; what was sown before stands in Plants." in words
    assert "sixty weeks" not in words  # 2026 ends within them
    assert "Paper for the bench 19 4 May green butterhead 1 × tray 20–21 11 May no sowing 22 25 May" in words
    assert "22 25 May green butterhead 1 × tray moved on and sold into channel: green butterhead 1 × tray" in words
    assert "It reaches until Sun 27 Jun 2027, sixty weeks" in text_of(phone_client.get(PLAN, {"year": 2027}))


def test_trouble_is_told_and_the_plan_before_stays(phone_client, variety):
    year()
    Price.objects.all().delete()
    page = phone_client.post(f"{reverse('work-out-year')}?year=2026")
    assert page.status_code == 422
    assert [line.partition(":")[0] for line in refusals(page)] == ["prices, price"]
    assert "Worked out on Mon 4 May 2026, 09:00." in text_of(page)


def test_nothing_sold_any_more_is_said(phone_client, variety):
    Outlet.objects.update(last_on=date(2026, 6, 6))
    year()
    words = text_of(phone_client.get(PLAN))
    assert "Nothing is sold after Sat 6 Jun 2026, as far as is written down, so nothing is sown for later." in words
    Outlet.objects.update(last_on=date(2026, 5, 2))
    year()
    assert "Nothing is sold in the sixty weeks from now on" in text_of(phone_client.get(PLAN))


def test_what_has_no_taker_is_told(phone_client, variety):
    kept = year()
    spare = [["2026-06-15", "butterhead lettuce", 59.4], ["2026-06-22", "butterhead lettuce", 1.0]]
    StoredAnswer.objects.update(answer={**kept.answer, "spare": spare})
    assert "Too much It stands today" in text_of(phone_client.get(PLAN))
    assert "butterhead lettuce: 60 heads in weeks 25–26" in text_of(phone_client.get(PLAN))


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(phone_client, django_assert_num_queries, variety, number):
    kept = year()
    names = [f"variety {one}" for one in range(number)]
    Variety.objects.bulk_create(Variety(name=name, crop="lettuce") for name in names)
    sowings = [["2026-05-04", name, 1, 72, True, "2026-06-29", "2026-06-29"] for name in names]
    StoredAnswer.objects.update(answer={**kept.answer, "sowings": sowings, "moves": []}, last_entry=newest_entry())
    Outlet.objects.bulk_create(Outlet(name=f"market {one}", kind="market", weekday=one % 7) for one in range(number))
    phone_client.get(PLAN)
    an_entry("something new")
    with django_assert_num_queries(14):
        page = phone_client.get(PLAN)
    with django_assert_num_queries(7):  # until somebody writes something down
        phone_client.get(PLAN)
    assert page.content.decode().count('class="sown"') == number


def test_the_year_before_is_copied_with_one_press(office_client, variety):
    a_market_day(the_quay(), variety.item_parts.get().item, date(2026, 1, 10), 40)
    a_count(date(2026, 6, 1), date(2026, 6, 28), boxes=24, size="full")
    shown = office_client.get(COPY)
    days = 1 + 3 + 35  # on the list: one in January, three in spring; to come: Saturdays from 9 May to 2 January
    assert great_in(shown) == [f"Copy 2026: {days} market days, 1 box count"]
    page = send(office_client, COPY, week_53="last")
    assert (page.status_code, page["Location"]) == (303, f"{PLAN}?year=2027")
    words = text_of(office_client.get(page["Location"]))
    assert f"Quay: 52 days, {days} of them on the list" in words
    assert "22–25 Sat Quay boxes: 24 full weekly box" in words
    again = office_client.get(COPY)
    assert great_in(again) == []
    assert "There is nothing of 2026 to copy that is not planned already." in text_of(again)


def test_where_week_53_goes_is_chosen_on_the_page(office_client, variety):
    a_market_day(the_quay(), variety.item_parts.get().item, date(2027, 1, 2), 40)
    assert "Where week 53 of 2026 goes week 52 of 2027 week 1 of 2028" in text_of(office_client.get(COPY))
    send(office_client, COPY, week_53="first")
    assert [one.held_on for one in MarketDay.objects.filter(held_on__gte=date(2027, 12, 27))] == [date(2028, 1, 8)]
    assert "week 53" not in text_of(office_client.get(reverse("copy-year", args=[2029])))


def test_a_refusal_comes_back_with_what_was_chosen(office_client, variety):
    key = key_in(office_client.get(COPY))
    Outlet.objects.update(last_on=date(2026, 4, 1))
    page = office_client.post(COPY, {"once": key, "week_53": "first"})
    assert page.status_code == 422
    assert refusals(page) == ["There is nothing of 2026 to copy that is not planned for 2027 already."]
    assert 'value="first" checked' in page.content.decode()
    assert Entry.objects.filter(once_key=key).count() == 0


def test_holidays_and_orders_that_end_lead_to_their_forms(office_client, variety):
    an_order(a_buyer("Inn"), variety.item_parts.get().item, first_on=date(2026, 5, 1), last_on=date(2026, 12, 18))
    the_quay().closed_days.create(first_on=date(2026, 7, 4), last_on=date(2026, 7, 4), reason="holiday, no market")
    html = office_client.get(COPY).content.decode()
    assert (
        f"outlet={the_quay().pk}&amp;first_on=2027-07-03&amp;last_on=2027-07-03&amp;reason=holiday%2C%20no%20market"
        in html
    )
    assert "amount=12&amp;every_weeks=1&amp;first_on=2027-04-30&amp;last_on=2027-12-17" in html


def test_seed_to_order_opens_into_its_sum(office_client, variety):
    assert "which have not been worked out yet" in text_of(office_client.get(SEED))
    kept = year()
    SeedLot.objects.create(name="L-1", variety=variety, seeds=100, received_on=date(2024, 5, 1), germination_percent=45)
    until = date(2027, 1, 4)
    weeks = [one for one in kept.answer["sowings"] if one[0] < until.isoformat()]
    need = sum(one[3] for one in weeks)
    words = text_of(office_client.get(SEED))
    assert words.startswith("Seed to order for 2026 For every sowing from now until Sun 3 Jan 2027")
    assert "price not known" in words
    assert "L-1 here for 2 years 45 % came up where 90 % are counted on: 100 seeds are worth less − 50" in words
    assert (
        "The plan divided by 86 % that live to the harvest, germination among them; it is not divided here again."
        in words
    )
    assert f"To order {-(-round(need, 4) // 1) - 50:,.0f}" in words
    Variety.objects.update(part_cost_cents=125)
    assert "price not known" not in text_of(office_client.get(SEED))


@pytest.mark.parametrize("number", [3, 300])
def test_the_seed_page_asks_as_often_for_many_as_for_few(office_client, django_assert_num_queries, variety, number):
    kept = year()
    names = [f"variety {one}" for one in range(number)]
    Variety.objects.bulk_create(Variety(name=name, crop="lettuce") for name in names)
    sowings = [["2026-05-04", name, 1, 72, True, "2026-06-29", "2026-06-29"] for name in names]
    StoredAnswer.objects.update(answer={**kept.answer, "sowings": sowings, "moves": []})
    with django_assert_num_queries(9):
        page = office_client.get(SEED)
    assert page.content.decode().count("The sum") == number


def test_a_phone_of_the_crew_is_not_offered_what_the_office_does(phone_client, variety):
    words = text_of(phone_client.get(PLAN))
    assert "Copy 2025 by weekday" not in words
    assert "Seed to order" not in words


@pytest.mark.parametrize("number", [3, 300])
def test_the_copy_asks_as_often_for_many_as_for_few(office_client, django_assert_num_queries, variety, number):
    entry = MarketDay.objects.first().entry
    first = date(2026, 1, 5)
    MarketDay.objects.bulk_create(
        MarketDay(outlet=the_quay(), held_on=day, opens_minute=480, closes_minute=780, entry=entry)
        for day in (first + timedelta(days=one) for one in range(number))
        if day.weekday() != 5
    )
    with django_assert_num_queries(11):
        assert office_client.get(COPY).status_code == 200
