import pytest

from farmops.exchange.notebook import Answers
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.names import Names


def names(*spellings):
    found = Names()
    for spelling in spellings:
        found.add(spelling)
    return found


@pytest.mark.case("I05")
def test_case_spaces_and_unicode_forms_are_one_crop():
    """The part that is built: names of crops. Households of members are not."""
    found = names("Kale", "kale ", "KALE", "Kale\u00a0", "Red kale", "Café", "Cafe\u0301")
    assert list(found.kept.values()) == ["Kale", "Red kale", "Café"]
    assert [found.name(text) for text in ("KALE", "Cafe\u0301")] == ["Kale", "Café"]


def test_nothing_is_merged_without_a_yes():
    found = names("Kale", "Red kale", "Green butterhead", "Green buterhead", "Radish", "Radishes")
    questions = Questions(Answers())
    found.suggest("item", "Crop", questions)
    assert [doubt.key for doubt in questions.doubts] == [
        "same.item.green butterhead=green buterhead",
        "same.item.radish=radishes",
    ]
    assert [doubt.default for doubt in questions.doubts] == ["two", "two"]
    assert found.name("Radishes") == "Radishes"
    yes = Questions(Answers.of({"same.item.radish=radishes": "one"}))
    found.suggest("item", "Crop", yes)
    assert (found.name("Radishes"), found.name("Kale"), found.name("Red kale")) == ("Radish", "Kale", "Red kale")


def test_names_with_other_numbers_are_never_alike():
    questions = Questions(Answers())
    names("Mix bag 150", "Mix bag 250").suggest("item", "Crop", questions)
    assert questions.doubts == []


def test_apostrophes_are_one():
    assert list(names("Farmer's mix", "Farmer’s mix").kept.values()) == ["Farmer's mix"]
