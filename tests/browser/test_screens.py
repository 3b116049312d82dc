"""The two screens that journeys are made on are what they say they are, and complaints of a page are heard."""

import pytest

from tests.browser.conftest import _complaint, _foreign

SIZES = "[innerWidth, innerHeight, devicePixelRatio, navigator.maxTouchPoints > 0]"


def test_the_phone_is_a_phone_and_the_laptop_is_not(phone, laptop):
    for page in (phone, laptop):
        page.set_content('<meta name="viewport" content="width=device-width, initial-scale=1">')
    assert phone.evaluate(SIZES) == [360, 740, 2, True]
    assert laptop.evaluate(SIZES) == [1280, 800, 1, False]


def test_what_a_page_complains_of_is_heard(new_context):
    page = new_context().new_page()
    heard = []
    page.on("console", lambda message: heard.extend(_complaint(message)))
    page.evaluate("() => { console.error('no'); console.log('fine'); console.error('a status of 422 (…)') }")
    page.evaluate("1")
    assert heard == ["console: no"]


@pytest.mark.parametrize(
    ("url", "complaints"),
    [
        ("http://localhost:8081/static/a.css", []),
        ("data:image/png;base64,AA", []),
        ("http://example.org/a.js", ["asks elsewhere: http://example.org/a.js"]),
    ],
)
def test_a_page_asks_this_server_alone(url, complaints):
    assert _foreign(url, "http://localhost:8081") == complaints
