"""The sowing page: sheets dropped in, faults named, the plan with the sum behind each sowing."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from farmops.exchange.views import sowing as sowing_views
from farmops.exchange.views.sowing import DEMO_DAY, DEMO_SHEETS

pytestmark = pytest.mark.django_db


def drop(client, changed: dict[str, bytes] | None = None):
    files = {path.name: path.read_bytes() for path in DEMO_SHEETS.glob("*.csv")} | (changed or {})
    sheets = [SimpleUploadedFile(name, content) for name, content in files.items()]
    return client.post(reverse("sowings"), {"sheets": sheets, "as_of": DEMO_DAY})


def test_the_plan_is_worked_out_apart_from_the_page(client):
    address = drop(client)["Location"]
    waiting = client.get(address)
    assert waiting.templates[0].name == "exchange/sowing_wait.html"
    part = client.get(address, headers={"HX-Request": "true"})
    whole = client.get(address + "&now=1")
    assert part.content.lstrip().startswith(b'<section id="sowing">')
    page = whole.context["page"]
    assert (page.week, page.over_full) == ("week 37", ())
    for line in page.now:
        steps = {step.words: step.value for step in line.sum}
        wanted, coming, short = (
            float(steps[words].split()[0].replace(",", ""))
            for words in ("Wanted in these weeks", "Coming from what stands or is sown besides", "Short")
        )
        uses = [float(use.value.split()[0].replace(",", "")) for use in line.uses]
        assert sum(uses) == pytest.approx(wanted, abs=0.01 * len(uses) + 0.01)
        assert short == pytest.approx(max(wanted - coming, 0.0), abs=0.02)


def test_a_fault_is_named_with_sheet_row_and_column(client):
    spaces = (DEMO_SHEETS / "spaces.csv").read_text().splitlines()
    cells = spaces[1].split(",")
    cells[spaces[0].split(",").index("places")] = "many"
    response = drop(client, {"spaces.csv": "\n".join([spaces[0], ",".join(cells), *spaces[2:]]).encode()})
    assert response.status_code == 422
    assert re.findall(r"<li>spaces, row 2, places: ", response.content.decode()) == ["<li>spaces, row 2, places: "]


@pytest.mark.parametrize("content", [b"", b"\x00\xff\xfe", b"a" * 100_000], ids=["empty", "binary", "one word"])
def test_hostile_sheets_get_a_plain_word(client, content):
    response = drop(client, {"varieties.csv": content})
    assert response.status_code == 422
    assert re.findall(r"Traceback|Exception", response.content.decode()) == []


def test_no_sheet_and_an_unknown_sheet(client):
    nothing = client.post(reverse("sowings"), {"as_of": "nonsense"})
    unknown = drop(client, {"weather forecast.csv": b"a,b\n1,2\n"})
    assert [page.status_code for page in (nothing, unknown)] == [422, 422]
    assert [(fault.sheet, fault.problem) for page in (nothing, unknown) for fault in page.context["faults"]] == [
        ("sheets", "No sheet was chosen."),
        ("weather forecast", "There is no sheet of this name."),
    ]


def test_sheets_no_longer_in_memory_are_asked_for_again(client):
    page = client.get(reverse("sowing", args=["0" * 20]))
    assert [fault.problem for fault in page.context["faults"]] == ["These sheets are no longer in memory."]


def test_blank_sheets_can_be_taken_along(client):
    response = client.get(reverse("blank-sheets"))
    assert (response["Content-Type"], response.content[:2]) == ("application/zip", b"PK")


def test_a_second_look_while_a_plan_is_worked_out_waits_and_works_nothing_out(client):
    sowing_views.desk.forget(drop(client)["Location"].split("/")[2])
    address = drop(client)["Location"]
    with sowing_views._one_plan_at_a_time:
        part = client.get(address, headers={"HX-Request": "true"})
    assert re.findall(r'hx-trigger="([^"]+)"', part.content.decode()) == ["load delay:2s"]


def test_days_no_farm_plans_for_become_today(client):
    address = drop(client)["Location"].split("?")[0]
    for day in ("9999-12-31", "0001-01-01", "nonsense", ""):
        assert client.get(address, {"as_of": day}).status_code == 200
        assert sowing_views.day_in(day).isoformat() == "2026-05-04"
