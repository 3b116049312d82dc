"""A forecast: where it comes from, what it rests on, and weather that is not known."""

from dataclasses import replace
from datetime import timedelta

import pytest

from farmops.core.demand import Ask, forecast, learn
from tests.core.demand.notebooks import NEXT, TEN, row, similar_items

AS_OF = NEXT - timedelta(days=7)
ASK = Ask(NEXT, "Saturday", "basil", "herbs", price=3.0, unit_cost=0.75)


def own(weeks, **changes):
    return [row(week, brought=45, sold=TEN[week], left=45 - TEN[week], **changes) for week in range(weeks)]


@pytest.mark.parametrize(
    ("weeks", "guess", "origin"),
    [(0, None, "similar items"), (0, 12.0, "guess"), (2, None, "few days"), (10, None, "history")],
)
def test_where_it_comes_from(weeks, guess, origin):
    seen = forecast(learn([*similar_items(), *own(weeks)], as_of=AS_OF), replace(ASK, guess=guess))
    assert (seen.origin, seen.evidence.days, seen.is_pooled) == (origin, weeks, True)


def test_what_it_rests_on():
    out = [row(week, brought=20, sold=20, left=0, ran_out=True, ran_out_at=(600,) if week else ()) for week in range(3)]
    elsewhere = row(3, brought=60, sold=20, left=40, market="Wednesday")
    seen = forecast(learn([*similar_items(), *out, elsewhere], as_of=AS_OF), ASK).evidence
    assert (seen.days, seen.ran_out, seen.timed, seen.untimed, seen.item_days, seen.most_brought) == (3, 3, 2, 1, 4, 60)


def test_weather_nobody_knows_lies_between_dry_and_rain_by_its_chance():
    wet = [row(week, weather="rain", brought=45, sold=8, left=37) for week in (2, 5, 8)]
    dry = [one for one in own(10, weather="dry") if one.day not in {record.day for record in wet}]
    learned = learn([*similar_items(), *dry, *wet], as_of=AS_OF)
    means = {
        name: forecast(learned, replace(ASK, **changes)).mean
        for name, changes in {
            "dry": {"weather": "dry"},
            "never": {"rain_chance": 0.0},
            "half": {"rain_chance": 0.5},
            "rain": {"weather": "rain"},
        }.items()
    }
    assert means["never"] == pytest.approx(means["dry"])
    assert means["half"] == pytest.approx((means["dry"] + means["rain"]) / 2)
    assert means["rain"] < means["dry"]


def test_a_guess_draws_the_mean_towards_it():
    learned = learn(similar_items(), as_of=AS_OF)
    low, plain, high = (forecast(learned, replace(ASK, guess=guess)).mean for guess in (5.0, None, 60.0))
    assert low < plain < high


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"carry_loss": 1.5}, "share lost when carried"),
        ({"rain_chance": -0.1}, "chance of rain"),
        ({"guess": -1.0}, "a guess must be 0 or more"),
    ],
)
def test_numbers_out_of_range_are_refused(changes, said):
    with pytest.raises(ValueError, match=said):
        forecast(learn(similar_items(1), as_of=AS_OF), replace(ASK, **changes))
