"""The winter plan on paper: every sheet with its date, along and across, on Letter and A4."""

from io import BytesIO

import numpy
import pypdf
import pypdfium2
import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.planning.winter_sowings import work_out_year
from tests.paper.printed import DOTS, SIZES, too_near, words_of
from tests.planning.sown_farm import NOW, TODAY, a_sown_farm, quick

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(db):
    a_sown_farm()
    return work_out_year(TODAY, NOW, solver=quick)


def address(sheet, kind="pdf", year=2026):
    return reverse(f"winter-{sheet}-{kind}", args=[year])


def test_four_sheets_for_the_wall_each_with_its_weeks_and_its_time(phone_client, plan):
    pages = words_of(phone_client.get(address("wall")))
    weeks = ("1 to 13", "14 to 26", "27 to 39", "40 to 53")
    heads = [f"2026, weeks {one}worked out Mon 4 May 2026, 09:00" for one in weeks]
    assert [head in page for head, page in zip(heads, pages, strict=True)] == [True] * 4
    foot = "Two Brooks (invented) · the year 2026 · worked out Mon 4 May 2026, 09:00 · printed Mon 4 May 2026, 09:00"
    assert [foot in page for page in pages] == [True] * 4


def test_a_sheet_for_each_month_on_the_bench(phone_client, plan):
    pages = words_of(phone_client.get(address("bench")))
    assert "Sow in May 2026 worked out Mon 4 May, 09:00 · printed Mon 4 May, 09:00" in pages[0]
    assert "Week Sow What Really sown Seed lot Day, by 19Mon 4 May 1 × tray green butterhead 72 seeds" in pages[0]


@pytest.mark.parametrize("size", SIZES)
def test_printed_on_the_other_paper_no_line_of_the_bench_is_lost(phone_client, plan, size):
    Farm.objects.update(paper=size)
    assert too_near(phone_client.get(address("bench")), size) == []


@pytest.mark.parametrize("size", SIZES)
def test_nor_of_the_wall_which_lies_across(phone_client, plan, size):
    Farm.objects.update(paper=size)
    pdf = phone_client.get(address("wall")).content
    boxes = {tuple(round(float(side), 2) for side in page.mediabox[2:]) for page in pypdf.PdfReader(BytesIO(pdf)).pages}
    assert boxes == {SIZES[size][::-1]}
    for page in pypdfium2.PdfDocument(pdf):
        ink = numpy.argwhere(page.render(scale=DOTS / 72, grayscale=True).to_numpy().squeeze() < 250) / DOTS * 25.4
        (top, left), (bottom, right) = ink.min(axis=0), ink.max(axis=0)
        assert min(top, left) >= 10
        assert right <= 279.4 - 10
        assert bottom <= 210 - 10


@pytest.mark.parametrize("sheet", ["wall", "bench"])
def test_the_same_page_to_print_from_the_screen(phone_client, plan, sheet):
    page = phone_client.get(address(sheet, "paper"))
    assert next(one.name for one in page.templates) == f"paper/winter_{sheet}.html"
    assert "data-print" in page.content.decode()


def test_before_it_is_worked_out_the_paper_leads_to_the_page(phone_client):
    page = phone_client.get(address("wall"))
    assert (page.status_code, page["Location"]) == (302, "/winter-plan/?year=2026")


def test_a_year_without_a_sowing_says_so(phone_client, plan):
    assert "The plan has no sowing in this year." in words_of(phone_client.get(address("bench", year=2030)))[0]
    assert phone_client.get(address("wall", year=1)).status_code == 404
