"""Signs that the papers' own typeface cannot draw: shown as a box with a question mark instead of nothing at all."""

import functools
import unicodedata
from pathlib import Path

from django.conf import settings

MISSING = "□?"
FONT = Path(settings.BASE_DIR) / "static/fonts/dejavu-sans.woff2"


@functools.cache
def drawn() -> frozenset[str]:
    """Every sign the typeface has."""
    # It comes with the PDF engine, and takes its time to load.
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # the library ships no types

    with TTFont(FONT, lazy=True) as font:
        return frozenset(chr(code) for code in font.getBestCmap())


def legible(text: str) -> tuple[str, tuple[str, ...]]:
    """The text with every sign that can be drawn, and those that could not."""
    whole = unicodedata.normalize("NFC", text)
    strange = {sign for sign in set(whole) if ord(sign) > 126 and sign not in drawn()}
    missing = tuple(sorted(sign for sign in strange if unicodedata.category(sign)[0] not in {"C", "M"}))
    for sign in strange:
        whole = whole.replace(sign, MISSING if sign in missing else "")
    return whole, missing
