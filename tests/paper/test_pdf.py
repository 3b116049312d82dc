"""Papers use only the product's own files, and their letters are really in the PDF."""

from io import BytesIO

import pypdf
import pytest

from farmops.paper.pdf import _static_file, pdf_engine, to_pdf


def test_the_engine_is_there_where_the_tests_run():
    assert pdf_engine() is not None


def test_a_page_becomes_a_pdf_with_its_text_and_the_shipped_typeface():
    html = '<link rel="stylesheet" href="/static/paper.css"><p>Bring 65 × ½ lb – “crème” ≤ 30 °C</p>'
    page = pypdf.PdfReader(BytesIO(to_pdf(html))).pages[0]
    assert page.extract_text().split() == [
        "Bring",
        "65",
        "×",
        "½",
        "lb",
        "–",
        "“crème”",
        "≤",
        "30",
        "°C",
        "1",
        "/",
        "1",
    ]
    fonts = {font.get_object()["/BaseFont"] for font in page["/Resources"]["/Font"].values()}
    assert {name.split("+")[-1] for name in fonts} == {"Farm-Paper"}


@pytest.mark.parametrize(
    "url",
    [
        "https://example.org/x.css",
        "file:///etc/passwd",
        "http://papers.invalid/static/../manage.py",
        "http://papers.invalid/x",
    ],
)
def test_nothing_else_is_fetched(url):
    with pytest.raises(ValueError, match="papers use only the product's own files"):
        _static_file(url)
