"""The notebook's addresses: what each answers, and that whatever is dropped in gets a plain word."""

import io
import re
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from farmops.exchange.desk import desk, key_of
from farmops.exchange.models import KeptNotebook
from farmops.exchange.views.start import DEMO_NOTEBOOK
from tests.paper.printed import SIZES, too_near, words_of

pytestmark = pytest.mark.django_db

PLAIN = "Date,Market,Item,Brought,Left over,Ran out at,Price\n" + "".join(
    f"2026-05-{day:02d},Town,Basil,40,{left},{out},2.50\n"
    for day, left, out in [(2, 0, "9:30"), (9, 4, ""), (16, 0, "")]
)


def drop(client, content: bytes, name: str = "market.csv", **headers):
    return client.post(reverse("notebooks"), {"sheet": SimpleUploadedFile(name, content)}, headers=headers)


def words(response) -> str:
    """The page's text without marks, spaces folded."""
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


@pytest.fixture
def address(client) -> str:
    response = client.post(reverse("notebooks"), {"pasted": PLAIN})
    assert response.status_code == 302
    return response["Location"]


def test_a_sheet_has_its_own_address(client, address):
    assert address == reverse("notebook", args=[key_of(PLAIN)])
    assert re.findall(
        r"2 May 2026 to 16 May 2026, 3 market days, 1 item, 3 rows, Pasted on Mon 4 May 2026",
        words(client.get(address)),
    )


def test_htmx_is_sent_on_with_a_whole_page(client):
    response = drop(client, PLAIN.encode(), **{"HX-Request": "true"})
    assert (response.status_code, response["HX-Redirect"]) == (200, reverse("notebook", args=[key_of(PLAIN)]))


def test_a_fragment_is_only_the_fragment_and_says_what_it_depends_on(client, address):
    whole, part = client.get(address), client.get(address, headers={"HX-Request": "true"})
    restored = client.get(address, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert [page.content.lstrip()[:9] for page in (whole, part, restored)] == [b"<!doctype", b"<form id=", b"<!doctype"]
    assert {*part["Vary"].split(", ")} >= {"HX-Request", "HX-History-Restore-Request"}


def test_a_changed_price_is_read_in_the_words_of_the_page(client, address):
    page = client.get(address, {"f.cost.Basil": "2,25", "f.guess.4.Town.Basil": "70"}).context["page"]
    line = page.prices[0]
    assert (line.cost.text, line.cost.trouble) == ("2,25", "")
    dear = page.markets[0].items[0]
    cheap = (
        client.get(address, {"f.cost.Basil": "0.25", "f.guess.4.Town.Basil": "70"}).context["page"].markets[0].items[0]
    )
    assert int(dear.bring) < int(cheap.bring)
    assert [line.value for line in dear.sum if line.words.startswith("Share of days")] == ["10%"]  # (2.50-2.25)/2.50


@pytest.mark.parametrize("kind", ["notebook-pdf", "notebook-paper"])
def test_the_paper_says_what_the_page_says(client, address, kind):
    page = client.get(address).context["page"]
    response = client.get(reverse(kind, args=[page.key]))
    text = " ".join(words_of(response)) if kind == "notebook-pdf" else words(response)
    item = page.markets[0].items[0]
    wanted = [page.running_out.shown, item.running_out.shown, item.ran_out, item.bring]
    assert [figure for figure in wanted if figure not in " ".join(text.split())] == []


@pytest.mark.parametrize("size", SIZES)
def test_printed_on_the_other_paper_no_line_is_lost(client, address, size):
    assert too_near(client.get(reverse("notebook-pdf", args=[key_of(PLAIN)]), {"paper": size}), size) == []


def test_without_the_pdf_libraries_the_same_page_is_ready_to_print(client, address, monkeypatch):
    monkeypatch.setattr("farmops.paper.print_page.pdf_engine", lambda: None)
    response = client.get(reverse("notebook-pdf", args=[key_of(PLAIN)]))
    assert response["Content-Type"] == "text/html; charset=utf-8"
    assert len(re.findall(r"libpangoft2-1\.0-0|brew install pango|pacman", response.content.decode())) == 1


def test_what_is_no_longer_in_memory_is_asked_for_again_with_the_answers(client, address):
    desk.forget(key_of(PLAIN))
    page = client.get(address, {"f.cost": "40%"})
    assert re.findall(r"<h1>([^<]+)</h1>", page.content.decode()) == ["Drop the sheet in once more"]
    again = client.post(reverse("notebooks"), {"pasted": PLAIN, "answers": page.context["form"]["answers"].value()})
    assert again["Location"] == f"{address}?f.cost=40%25"


def test_nothing_is_stored_unless_asked_for(client, address):
    client.get(address)
    assert KeptNotebook.objects.count() == 0
    client.post(reverse("notebook-kept", args=[key_of(PLAIN)]), {"do": "keep", "answers": "f.cost=40%25"})
    assert list(KeptNotebook.objects.values_list("key", "answers")) == [(key_of(PLAIN), "f.cost=40%25")]
    desk.forget(key_of(PLAIN))
    assert client.get(address).context["page"].is_kept is True
    client.post(reverse("notebook-kept", args=[key_of(PLAIN)]), {"do": "forget"})
    assert KeptNotebook.objects.count() == 0


@pytest.mark.parametrize("kept", [1, 3])
def test_the_first_screen_takes_the_same_queries_for_one_and_three(client, django_assert_num_queries, kept):
    for number in range(kept):
        KeptNotebook.objects.create(
            key=f"k{number}", name="n", content=b"", is_text=True, kept_at="2026-09-07T09:00:00Z"
        )
    with django_assert_num_queries(3):
        client.get(reverse("start"))


def zip_bomb() -> bytes:
    book = io.BytesIO()
    with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 300_000_000)
    return book.getvalue()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.csv", b""),
        ("spaces.csv", b"  \n \n"),
        ("picture.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40),
        ("noise.xlsx", bytes(range(256)) * 40),
        ("cut.xlsx", b"PK\x03\x04 and then nothing"),
        ("bomb.xlsx", zip_bomb()),
        ("words.csv", b"just a line of words\n"),
        ("large.csv", b"Date,Item,Brought,Left over\n" + b"2026-05-02,Basil,40,0\n" * 500_000),
    ],
    ids=["empty", "spaces", "picture", "noise", "cut", "bomb", "words", "11-MB"],
)
def test_whatever_is_dropped_in_gets_a_plain_word(client, name, content):
    response = drop(client, content, name)
    assert response.status_code == 422
    said = re.findall(r'<div class="refusal" role="alert".*?</div>', response.content.decode(), re.DOTALL)
    assert len(said) == 1
    assert re.findall(r"Traceback|Error\b|Exception|0x|None", said[0]) == []
    assert len(re.sub(r"<[^>]+>|\s+", " ", said[0]).split()) >= 6


