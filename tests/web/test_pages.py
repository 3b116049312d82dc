"""A page where a page is wanted, a fragment where htmx asks for one."""

import pytest
from django.test import RequestFactory

from farmops.web.pages import wants_fragment


@pytest.mark.parametrize(
    ("headers", "expected"),
    [
        ({}, False),
        ({"HX-Request": "true"}, True),
        ({"HX-Request": "true", "HX-Boosted": "true"}, False),
        ({"HX-Request": "true", "HX-History-Restore-Request": "true"}, False),
    ],
    ids=["plain", "htmx", "boosted", "history"],
)
def test_wants_fragment(headers, expected):
    assert wants_fragment(RequestFactory().get("/", headers=headers)) is expected
