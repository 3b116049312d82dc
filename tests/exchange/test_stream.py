"""One line in, one line out."""

import json
import random
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import farmops.exchange
from farmops.exchange.stream import answer

SCHEMA = jsonschema.Draft202012Validator(
    json.loads((Path(farmops.exchange.__file__).parent / "schemas" / "stream.json").read_text(encoding="utf-8"))
)
FIRST = date(2026, 4, 4)
BIG = "1" + "0" * 17 + "..." + "0" * 19  # as an error shows ten to the four hundredth
SOLD = [13, 27, 19, 22, 9, 24, 31, 17, 20, 18]


def record(week: int = 0, **changes: Any) -> dict[str, Any]:
    row = {
        "date": (FIRST + timedelta(weeks=week)).isoformat(),
        "market": "Saturday",
        "opens": "08:00",
        "closes": "13:00",
        "item": "basil",
        "category": "herbs",
        "brought": 40,
        "carried_in": 0,
        "sold": SOLD[week % 10],
        "left": 40 - SOLD[week % 10],
        "sold_out": False,
        "sold_out_at": None,
        "price": 3.0,
        "weather": None,
        "cancelled": False,
    }
    return row | changes


def ask(**changes: Any) -> dict[str, Any]:
    row = {
        "date": "2026-06-13",
        "market": "Saturday",
        "opens": "08:00",
        "closes": "13:00",
        "item": "basil",
        "category": "herbs",
        "price": 3.0,
        "weather": None,
        "unit_cost": 0.75,
        "leftover_value": 0.0,
        "shelf_markets": 1,
        "carry_loss": 0.0,
        "carried_in": 0,
        "guess": None,
    }
    return row | changes


def backwards(said: dict[str, Any]) -> dict[str, Any]:
    """The same answer to the asks in opposite order."""
    return {key: value[::-1] if isinstance(value, list) else value for key, value in said.items()}


def notebook() -> list[dict[str, Any]]:
    return [record(week) for week in range(10)]


def test_an_answer_has_a_number_a_mean_and_a_reason_for_each_ask():
    line = {"records": notebook(), "asks": [ask(), ask(item="mint"), ask(carried_in=10)]}
    said = answer(line)
    assert sorted(said) == ["bring", "format", "mean", "reason"]
    SCHEMA.validate(said)
    assert [type(one) for one in said["bring"]] == [int, int, int]
    assert said["bring"][2] == said["bring"][0] - 10
    assert said["mean"][0] == pytest.approx(20.0, abs=2.5)
    assert all(reason.endswith(".") and "%" not in reason for reason in said["reason"])
    assert json.loads(json.dumps(said, allow_nan=False)) == said


def test_order_of_records_and_asks_does_not_matter():
    records = [
        *notebook(),
        *(
            record(week, item="mint", brought=12, sold=12, left=0, sold_out=None, sold_out_at="10:30")
            for week in range(10)
        ),
    ]
    asks = [ask(item="basil"), ask(item="mint"), ask(item="dill", guess=9)]
    here = answer({"records": records, "asks": asks})
    random.Random(5).shuffle(records)
    there = answer({"records": records, "asks": asks[::-1]})
    assert there == backwards(here)


def test_called_off_days_and_unknown_keys_are_passed_over():
    called_off = record(4, cancelled=True, brought=None, sold=None)
    assert answer({"records": [*notebook(), called_off], "asks": [ask()], "farm": "x"}) == answer(
        {"records": [one | {"mood": 1} for one in notebook()], "asks": [ask() | {"colour": "green"}]}
    )


def test_sold_out_is_more_than_sold():
    """Half of the stock each week, gone by half past nine: more was wanted than sold."""
    gone = [record(week, brought=10, sold=10, left=0, sold_out=True, sold_out_at="09:30") for week in range(10)]
    said = answer({"records": gone, "asks": [ask()]})
    assert said["mean"][0] > 20
    assert "10 of 10 days" in said["reason"][0]


