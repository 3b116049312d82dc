"""Units as people say them."""

from farmops.farm.unit_words import unit_of_many


def test_many_of_what_is_counted_and_of_what_is_weighed():
    assert [unit_of_many(unit) for unit in ("head", "bunch", "lb", "punnet")] == ["heads", "bunches", "lb", "punnet"]
