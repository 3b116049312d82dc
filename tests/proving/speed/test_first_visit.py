"""What comes over the air with a page."""

import pytest

from farmops.proving.speed.first_visit import first_visit, names_in
from tests.proving.speed.browsers import browsers


@pytest.mark.django_db
def test_a_page_comes_with_every_file_it_names(phone_client, office_client):
    phone = browsers(phone_client, office_client)["phone"]
    visit = first_visit(phone, "/day-book/")
    assert visit.elsewhere == ()
    assert set(visit.bytes_of) == {
        "/day-book/", "/static/mark.svg", "/static/farm.css", "/static/django_htmx/htmx-2.min.js", "/static/farm.js",
    }  # fmt: skip
    assert visit.total == sum(visit.bytes_of.values()) > visit.bytes_of["/day-book/"] > 1000
    with pytest.raises(ValueError, match="answered with 404"):
        first_visit(phone, "/static/not-there.css")


def test_names_in_pages_and_styles():
    page = '<link href="a.css"><a href="elsewhere.html"><script src="https://far.example/b.js"></script><img src=c.png>'
    assert names_in(page, "text/html") == ["a.css", "https://far.example/b.js", "c.png"]
    assert names_in("b { src: url('d.woff2') } c { d: url(e.svg) }", "text/css") == ["d.woff2", "e.svg"]
