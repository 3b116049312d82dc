"""The pick list on paper: every line on it, headed on every page, named by date, time and version."""

import re

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.growing.models import Item
from farmops.harvest.models import PickLine, PickSheet
from tests.harvest.picks import NOW, a_planting
from tests.paper.printed import SIZES, too_near, words_of
from tests.planning.wanted import TUESDAY

pytestmark = pytest.mark.django_db


def a_sheet(version=1, lines=3, amount=24, **other):
    sheet = PickSheet.objects.create(pick_on=TUESDAY, version=version, made_at=NOW, **other)
    planting = PickLine.objects.first().planting if PickLine.objects.exists() else a_planting(variety="Élan ☐ 🥬")
    for number in range(lines):
        PickLine.objects.create(
            sheet=sheet,
            position=number,
            planting=planting,
            amount=amount + number,
            unit="head",
            packed=amount + number,
            packed_unit="head",
            words=f"line {number:03}",
        )
    return sheet


@pytest.mark.case("P01")
def test_130_lines_stand_whole_on_pages_with_their_head(phone_client):
    # Kozea/WeasyPrint #2679, #2877, #2456, #1547; SBB pdf-exporter #1056.
    sheet = a_sheet(lines=130)
    long_note = {"amount": 0, "unit": "", "packed": 0, "packed_unit": "", "words": "swap " * 60}
    PickLine.objects.create(sheet=sheet, position=131, **long_note)
    pages = words_of(phone_client.get(reverse("pick-sheet-pdf", args=[sheet.pk])))
    found = [line for page in pages for line in re.findall(r"line (\d{3})", page)]
    assert found == [f"{number:03}" for number in range(130)]
    with_lines = [page for page in pages if "line " in page]
    assert [page.count("Really cut") for page in with_lines] == [1] * len(with_lines)
    assert all(page.endswith(f"{number} / {len(pages)}") for number, page in enumerate(pages, 1))
    assert "Not on this list" in pages[-1]


@pytest.mark.case("P04")
def test_it_bears_date_time_and_version_on_every_page(phone_client):
    # grovida.us keeping-count; tinyfarmblog harvest-board.
    sheet = a_sheet(lines=40)
    answer = phone_client.get(reverse("pick-sheet-pdf", args=[sheet.pk]))
    assert answer["Content-Disposition"] == 'inline; filename="pick-list-2026-05-05-version-1.pdf"'
    pages = words_of(answer)
    foot = "Two Brooks · pick list of Tue 5 May 2026 · made at 09:00 · version 1"
    assert [foot in page for page in pages] == [True] * len(pages)
    assert "2 signs" not in pages[-1]
    assert "1 sign in these names cannot be printed and stands as □?" in pages[-1]


def test_only_the_changes_are_printed(phone_client):
    a_sheet(lines=3, amount=24)
    newer = a_sheet(version=2, lines=2, amount=30)
    text = words_of(phone_client.get(reverse("pick-sheet-changes", args=[newer.pk, 1])))
    assert len(text) == 1
    assert "Changes to the pick list, Tue 5 May 2026 made at 09:00 · version 2 · against the sheet of 09:00" in text[0]
    assert "instead of" in text[0]
    assert phone_client.get(reverse("pick-sheet-changes", args=[newer.pk, 9])).status_code == 404


def test_as_a_page_it_says_the_same(phone_client):
    sheet = a_sheet()
    Item.objects.create(name="head", unit="head", keeps_days=7)
    page = phone_client.get(reverse("pick-sheet-paper", args=[sheet.pk])).content.decode()
    assert re.findall(r'<td class="amount">([^<]*)</td>', page) == ["24 heads", "25 heads", "26 heads"]
    assert page.count('<span class="box"></span>') == 3  # ticks are borders, not signs


def test_printing_is_noted_once(phone_client):
    sheet = a_sheet()
    for _again in range(2):
        phone_client.post(reverse("pick-sheet-printed", args=[sheet.pk]))
    sheet.refresh_from_db()
    assert sheet.printed_at == NOW
    assert phone_client.get(reverse("pick-sheet-printed", args=[sheet.pk])).status_code == 405


@pytest.mark.case("P03")
@pytest.mark.parametrize("size", SIZES)
def test_on_either_paper_every_line_is_there_and_stays_within_both(phone_client, size):
    """A4 is 5.9 mm narrower and Letter 17.6 mm shorter: nothing stands outside 210 × 279.4 mm less 10 mm all round."""
    # manubot/rootstock #105 (last lines lost); pdfmake #1125.
    sheet = a_sheet(lines=40)
    Farm.objects.update(paper=size)
    answer = phone_client.get(reverse("pick-sheet-pdf", args=[sheet.pk]))
    found = [line for page in words_of(answer) for line in re.findall(r"line (\d{3})", page)]
    assert found == [f"{number:03}" for number in range(40)]
    assert too_near(answer, size) == []