def test_unsaid_sold_out_follows_from_nothing_left():
    plain = [record(week, brought=10, sold=10, left=0, sold_out=None) for week in range(10)]
    said = [record(week, brought=10, sold=10, left=0, sold_out=True) for week in range(10)]
    assert answer({"records": plain, "asks": [ask()]}) == answer({"records": said, "asks": [ask()]})


def test_hours_have_defaults():
    bare = [{key: value for key, value in one.items() if key not in {"opens", "closes"}} for one in notebook()]
    assert answer({"records": bare, "asks": [ask()]}) == answer({"records": notebook(), "asks": [ask()]})


def test_first_day_with_only_a_guess():
    said = answer({"records": [], "asks": [ask(guess=30), ask(item="mint")]})
    assert 20 <= said["mean"][0] <= 40
    assert answer({"asks": [ask()]})["bring"][0] >= 0
    assert answer({"records": [], "asks": []}) == {"format": 1, "bring": [], "mean": [], "reason": []}


@pytest.mark.parametrize(
    "own",
    [
        [record(brought=100_000, sold=100_000, left=0, sold_out=True, sold_out_at="08:01")],
        [record(week, brought=100_000, sold=100_000, left=0, sold_out=True) for week in range(10)],
        [record(week, brought=1, sold=0, left=1, price=0.0001) for week in range(10)],
        [record(sold=None, left=None)],
        [record(brought=0, sold=0, left=0, sold_out=True)],
        [record(date="1900-01-06"), record(date="2200-01-04")],
        [record(opens="00:00", closes="00:01", sold=40, left=0, sold_out=True, sold_out_at=["00:00", "00:01"])],
        [record() for _ in range(5)],
    ],
)
def test_odd_but_possible_lines_get_whole_numbers(own):
    said = answer({"records": own, "asks": [ask(), ask(date="9999-12-31"), ask(item="mint", price=0, guess=0)]})
    assert [type(one) for one in said["bring"]] == [int, int, int]
    assert all(0 <= one <= 1_000_000 for one in said["mean"])


@pytest.mark.parametrize(
    ("line", "error"),
    [
        ([], 'A line must be an object with "records" and "asks".'),
        ({"records": {}, "asks": 3}, '"records" and "asks" must be lists.'),
        ({"records": [1], "asks": []}, "records[0]: must be an object."),
        ({"records": [record(brought=None)], "asks": []}, 'records[0]: "brought" is missing.'),
        ({"records": [record(sold=41)], "asks": []}, "records[0]: sold 41 of 40: more than there was."),
        ({"records": [record(brought=-1)], "asks": []}, 'records[0]: "brought" must lie between 0 and 100000, got -1.'),
        ({"records": [record(sold=1.5)], "asks": []}, 'records[0]: "sold" must be a whole number, got 1.5.'),
        ({"records": [record(left=True)], "asks": []}, 'records[0]: "left" must be a number, got True.'),
        (
            {"records": [record(date="4.4.26")], "asks": []},
            "records[0]: \"date\" must be like 2026-05-02, got '4.4.26'.",
        ),
        ({"records": [record(date=7)], "asks": []}, 'records[0]: "date" must be like 2026-05-02, got 7.'),
        (
            {"records": [record(sold_out_at="9.30")], "asks": []},
            "records[0]: \"sold_out_at\" must be a time like 09:45, got '9.30'.",
        ),
        ({"records": [record(closes="07:00")], "asks": []}, "records[0]: the market must close after it opens."),
        ({"records": [record(item=" ")], "asks": []}, "records[0]: \"item\" must be a word, got ' '."),
        (
            {"records": [record(sold_out="yes")], "asks": []},
            "records[0]: \"sold_out\" must be true, false or null, got 'yes'.",
        ),
        ({"records": False, "asks": []}, '"records" and "asks" must be lists.'),
        ({"records": [record(weather=["rain"])], "asks": []}, "records[0]: \"weather\" must be a word, got ['rain']."),
        ({"asks": [ask(weather={})]}, 'asks[0]: "weather" must be a word, got {}.'),
        ({"asks": [ask(guess=10**400)]}, f'asks[0]: "guess" must lie between 0 and 100000, got {BIG}.'),
        (
            {"records": [record(sold_out=True, sold_out_at="07:59")], "asks": []},
            'records[0]: "sold_out_at" lies before the market opens or after it closes.',
        ),
        (
            {"records": [record(sold_out=True, sold_out_at=["09:00", "13:01"])], "asks": []},
            'records[0]: "sold_out_at" lies before the market opens or after it closes.',
        ),
        (
            {"records": [record(sold_out=False, sold_out_at="09:00")], "asks": []},
            'records[0]: "sold_out" is false, yet "sold_out_at" gives a time.',
        ),
        (
            {"records": [record(carried_in=2, sold=None, left=43)], "asks": []},
            "records[0]: left 43 of 42: more than there was.",
        ),
        (
            {"records": [record(carried_in=2, sold=20, left=23)], "asks": []},
            "records[0]: sold 20 and left 23 of 42: more than there was.",
        ),
        (
            {"asks": [ask(guess=9), ask(item="mint", guess=3), ask(guess=30, date="2026-06-20")]},
            'asks[2]: "guess" is 30, but asks[0] guesses 9 for the same.',
        ),
        ({"asks": [ask(price=None)]}, 'asks[0]: "price" is missing.'),
        ({"asks": [ask(price=float("nan"))]}, 'asks[0]: "price" must be a number, got nan.'),
        ({"asks": [ask(), ask(carry_loss=2)]}, 'asks[1]: "carry_loss" must lie between 0 and 1, got 2.'),
    ],
)
def test_faults_are_said_in_plain_words(line, error):
    assert answer(line) == {"format": 1, "error": error}
    SCHEMA.validate(answer(line))


