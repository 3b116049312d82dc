"""The table of ready dates in words."""

from datetime import date, timedelta

import pytest

from farmops.core.growth import Span
from farmops.planning.ready_dates import Errors, PastDate
from farmops.planning.ready_dates_page import in_seasons, off_in_words, ready_dates
from farmops.planning.standing_now import forget
from tests.planning.past_plantings import TODAY, six_lettuces

SAID = date(2026, 4, 14)


def past(first, until):
    span = Span(SAID - timedelta(days=3), SAID, SAID + timedelta(days=3))
    return PastDate("P-1", "lettuce", date(2026, 3, 24), span, SAID, first, until)


@pytest.mark.parametrize(
    ("first", "until", "words"),
    [
        (None, SAID, "nobody can tell since when"),
        (date(2026, 4, 11), date(2026, 4, 14), "as said"),
        (date(2026, 4, 14), date(2026, 4, 14), "as said"),
        (date(2026, 4, 11), date(2026, 4, 13), "1–3 days earlier"),
        (date(2026, 4, 15), date(2026, 4, 17), "1–3 days later"),
        (date(2026, 4, 15), date(2026, 4, 15), "1 day later"),
        (date(2026, 4, 13), date(2026, 4, 13), "1 day earlier"),
        (date(2026, 4, 16), date(2026, 4, 16), "2 days later"),
    ],
)
def test_how_far_off_one_was_in_words(first, until, words):
    assert off_in_words(past(first, until)) == words


def test_seasons_are_those_of_the_farm_s_half_of_the_earth():
    errors = Errors(9, 0, 3.0, 3.0, 7.0, 0.0, {0: -2.4, 3: 3.2})
    assert in_seasons(errors, is_north=True) == [
        "2 days earlier than said in winter",
        "3 days later than said in autumn",
    ]
    assert in_seasons(errors, is_north=False) == [
        "2 days earlier than said in summer",
        "3 days later than said in spring",
    ]


@pytest.mark.django_db
def test_a_farm_s_own_plantings_by_variety():
    six_lettuces()
    page = ready_dates(TODAY)
    (line,) = page.lines
    assert (line.variety, line.errors.told, line.errors.not_told) == ("green butterhead", 6, 0)
    # By hand: said 35 days after each move; ready was on the 40th or the 41st day, so 5.5 days later.
    assert (line.errors.off_by_schedule, [one.key for one in line.past][:2]) == (5.5, ["P26-006", "P26-005"])
    assert (page.not_told, page.of("green butterhead"), page.of("mizuna")) == ([], line, None)


@pytest.mark.django_db
def test_a_farm_without_plantings_has_nothing_to_say():
    forget()
    page = ready_dates(TODAY)
    assert (page.errors.told, page.lines, page.not_told, page.leans) == (0, [], [], [])
