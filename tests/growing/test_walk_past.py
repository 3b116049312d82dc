"""What is seen walking past."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.growing.models import Walk
from farmops.growing.walk_past import LastSeen, Seen, last_seen, unit_of, walk_past
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety, saying

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    variety = a_variety()
    a_schedule(variety, ("finishing channel", 28, 1))
    return a_planting("P26-184", variety=variety)


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (Seen(is_as_planned=True), "as planned"),
        (Seen(ready=Decimal("80")), "about 80 heads ready"),
        (Seen(ready=Decimal("0")), "about 0 heads ready"),
        (Seen(days_late=Decimal("5")), "5 days late"),
        (Seen(days_late=Decimal("1")), "1 day late"),
        (Seen(days_late=Decimal("-2")), "2 days early"),
        (Seen(days_late=Decimal("0")), "on its day"),
        (Seen(is_finished=True), "finished"),
        (Seen(ready=Decimal("12.5"), days_late=Decimal("3")), "about 12.5 heads ready, 3 days late"),
    ],
)
def test_what_was_seen_is_said_again(planting, seen, said):
    done = walk_past(saying=saying("one"), planting=planting, seen=seen)
    assert done.entry.said == f"P26-184 green butterhead: {said}"
    walk = Walk.objects.get()
    assert (walk.is_as_planned, walk.ready, walk.days_late, walk.is_finished, walk.seen_on) == (
        seen.is_as_planned,
        seen.ready,
        seen.days_late,
        seen.is_finished,
        TODAY,
    )


def test_a_walk_may_speak_of_one_space(planting):
    stay = a_stay(planting, a_space("F-7"), 18)
    done = walk_past(saying=saying("one"), planting=planting, seen=Seen(days_late=Decimal(5)), stay=stay)
    assert (done.entry.said, Walk.objects.get().stay) == ("P26-184 green butterhead F-7: 5 days late", stay)


@pytest.mark.parametrize(
    ("seen", "words", "field"),
    [
        (Seen(), "Say what you saw: as planned, so much ready, days late, or finished.", ""),
        (
            Seen(is_as_planned=True, days_late=Decimal(2)),
            "As planned is neither late nor finished. Say one of them.",
            "",
        ),
        (Seen(ready=Decimal(-1)), "Less than nothing cannot be ready.", "ready"),
        (Seen(days_late=Decimal(121)), "That is more than four months off. Is it another planting?", "days_late"),
    ],
)
def test_what_cannot_be_is_refused(planting, seen, words, field):
    with pytest.raises(Refused) as refused:
        walk_past(saying=saying("one"), planting=planting, seen=seen)
    assert (str(refused.value), refused.value.field, Walk.objects.count()) == (words, field, 0)


def test_nothing_is_seen_of_what_is_not_sown_cleared_or_to_come(planting):
    seen = Seen(is_as_planned=True)
    with pytest.raises(Refused, match=r"^P26-184 was sown only on Mon 13 Apr 2026, so not yet on Sun 12 Apr 2026\."):
        walk_past(saying=saying("early", day=date(2026, 4, 12)), planting=planting, seen=seen)
    with pytest.raises(Refused, match=r"^P-2 is not sown\.$"):
        walk_past(saying=saying("plan"), planting=a_planting("P-2", state="planned"), seen=seen)


def test_a_walk_can_be_taken_back(planting):
    entry = walk_past(saying=saying("one"), planting=planting, seen=Seen(is_finished=True)).entry
    undo(saying("undo", corrects=entry))
    assert list(Walk.objects.live()) == []


def test_the_latest_walk_is_told_with_its_day_and_who_looked(planting):
    assert last_seen(planting, TODAY, "head") is None
    for day, ready in ((date(2026, 5, 3), "80.0000"), (date(2026, 5, 2), "10")):
        Walk.objects.create(planting=planting, seen_on=day, ready=ready, by_name="Maud", entry=planting.entry)
    seen = last_seen(planting, TODAY, "head")
    assert seen == LastSeen(date(2026, 5, 3), "about 80 heads ready", "Maud")
    assert last_seen(planting, date(2026, 5, 2), "head").words == "about 10 heads ready"


def test_without_a_schedule_plants_are_counted():
    assert unit_of(a_planting(variety=a_variety("sorrel"))) == "plants"
