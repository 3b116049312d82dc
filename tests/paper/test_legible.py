"""Signs that the papers' typeface has or has not."""

import pytest

from farmops.paper.legible import legible


@pytest.mark.case("P02")
def test_every_sign_of_the_case_is_drawn_but_the_emoji():
    # WeasyPrint #1810, #1182, #1038, #677, #314.
    assert legible("☐ ✓ ½ ° é ñ ł ’ — ﬁ 30 °C 🥬") == ("☐ ✓ ½ ° é ñ ł ’ — ﬁ 30 °C □?", ("🥬",))


def test_letters_in_two_signs_become_one():
    assert legible("Cafe\u0301") == ("Café", ())


def test_marks_that_nobody_sees_are_left_out():
    assert legible("N\u200b-1 ❤\ufe0f") == legible("N-1 ❤")
