"""The sowing list on paper: every line, the blanks, date and time."""

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.planning.sowing_list_choice import choose_sowing
from tests.growing.beds import saying
from tests.paper.printed import SIZES, too_near, words_of
from tests.planning.sown_farm import MONDAY, a_sown_farm, worked_out

pytestmark = pytest.mark.django_db


def test_the_paper_for_the_bench(phone_client):
    variety, _item = a_sown_farm()
    worked_out()
    choose_sowing(saying=saying("two"), variety=variety, week=MONDAY, parts=2, proposed=1.0, reason="a party")
    (words,) = words_of(phone_client.get(reverse("sowing-list-pdf")))
    head, _line, rest = words.partition(" Sow What Really sown Seed lot Where Day, by ")
    assert head.endswith("Sow in week 19, from Mon 4 May 2026 worked out Mon 4 May, 09:00 · printed Mon 4 May, 09:00")
    assert rest.startswith("2 × tray 144 plants green butterhead proposed: 1 × tray (a party) · 59.2 heads wanted in")
    assert "green butterhead Mon 14 Sep 2026 week 38 Sat 29 Aug 2026" in rest


def test_the_same_page_to_print_from_the_screen(phone_client):
    a_sown_farm()
    worked_out()
    page = phone_client.get(reverse("sowing-list-paper"))
    assert next(one.name for one in page.templates) == "paper/sowing_list.html"
    assert "data-print" in page.content.decode()


@pytest.mark.parametrize("size", SIZES)
def test_printed_on_the_other_paper_no_line_is_lost(phone_client, size):
    a_sown_farm()
    worked_out()
    Farm.objects.update(paper=size)
    assert too_near(phone_client.get(reverse("sowing-list-pdf")), size) == []
