"""What a form held, carried on."""

import pytest
from django.http import QueryDict

from farmops.people.kept_form import KeptForm, carried_in, is_from_our_page, kept_from, own_address


def carried(rf, text):
    given = QueryDict(mutable=True)
    given["kept"] = text
    return carried_in(given, rf.get("/"))


def test_everything_typed_is_kept_in_order_but_passwords_and_the_old_key_of_the_page(rf):
    request = rf.post(
        "/plants/4/?x=1",
        {"plants": ["24", "30"], "why": "<b>“frost” & more\n</b>", "csrfmiddlewaretoken": "t", "new_Password": "p"},
    )
    kept = kept_from(request)
    assert kept == KeptForm("/plants/4/?x=1", (("plants", "24"), ("plants", "30"), ("why", "<b>“frost” & more\n</b>")))
    assert carried(rf, kept.text) == kept


def test_a_page_that_was_only_asked_for_carries_nothing(rf):
    assert kept_from(rf.get("/?plants=24")) is None


def test_a_file_is_told_of(rf, tmp_path):
    file = tmp_path / "a.csv"
    file.write_text("a,b")
    with file.open() as opened:
        assert kept_from(rf.post("/sheets/", {"sheet": opened})) == KeptForm("/sheets/", (), had_file=True)


@pytest.mark.parametrize(
    "text",
    ["", "null", "[]", "{", "5", '["https://elsewhere.example/", [], false]', '["//elsewhere.example/", [], false]'],
)
def test_what_is_no_form_of_ours_is_not_carried(rf, text):
    assert carried(rf, text) is None


def test_what_is_shown_leaves_out_what_nobody_typed():
    kept = KeptForm("/", (("once", "k"), ("yes", ""), ("next", "/"), ("plants_lost", "24"), ("why", " ")))
    assert kept.typed == [("plants lost", "24")]


@pytest.mark.parametrize(
    ("address", "found"),
    [
        ("/day-book/?day=2026-05-04", "/day-book/?day=2026-05-04"),
        ("//elsewhere.example/", ""),
        ("/\\elsewhere.example/", ""),
        ("https://elsewhere.example/", ""),
        ("javascript:alert(1)", ""),
        ("day-book/", ""),
        ("", ""),
        (None, ""),
    ],
)
def test_only_an_address_of_ours_is_gone_to(rf, address, found):
    assert own_address(rf.get("/"), address) == found


@pytest.mark.parametrize(
    ("headers", "ours"),
    [
        ({"Origin": "http://testserver"}, True),
        ({"Origin": "http://elsewhere.example"}, False),
        ({"Origin": "null"}, False),
        ({"Sec-Fetch-Site": "same-origin"}, True),
        ({"Sec-Fetch-Site": "cross-site"}, False),
        ({"Origin": "http://elsewhere.example", "Sec-Fetch-Site": "same-origin"}, False),
        ({}, False),
    ],
)
def test_a_form_counts_as_ours_only_when_the_browser_says_so(rf, headers, ours):
    assert is_from_our_page(rf.post("/", headers=headers)) is ours
