"""Saying that something must not be cut."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from farmops.journal.refusal import Refused
from farmops.waiting.do_not_cut import do_not_cut, latest_instant
from farmops.waiting.models import DoNotCut
from tests.growing.beds import NOW, TODAY, a_planting, a_space, a_stay, saying

pytestmark = pytest.mark.django_db
THURSDAY = date(2026, 5, 7)


@pytest.fixture
def planting():
    planting = a_planting()
    a_stay(planting, a_space("F-7", 120))
    return planting


def wait(planting, key="one", day=TODAY, **facts):
    return do_not_cut(saying=saying(key, day), planting=planting, **{"reason": "soap spray", **facts})


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"before_day": THURSDAY, "before_minute": 990}, "before Thu 7 May 2026, 16:30"),
        ({"before_day": THURSDAY}, "before Thu 7 May 2026, 00:00"),
        ({}, "until it is lifted"),
    ],
)
def test_it_is_said_until_when_and_why(planting, facts, said):
    assert wait(planting, **facts).entry.said == f"Do not cut P-1 green butterhead {said}: soap spray"


def test_it_may_be_one_stay(planting):
    done = wait(planting, stay=planting.stays.get(), before_day=THURSDAY)
    assert done.entry.said == "Do not cut P-1 green butterhead in F-7 before Thu 7 May 2026, 00:00: soap spray"


@pytest.mark.parametrize(
    ("facts", "words", "field"),
    [
        ({"reason": "  "}, "Say why it must not be cut.", "reason"),
        (
            {"before_day": TODAY, "before_minute": 539},
            "That moment is over already. Choose a later one.",
            "before_day",
        ),
        (
            {"before_day": TODAY + timedelta(days=367)},
            "That is more than a year ahead. Is the year right?",
            "before_day",
        ),
    ],
)
def test_what_cannot_be_is_refused(planting, facts, words, field):
    with pytest.raises(Refused) as refused:
        wait(planting, **facts)
    assert (str(refused.value), refused.value.field, DoNotCut.objects.count()) == (words, field, 0)


def test_a_stay_of_another_planting_is_refused(planting):
    with pytest.raises(Refused, match=r"^P-2 does not stand there\.$"):
        wait(a_planting("P-2"), stay=planting.stays.get())


def test_what_is_cleared_needs_no_wait(planting):
    planting.cleared_on = TODAY
    planting.save()
    with pytest.raises(Refused, match=r"^P-1 was cleared on Mon 4 May 2026\."):
        wait(planting)


@pytest.mark.parametrize(
    ("day", "minute", "instant"),
    [
        pytest.param(date(2026, 5, 4), 540, NOW, id="an ordinary day"),
        pytest.param(date(2026, 11, 1), 90, datetime(2026, 11, 1, 6, 30, tzinfo=UTC), id="shown twice: the second"),
        pytest.param(date(2026, 3, 8), 150, datetime(2026, 3, 8, 7, 30, tzinfo=UTC), id="jumped over: after the jump"),
    ],
)
def test_a_clock_time_that_is_doubtful_is_taken_late(day, minute, instant):
    assert latest_instant(day, minute, ZoneInfo("America/New_York")) == instant


def test_minutes_are_those_of_a_day():
    with pytest.raises(ValueError, match="got 1440"):
        latest_instant(TODAY, 1440, ZoneInfo("America/New_York"))