JUNK = (None, True, False, 0, -1, 1.5, 10**400, float("inf"), "", "x" * 5_000, [], ["rain"], [[]], {}, {"a": 1})


@pytest.mark.parametrize("key", sorted(ask().keys() | record().keys()))
def test_any_value_in_any_place_is_answered_or_refused_in_few_words(key):
    for value in JUNK:
        for line in ({"records": [record(**{key: value})], "asks": [ask()]}, {"asks": [ask(**{key: value})]}):
            said = answer(line)
            SCHEMA.validate(said)
            assert len(said.get("error", "")) <= 200


def test_less_sold_and_left_than_there_was_was_given_away():
    said = answer({"records": [record(brought=40, sold=20, left=10)], "asks": [ask()]})
    assert said == answer({"records": [record(brought=30, sold=20, left=10)], "asks": [ask()]})
    assert said["mean"] == [pytest.approx(20.0, abs=2.5)]


def test_the_same_guess_for_two_days_is_one_guess_and_order_does_not_matter():
    asks = [ask(guess=9), ask(date="2026-06-20", guess=9.0), ask(item="mint", guess=30)]
    here, there = answer({"asks": asks}), answer({"asks": asks[::-1]})
    assert there == backwards(here)


def test_nothing_known_is_said_as_that_and_not_as_a_failure():
    assert answer({"asks": [ask()]})["reason"] == [
        "No market day is known yet: about 10 a day (4.1 to 25) is only a start, and your own guess would be better."
    ]


def test_the_first_day_of_all_has_no_day_before_it():
    said = answer({"asks": [ask(date="0001-01-01")]})
    assert said == answer({"asks": [ask()]})
    assert said["bring"] == [16]  # nothing known: about 10 a day, most unsure


def test_the_schema_refuses_what_is_no_answer():
    """A schema that let everything through would say nothing."""
    SCHEMA.check_schema(SCHEMA.schema)
    good = answer({"records": notebook(), "asks": [ask()]})
    spoilt = [{**good, "format": 2}, {**good, "error": "no"}, {**good, "bring": [1.5]}, {"error": "no"}, {"format": 1}]
    assert [SCHEMA.is_valid(one) for one in spoilt] == [False] * 5
