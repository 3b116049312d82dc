"""The page of the farm's sheets: what they would do, then one reading; and all of them taken along."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from farmops.exchange.desk import desk
from farmops.exchange.write_sheets import write_sheets
from farmops.farm.models import Farm
from farmops.growing.models import Planting
from farmops.harvest.models import Pick
from farmops.journal.models import Entry
from tests.exchange.emptied import emptied
from tests.exchange.grown_farm import write_grown, write_only
from tests.pages import great_in, key_in, links_of, plain, refusals, rows_of, said_in, text_of

pytestmark = pytest.mark.django_db


def drop(client, folder, address="/sheets/", **headers):
    files = [SimpleUploadedFile(path.name, path.read_bytes()) for path in sorted(folder.iterdir())]
    return client.post(address, {"sheets": files}, headers=headers)


def listed(page):
    html = page.content.decode().partition('aria-label="To put right"')[2].partition("</section>")[0]
    return [plain(item.partition("</li>")[0]) for item in html.split("<li>")[1:]]


def press(client, address, key=None):
    return client.post(address, {"once": key or key_in(client.get(address))}, follow=True)


@pytest.fixture
def farm(office_client, tmp_path):
    """The grown farm, read in on the page."""
    press(office_client, drop(office_client, write_grown(tmp_path / "farm"))["Location"])
    return office_client


def test_dropped_sheets_are_looked_at_and_read_in_by_one_press(office_client, tmp_path):
    address = drop(office_client, write_grown(tmp_path))["Location"]
    look = office_client.get(address)
    assert great_in(look) == ["Read in 58 rows"]
    counts = {row.split()[0]: row.split()[1:] for row in rows_of(look)[1:]}
    assert (counts["picks"], counts["market_days"], counts["varieties"]) == (["4", "0"], ["3", "0"], ["4", "0"])
    assert (Entry.objects.count(), Farm.objects.count()) == (0, 0)
    done = press(office_client, address)
    assert done.redirect_chain == [("/sheets/", 303)]
    notice = "1 lot is stopped: it was cut inside a wait. "
    assert said_in(done).startswith(notice + "Read 58 rows from sheets: farm 1, varieties 4")
    assert (Pick.objects.count(), Entry.objects.get(once_key__startswith="reading ").by.name) == (4, "Odile")
    again = office_client.get(address)
    assert great_in(again) == []
    assert "Nothing in them is new: all of it stands in the farm already." in text_of(again)


def test_the_same_form_again_is_answered_as_the_first_time_and_never_reads_twice(office_client, tmp_path):
    address = drop(office_client, write_grown(tmp_path / "farm"))["Location"]
    key = key_in(office_client.get(address))
    first, second = press(office_client, address, key), press(office_client, address, key)
    assert said_in(first).endswith(said_in(second))
    assert Entry.objects.filter(once_key__startswith="reading ").count() == 1
    more = write_only(tmp_path / "more", walks="planting,day,ready\nP-1,2026-05-02,20")
    other = press(office_client, drop(office_client, more)["Location"], key)
    assert other.status_code == 422
    assert refusals(other)[0].startswith(
        "That form was sent before with other sheets: “Read 58 rows from sheets: farm 1"
    )
    assert great_in(other) == ["Read in 1 row"]  # what was dropped is still there


def test_every_fault_is_named_and_one_corrected_sheet_takes_the_place_of_its_own(farm, tmp_path):
    more = write_only(
        tmp_path / "more",
        picks="planting,day,amount,unit\nP-1,2026-05-01,abc,lb\nP-X,2026-05-02,3,head",
        walks="planting,day,ready\nP-1,2026-05-02,20",
        items="item,unit,keeps_days\nrocket,lb,soon",
    )
    before = Entry.objects.count()
    address = drop(farm, more)["Location"]
    look = farm.get(address)
    assert listed(look) == [
        "row 2, amount “abc” is not a number. "
        "Write digits and a point, e.g. 12.5, without a unit; leave it empty if it is not known.",
        "row 3, planting “P-X” does not stand in the sheet plantings. Did you mean “P-3”?",
        "row 2, keeps_days “soon” is not a number. "
        "Write digits and a point, e.g. 12.5, without a unit; leave it empty if it is not known.",
    ]
    assert text_of(look).count("3 things are to be put right first; nothing was written.") == 1
    assert great_in(look) == []
    refused = farm.post(address, {"once": "by-hand"})
    assert (refused.status_code, refusals(refused)) == (422, ["Nothing was read in. What to put right stands below."])
    assert Entry.objects.count() == before
    write_only(more, picks="planting,day,amount,unit\nP-1,2026-05-01,2,head", items="item,unit,keeps_days")
    (more / "walks.csv").unlink()
    corrected = drop(farm, more, address)["Location"]
    assert corrected != address
    assert great_in(farm.get(corrected)) == ["Read in 2 rows"]
    press(farm, corrected)
    assert (Pick.objects.count(), Entry.objects.count()) == (5, before + 3)


def test_what_says_something_else_than_the_farm_is_shown_beside_what_is_new(farm, tmp_path):
    more = write_only(
        tmp_path / "more",
        plantings="planting,variety,sown,plants\nP-2,mizuna,2026-03-02,300\nP-9,mizuna,2026-05-02,128",
        spaces="space,kind,places\nF-1,channel,18",
    )
    look = farm.get(drop(farm, more)["Location"])
    assert rows_of(look)[1:] == ["spaces 0 1", "plantings 1 0 1"]
    assert listed(look) == [
        "row 2, plants The farm has “256”, this sheet “300”. "
        "Sheets add rows and change none: change it in the farm, or put this cell back."
    ]


def test_a_file_that_cannot_be_opened_and_sheets_no_longer_in_memory_get_a_plain_word(office_client, tmp_path):
    broken = office_client.post("/sheets/", {"sheets": [SimpleUploadedFile("farm.zip", b"PK\x03\x04broken")]})
    nothing = office_client.post("/sheets/", {})
    assert (broken.status_code, nothing.status_code) == (422, 422)
    assert re_items(broken) == ["farm.zip: This file is damaged, or locked with a password. "
                                "Pack it again without a password, or drop the sheets themselves."]  # fmt: skip
    assert re_items(nothing) == ["sheets: No sheet was chosen. Choose the CSV files together."]
    address = drop(office_client, write_grown(tmp_path))["Location"]
    desk.forget(address.split("/")[2])
    gone = office_client.post(address, {"once": "a"})
    assert (gone.status_code, Farm.objects.count()) == (422, 0)
    assert re_items(gone) == ["sheets: These sheets are no longer in memory. Drop them in once more."]


def re_items(page):
    html = page.content.decode().partition('role="alert"')[2].partition("</ul>")[0]
    return [plain(item) for item in html.split("<li>")[1:]]


def test_with_scripts_the_browser_is_sent_on_and_a_fault_comes_as_a_fragment(office_client, tmp_path):
    on = drop(office_client, write_grown(tmp_path), **{"HX-Request": "true"})
    assert on["HX-Redirect"].startswith("/sheets/")
    part = office_client.post("/sheets/", {}, headers={"HX-Request": "true"})
    assert part.content.strip().startswith(b'<section id="farm-sheets"')


def test_the_farm_is_taken_along_in_one_file_that_makes_it_again(farm, tmp_path):
    write_sheets(tmp_path / "before")
    taken = farm.get("/sheets/all.zip")
    assert (taken["Content-Type"], taken["Content-Disposition"]) == (
        "application/zip", 'attachment; filename="farm-sheets-2026-05-04.zip"',
    )  # fmt: skip
    with zipfile.ZipFile(io.BytesIO(taken.content)) as archive:
        readme = archive.read("readme.txt").decode("utf-8-sig")
    assert "1 stops of lots" in readme.splitlines()
    emptied()
    zipped = SimpleUploadedFile("farm.zip", taken.content)
    done = press(farm, farm.post("/sheets/", {"sheets": [zipped]})["Location"])
    assert "Read 58 rows from sheets: farm 1" in said_in(done)
    assert Planting.objects.count() == 3
    write_sheets(tmp_path / "after")
    for path in (tmp_path / "before").iterdir():
        assert path.read_bytes() == (tmp_path / "after" / path.name).read_bytes(), path.name


def test_an_empty_farm_is_offered_three_ways_to_begin(office_client):
    assert text_of(office_client.get("/")).count("Or begin otherwise: Drop my farm's sheets Begin by hand") == 1
    Farm.objects.create(name="Mill Bend (invented)", latitude="42.4")
    assert text_of(office_client.get("/notebooks/")).count("Or begin otherwise") == 0


def test_a_reading_is_one_line_of_the_day_book_and_is_taken_back_from_there_or_from_its_own_page(farm, tmp_path):
    more = write_only(tmp_path / "more", walks="planting,day,ready\nP-1,2026-05-02,20")
    press(farm, drop(farm, more)["Location"])
    first, second = Entry.objects.filter(once_key__startswith="reading ").order_by("pk")
    words = "Read 1 row from sheets: walks 1"
    for page in (farm.get("/day-book/"), farm.get("/sheets/")):
        assert links_of(page, "button quiet")[0] == (f"/readings/{second.pk}/take-back/", f"Take back {words}")
    assert [plain(one) for one in book_of(farm.get("/day-book/"))] == [
        f"{words} 09:00 · Odile Take back {words}",
        f"{first.said} 09:00 · Odile Take back {first.said}",
    ]
    asked = farm.get(f"/readings/{first.pk}/take-back/")
    assert text_of(asked).startswith(f"Take this reading back? {first.said} Mon 4 May 2026. All its rows leave")
    refused = farm.post(f"/readings/{first.pk}/take-back/", {"once": "one"})
    assert (refused.status_code, refusals(refused)) == (
        422, [f"Later entries rest on this one: {words}. Take those back first."],
    )  # fmt: skip
    for entry in (second, first):
        done = press(farm, f"/readings/{entry.pk}/take-back/")
        assert said_in(done) == f"Taken back: {entry.said}"
    assert (Farm.objects.count(), Pick.objects.count(), Entry.objects.filter(job="undo").count()) == (0, 0, 2)
    assert [plain(one).endswith("no longer counts") for one in book_of(farm.get("/day-book/"))] == [
        False, False, True, True,
    ]  # fmt: skip
    assert farm.get(f"/readings/{first.pk + 1}/take-back/").status_code == 404  # a row of it


def book_of(page):
    return page.content.decode().partition('<ol class="book"')[2].partition("</ol>")[0].split("<li>")[1:]


@pytest.mark.parametrize("readings", [1, 3])
def test_the_page_asks_the_database_as_often_for_one_reading_as_for_three(
    farm, tmp_path, django_assert_num_queries, readings
):
    for number in range(1, readings):
        walk = write_only(tmp_path / f"more {number}", walks=f"planting,day,ready\nP-1,2026-05-02,{number}")
        press(farm, drop(farm, walk)["Location"])
    with django_assert_num_queries(5):
        farm.get("/sheets/")
