"""The one wording of a wait."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from farmops.waiting.wait_words import wait_in_words

UNTIL = datetime(2026, 9, 10, 20, 30, tzinfo=UTC)  # 16:30 in New York


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"until": UNTIL}, "Do not cut P-1 Genovese before Thu 10 Sep 2026, 16:30: soap"),
        ({"until": UNTIL, "spaces": ["F-7"]}, "Do not cut P-1 Genovese in F-7 before Thu 10 Sep 2026, 16:30: soap"),
        ({"until": None, "spaces": ["F-7", "F-8"]}, "Do not cut P-1 Genovese in F-7, F-8 until it is lifted: soap"),
        (
            {"until": None, "is_own": False},
            "Do not cut P-1 Genovese: soap, days to wait not noted; read the label first",
        ),
        ({"until": UNTIL, "reason": ""}, "Do not cut P-1 Genovese before Thu 10 Sep 2026, 16:30: ?"),
    ],
    ids=["all of it", "one place", "until lifted", "label not known", "no reason noted"],
)
def test_it_says_which_plants_until_when_and_why(told, words):
    facts = {"reason": "soap", "is_own": True, "zone": ZoneInfo("America/New_York"), **told}
    assert wait_in_words("P-1 Genovese", **facts) == words
