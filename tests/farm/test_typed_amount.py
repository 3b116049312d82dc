"""Amounts as typed into a form."""

from decimal import Decimal

import pytest

from farmops.farm.typed_amount import amount_of, whole_of
from farmops.journal.refusal import NeedsYes, Refused


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("12,5", "12.5"),
        ("40,00", "40"),
        ("1.250,5", "1250.5"),
        ("1 250,5", "1250.5"),
        ("12.5 lb", "12.5"),
        ("½", "0.5"),
        ("٤٠", "40"),
    ],
)
def test_typed_amounts_are_taken(typed, amount):
    assert amount_of(typed, field="amount").amount == Decimal(amount)


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "words", "offer"),
    [
        ("1,250", "“1,250” can be read two ways: 1.250 or 1250. Type the one you mean.", ["1.250", "1250"]),
        ("1.250", "“1.250” can be read two ways: 1.250 or 1250. Type the one you mean.", ["1.250", "1250"]),
        ("4e1", "“4e1” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz.", []),
        ("-3", "“-3” is less than nothing. To take something back, undo or correct its entry.", []),
        ("", "Type how much; nothing typed is not taken for 0.", []),
    ],
)
def test_what_cannot_be_taken_is_said(typed, words, offer):
    with pytest.raises(Refused) as refused:
        amount_of(typed, field="amount")
    assert (str(refused.value), refused.value.field, refused.value.offer["choices"]) == (words, "amount", offer)


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "words", "question"),
    [
        ("4000", "“4000” is 100 times the usual. Is it meant?", "amount-unusual"),
        ("0", "Nothing at all: is 0 meant?", "amount-zero"),
    ],
)
def test_what_is_odd_is_asked_once(typed, words, question):
    with pytest.raises(NeedsYes) as asked:
        amount_of(typed, field="amount", usual=Decimal(40))
    assert (str(asked.value), asked.value.question) == (words, question)
    assert amount_of(typed, field="amount", usual=Decimal(40), yes=frozenset({question})).amount == Decimal(typed)


def test_nought_is_an_ordinary_answer_where_it_may_be():
    assert whole_of("0", field="home", may_be_zero=True) == 0


def test_a_count_is_whole():
    assert whole_of("24 heads", field="count") == 24
    with pytest.raises(Refused, match=r"“24\.5” is not a whole number\."):
        whole_of("24.5", field="count")
