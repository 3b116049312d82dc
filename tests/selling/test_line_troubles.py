"""What is wrong with single lines is told at them, all at once."""

import pytest

from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.line_troubles import Troubles, each_line, few_of
from tests.selling.market import a_line, an_item

pytestmark = pytest.mark.django_db


def three_lines():
    return [a_line(an_item(name)) for name in ("basil", "chard", "dill")]


def refuse(line):
    raise Refused("cannot be read.")


def test_what_is_read_stands_by_its_line():
    lines = three_lines()
    assert each_line(lines, lambda line: line.item.name) == dict(
        zip([line.pk for line in lines], ["basil", "chard", "dill"], strict=True)
    )


def test_all_that_cannot_be_read_are_told_at_once_and_before_any_question():
    lines = three_lines()

    def read(line):
        if line.item.name == "basil":
            raise NeedsYes("Is 0 meant?", question="zero")
        refuse(line)

    with pytest.raises(Refused, match=r"^chard: cannot be read\. dill: cannot be read\.$") as refused:
        each_line(lines, read)
    assert refused.value.offer == {"lines": {line.pk: "cannot be read." for line in lines[1:]}}
    with pytest.raises(Refused, match=r"^3 items could not be read: each tells why at its line\.$"):
        each_line(lines, refuse)


def test_of_questions_the_first_is_asked():
    lines = three_lines()

    def ask(line):
        raise NeedsYes("Is 0 meant?", question=f"zero-{line.pk}", field="amount")

    with pytest.raises(NeedsYes, match=r"^basil: Is 0 meant\?$") as asked:
        each_line(lines, ask)
    assert (asked.value.question, asked.value.field, asked.value.offer) == (
        f"zero-{lines[0].pk}",
        "amount",
        {"lines": {lines[0].pk: "Is 0 meant?"}},
    )


def test_troubles_are_noted_while_the_deed_is_tried():
    (line, *_rest), troubles = three_lines(), Troubles()
    with pytest.raises(Refused):
        troubles.noting(lambda: each_line([line], refuse))()
    assert (dict(troubles), troubles.noting(lambda: 5)()) == ({line.pk: "cannot be read."}, 5)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, ""),
        ({"basil": "30 of 14", "chard": "7 of 0"}, "basil 30 of 14, chard 7 of 0"),
        ({"a": "1", "b": "2", "c": "3"}, "3 items, each told at its line"),
    ],
)
def test_few_are_named_and_many_counted(said, words):
    assert few_of(said) == words