def test_a_formula_in_the_sheet_is_text_and_never_a_formula_or_a_tag(client):
    rows = PLAIN.replace("Basil", '"=HYPERLINK(""http://x"",""free"")<script>alert(1)</script>"')
    response = client.get(client.post(reverse("notebooks"), {"pasted": rows})["Location"])
    assert response.status_code == 200
    assert response.content.count(b"<script>alert") == 0


def test_absurd_numbers_are_asked_about_and_nothing_is_worked_out(client):
    response = client.get(
        client.post(reverse("notebooks"), {"pasted": PLAIN.replace(",40,4,", ",4000000000,4,")})["Location"]
    )
    assert response.templates[0].name == "exchange/questions.html"


def test_the_demo_is_read_without_a_question(client):
    assert DEMO_NOTEBOOK.exists()
    response = client.get(client.get(reverse("notebook-demo"))["Location"])
    assert response.context["page"].item_days > 300


def test_ten_thousand_rows_are_read(client):
    head, *_rest = PLAIN.splitlines()
    rows = [
        f"{year}-{month:02d}-{day:02d},Town {market},Item {item},{20 + item},{item % 3 * 2},,2.50"
        for year in range(2024, 2027)
        for month in range(1, 12)
        for day in range(1, 29, 3)
        for market in range(2)
        for item in range(16)
    ][:10_000]
    response = client.get(client.post(reverse("notebooks"), {"pasted": "\n".join([head, *rows])})["Location"])
    assert response.context["page"].item_days == 10_000


def test_a_kept_pasted_notebook_has_a_name_to_press(client, address):
    client.post(reverse("notebook-kept", args=[key_of(PLAIN)]), {"do": "keep", "answers": ""})
    assert re.findall(r">(Pasted on [^<]+)</a>", client.get("/").content.decode()) == ["Pasted on Mon 4 May 2026"]


def test_keeping_what_is_no_longer_in_memory_says_so(client, address):
    desk.forget(key_of(PLAIN))
    response = client.post(reverse("notebook-kept", args=[key_of(PLAIN)]), {"do": "keep"}, follow=True)
    assert re.findall(r'<p class="message error">([^<]+)</p>', response.content.decode()) == [
        "It was not kept, because it is no longer in memory: drop it in once more."
    ]
    assert KeptNotebook.objects.count() == 0


def test_long_answers_are_kept_whole(client, address):
    answers = "f.cost=40%25&" + "&".join(f"f.cost.item{number}=1.20" for number in range(2_000))
    response = client.post(reverse("notebook-kept", args=[key_of(PLAIN)]), {"do": "keep", "answers": answers})
    assert response.status_code == 302
    assert KeptNotebook.objects.get().answers == answers


def test_far_too_many_markets_are_a_wrong_column(client):
    rows = "".join(f"2026-05-02,Note {number},Basil,40,4,,2.50\n" for number in range(200))
    response = client.get(
        client.post(reverse("notebooks"), {"pasted": PLAIN.splitlines()[0] + "\n" + rows})["Location"]
    )
    assert response.status_code == 422
    assert re.findall(r"<strong>([^<]+)</strong>", response.content.decode()) == [
        "The sheet names 200 markets, such as “Note 0”, “Note 1”, “Note 10”."
    ]


def test_an_empty_value_never_wipes_an_answer(client, address):
    page = client.get(f"{address}?f.cost=75%25&f.cost=&column.price=6&column.price=").context["page"]
    assert page.general[0].text == "75%"
    assert [column.chosen for column in page.columns if column.field == "price"] == ["6"]


def test_every_place_has_its_own_guess(client):
    rows = "".join(
        f"2026-05-02,{market},{item},40,4,,2.50\n"
        for market, item in [("North", "Side.Basil"), ("North.Side", "Basil")]
    )
    address = client.post(reverse("notebooks"), {"pasted": PLAIN.splitlines()[0] + "\n" + rows})["Location"]
    page = client.get(address).context["page"]
    fields = (
        [item.guess for market in page.markets for item in market.items]
        + [field for line in page.prices for field in (line.price, line.cost, line.leftover)]
        + list(page.general)
    )
    assert len({field.name for field in fields}) == len({field.id for field in fields}) == len(fields)


def test_the_demo_is_offered_first_when_it_was_asked_for(client, settings):
    plain = client.get("/")
    settings.DEMO = True
    demo = client.get("/")
    assert [page.content.count(reverse("sowing-demo").encode()) for page in (plain, demo)] == [0, 1]
    assert [page.content.count(reverse("notebook-demo").encode()) for page in (plain, demo)] == [1, 1]
