"""What stands on a paper: its words page by page, its size, and how near its ink comes to the edges."""

from io import BytesIO

import numpy
import pypdf
import pypdfium2

DOTS = 100  # an inch
SIZES = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}  # [pt]


def words_of(response):
    """The words of each page."""
    assert response["Content-Type"] == "application/pdf"
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(response.content)).pages]


def too_near(response, size):
    """Pages of another size, and pages with ink outside 210 × 279.4 mm less 10 mm: lost on the other paper."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(response.content), 1):
        if (round(page.get_width(), 2), round(page.get_height(), 2)) != SIZES[size]:
            found.append((number, "size"))
        ink = numpy.argwhere(page.render(scale=DOTS / 72, grayscale=True).to_numpy().squeeze() < 250) / DOTS * 25.4
        (top, left), (bottom, right) = ink.min(axis=0), ink.max(axis=0)
        if min(top, left) < 10 or right > 210 - 10 or bottom > 279.4 - 10:
            found.append((number, [round(float(side), 1) for side in (left, top, right, bottom)]))
    return found
