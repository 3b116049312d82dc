"""The look back: kept once worked out, every figure opens into its sum and its days, a corrected time changes it."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.planning.models import StoredAnswer
from farmops.selling.at_stall import sold_out
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet
from tests.growing.beds import saying
from tests.pages import links_of, refusals, text_of
from tests.paper.printed import SIZES, too_near, words_of
from tests.planning.small_farm import a_place, a_variety, an_item
from tests.planning.sown_farm import a_line, a_market_day, a_sown_farm, the_quay

pytestmark = pytest.mark.django_db
BACK = "/look-back/"


def work_out(client):
    answer = client.post(reverse("look-back-worked-out"))
    assert (answer.status_code, answer["Location"]) == (303, BACK)
    return client.get(BACK)


def test_looking_works_nothing_out(office_client):
    a_sown_farm()
    page = office_client.get(BACK)
    assert text_of(page).startswith("Look back What running out and leftovers cost you on your market days")
    assert (office_client.get(reverse("look-back-pdf"))["Location"], StoredAnswer.objects.count()) == (BACK, 0)


def test_without_market_days_there_is_nothing_to_tell(office_client):
    a_place()
    answer = office_client.post(reverse("look-back-worked-out"))
    assert answer.status_code == 422
    assert refusals(answer) == ["No market day of the last 52 weeks is written down yet, so there is nothing to tell."]


@pytest.mark.case("M01")
def test_three_saturdays_two_of_them_sold_out(office_client):
    # "brought 48, sold 48, out 11:40; brought 55, sold 55, out 12:50; brought 60, sold 52"
    a_sown_farm(((48, 700, None), (55, 770, None), (60, None, 8)))
    words = text_of(work_out(office_client))
    # "naive 51.7"; "65.5, 56.9, and 52; mean 58.1"; "two of three sold out", never a single bare figure
    assert "Sold on average, at least: it ran out on 2 of 3 days 51.7" in words
    assert "If customers came evenly all day (mornings are busier, so rather too high) 58.1" in words
    assert "Item-days that ran out 2 of 3 with a time noted on 2 of them" in words
    usual, low, high = map(float, re.search(r"Wanted on a usual day ([\d.]+) \(([\d.]+)–([\d.]+)\)", words).groups())
    assert low < 51.7 < usual < 58.1 < high


def test_each_day_leads_to_where_its_times_can_be_put_right(office_client):
    variety, _item = a_sown_farm()
    page = work_out(office_client)
    lines = MarketLine.objects.order_by("market_day__held_on")
    to_days = [(f"/markets/{line.market_day_id}/stall/#more-{line.pk}", words) for line, words in zip(
        lines, ("Sat 18 Apr", "Sat 25 Apr", "Sat 2 May"), strict=True)]  # fmt: skip
    all_days = "/look-back/days/?market=Quay&item=butterhead%20lettuce"
    assert links_of(page, "inline-link") == [
        *to_days,
        (all_days, "All 3 days that were looked back at"),
        (f"/sowing-list/#line-{variety.pk}", "green butterhead"),
    ]
    days = office_client.get(all_days)
    assert links_of(days, "inline-link") == [(BACK, "Look back"), *to_days]
    assert "Sat 18 Apr 11:40 48 0" in text_of(days)
    assert office_client.get("/look-back/days/?market=Quay&item=tomatoes").status_code == 404


def test_a_sold_out_time_put_right_changes_the_page_once_it_is_worked_out_again(office_client):
    a_sown_farm()
    work_out(office_client)
    line = MarketLine.objects.get(market_day__held_on=date(2026, 4, 18))
    sold_out(saying=saying("right", day=date(2026, 4, 18)), line=line, minute=540, puts_right=True)
    (old,) = StoredAnswer.objects.get(about="").answer["markets"][0]["items"]
    words = text_of(office_client.get(BACK))
    assert "1 entry since: work it out again." in words
    assert f"{old['bring']} last on about 7 of 10 days" in words
    new = text_of(work_out(office_client))
    kept = StoredAnswer.objects.get(about="").answer
    (item,) = kept["markets"][0]["items"]
    assert (item["was"], int(item["bring"]) > int(old["bring"])) == (old["bring"], True)
    assert [one["days"][0][5] for one in (old, item)] == ["11:40", "09:00"]
    assert f"{old['bring']} → {item['bring']}" in new
    assert "Before: running out" in new


def test_what_is_looked_back_at_and_what_is_learned_from_are_told_apart(office_client):
    a_sown_farm()
    item = MarketLine.objects.get(market_day__held_on=date(2026, 5, 2)).item
    for weeks in (60, 61):  # not within the last 52 weeks, and learned from
        a_market_day(the_quay(), item, date(2026, 5, 2) - timedelta(weeks=weeks), 20, 700)
    words = text_of(work_out(office_client))
    (kept,) = StoredAnswer.objects.get(about="").answer["markets"][0]["items"]
    assert kept["ran_out"] == "2 of 3 days, about 12:15"
    assert kept["reason"].startswith("It ran out on 4 of 5 days")
    assert kept["counts"] == (
        "That counts all 5 days of the last two years on which it was there and its sales are known; "
        "what stands beside and below counts the 3 of the last 52 weeks."
    )
    assert "Learned from 5 of its market days; looked back at the 3 of the last 52 weeks." in words
    assert "Item-days that ran out 2 of 3" in words


def test_days_that_nobody_noted_are_in_no_sum_of_days(office_client):
    a_sown_farm()
    MarketFact.objects.filter(line__market_day__held_on=date(2026, 4, 25)).exclude(kind="brought").delete()
    words = text_of(work_out(office_client))
    (kept,) = StoredAnswer.objects.get(about="").answer["markets"][0]["items"]
    assert "Item-days that ran out 1 of 2" in words
    assert "Quay 1 of 2 item-days" in words
    assert (kept["ran_out"], kept["counts"]) == ("1 of 2 days, about 11:40", "")


def test_a_market_that_is_over_has_no_next_day(office_client):
    a_sown_farm()
    Outlet.objects.update(last_on=date(2026, 5, 4))
    words = text_of(work_out(office_client))
    assert "No day of it is coming within a year. Learned from 3 of its market days." in words
    assert "Next:" not in words


def test_on_paper(office_client):
    a_sown_farm()
    work_out(office_client)
    words = " ".join(words_of(office_client.get(reverse("look-back-pdf"))))
    assert "Tue 6 May 2025 to Mon 4 May 2026, 3 market days, 1 item" in words
    assert "Bench to Stall · from what was written down by Mon 4 May 2026, 09:00" in words
    assert "data-print" in office_client.get(reverse("look-back-paper")).content.decode()


@pytest.mark.parametrize("size", SIZES)
def test_printed_on_the_other_paper_no_line_is_lost(office_client, size):
    a_sown_farm()
    work_out(office_client)
    Farm.objects.update(paper=size)
    assert too_near(office_client.get(reverse("look-back-pdf")), size) == []


@pytest.mark.parametrize("items", [3, 60])
def test_as_many_queries_for_many_items_as_for_few(office_client, django_assert_num_queries, items):
    a_sown_farm()
    variety = a_variety("oakleaf")
    for number in range(items - 1):
        item = an_item(variety, f"item {number}")
        for weeks in range(2):
            a_line(MarketDay.objects.get(held_on=date(2026, 5, 2) - timedelta(weeks=weeks)), item, 20, None, 2)
    work_out(office_client)
    with django_assert_num_queries(6):
        page = office_client.get(BACK)
    assert page.content.decode().count('<details id="why-') == items
