"""One sentence for each advice."""

from dataclasses import replace

import pytest

from farmops.core.demand import Reason
from farmops.planning.reasons import amount_in_words, reason_in_words, reason_sentence
from tests.core.demand.notebooks import advice

REASON = Reason(
    code="often ran out",
    mean=24.4,
    mean_low=19.6,
    mean_high=30.2,
    days=9,
    ran_out=6,
    timed=6,
    untimed=0,
    critical_ratio=0.72,
    carried_in=0,
    weather="",
    cap=None,
    carry_use=None,
    most_brought=20,
    total=29,
)
SENTENCES = {
    "nothing to earn": "Bring none: at this price one earns no more than it costs.",
    "hardly sells": ("Hardly any sell here (about 24 a day over 9 days), so 29 are enough; think of dropping it."),
    "capped": (
        "Too few days are known to trust a guess this high, so no more than 60:"
        " three times the most you brought or guessed."
    ),
    "fall-back": ("The full reckoning failed, so this leans on a plain weighted average: about 24 a day (20 to 30)."),
    "similar items": (
        "No market day of it is known yet: about 24 a day (20 to 30) is borrowed from your other crops,"
        " and your own guess would be better."
    ),
    "guess": (
        "From your own guess and your other crops, about 24 a day (20 to 30); the first market days will tell more."
    ),
    "few days": ("Only a few days of it are known, so it leans on your other crops: about 24 a day (20 to 30)."),
    "other markets": ("It has not been to this market yet: about 24 a day (20 to 30), from your other markets."),
    "mostly untimed": (
        "It ran out on 6 of 9 days and mostly nobody noted when, so about 24 a day is unsure (20 to 30);"
        " noting the time would settle it."
    ),
    "often ran out": (
        "It ran out on 6 of 9 days, so more was wanted than sold: about 24 a day (20 to 30),"
        " and 29 last on about 7 of 10 days."
    ),
    "sometimes ran out": (
        "About 24 a day are wanted (20 to 30; it ran out on 6 of 9 days), and 29 last on about 7 of 10 days."
    ),
    "never ran out": (
        "About 24 a day are wanted (20 to 30; it never ran out in 9 days), and 29 last on about 7 of 10 days."
    ),
}


def test_further_facts_are_added():
    more = replace(REASON, code="never ran out", ran_out=0, weather="rain", carry_use=0.8, carried_in=5)
    assert reason_in_words(more) == (
        "About 24 a day are wanted (20 to 30; it never ran out in 9 days), and 29 last on about 7 of 10 days; rain is"
        " counted in; what comes back can be sold once more; 5 in hand are taken off."
    )


@pytest.mark.parametrize(("code", "sentence"), SENTENCES.items(), ids=SENTENCES)
def test_every_code_has_a_sentence(code, sentence):
    assert reason_in_words(replace(REASON, code=code, cap=60)) == sentence


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("hardly sells", "about 24 a day over 1 day)"),
        ("mostly untimed", "It ran out on 1 of 1 day and"),
        ("often ran out", "It ran out on 1 of 1 day, so"),
        ("sometimes ran out", "it ran out on 1 of 1 day)"),
        ("never ran out", "it never ran out in 1 day)"),
    ],
)
def test_one_day_is_said_as_one(code, words):
    assert words in reason_in_words(replace(REASON, code=code, days=1, ran_out=1))


def test_no_market_day_at_all_is_no_failure():
    assert reason_in_words(replace(REASON, code="fall-back", days=0)) == (
        "No market day is known yet: about 24 a day (20 to 30) is only a start, and your own guess would be better."
    )


@pytest.mark.parametrize(
    ("steps", "step", "words"), [(24.4, 1.0, "24"), (3.26, 1.0, "3.3"), (4.0, 1.0, "4"), (13.0, 0.25, "3.25")]
)
def test_amounts(steps, step, words):
    assert amount_in_words(steps, step) == words


def test_pounds_are_said_in_pounds():
    assert reason_in_words(REASON, step=0.25) == (
        "It ran out on 6 of 9 days, so more was wanted than sold: about 6.1 a day (4.9 to 7.55), and 7.25 last on"
        " about 7 of 10 days."
    )


def test_of_an_advice():
    found = advice([])
    assert found.reason.code == "similar items"
    assert reason_sentence(found) == reason_in_words(found.reason)
