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
CODES = (
    "nothing to earn,hardly sells,capped,fall-back,similar items,guess,few days,other markets,mostly untimed,"
    "often ran out,sometimes ran out,never ran out"
).split(",")


def test_a_whole_sentence():
    assert reason_in_words(REASON) == (
        "It ran out on 6 of 9 days, so more was wanted than sold: about 24 a day (20 to 30), and 29 last on about 7"
        " days of 10."
    )


def test_further_facts_are_added():
    more = replace(REASON, code="never ran out", ran_out=0, weather="rain", carry_use=0.8, carried_in=5)
    assert reason_in_words(more) == (
        "About 24 a day are wanted (20 to 30; it never ran out in 9 days), and 29 last on about 7 days of 10; rain is"
        " counted in; what comes back can be sold once more; 5 in hand are taken off."
    )


@pytest.mark.parametrize("code", CODES)
def test_every_code_has_a_sentence(code):
    sentence = reason_in_words(replace(REASON, code=code, cap=60))
    assert sentence.endswith(".")
    assert "%(" not in sentence


@pytest.mark.parametrize(
    ("steps", "step", "words"), [(24.4, 1.0, "24"), (3.26, 1.0, "3.3"), (4.0, 1.0, "4"), (13.0, 0.25, "3.25")]
)
def test_amounts(steps, step, words):
    assert amount_in_words(steps, step) == words


def test_pounds_are_said_in_pounds():
    assert "about 6.1 a day (4.9 to 7.55), and 7.25 last" in reason_in_words(REASON, step=0.25)


def test_of_an_advice():
    found = advice([])
    assert reason_sentence(found) == reason_in_words(found.reason)
    assert "borrowed from your other crops" in reason_sentence(found)
