"""Losing plants, and the balance it keeps."""

from datetime import UTC, date, datetime

import pytest

from farmops.farm.models import Farm
from farmops.growing.balance import balance_of
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Leaving, Planting, Space, SpaceKind, Stay, Variety
from farmops.journal.deed import Saying
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.journal.entries import an_entry

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
SOWN, TODAY = date(2026, 5, 1), date(2026, 5, 4)


def saying(key, **other):
    return Saying(**{"key": key, "body": {"key": key}, "day": TODAY, "said_at": NOW, "now": NOW, **other})


@pytest.fixture
def stay(db):
    entry = an_entry()
    variety = Variety.objects.create(name="green butterhead", crop="lettuce")
    planting = Planting.objects.create(code="P-1", variety=variety, state="done", sown_on=SOWN, plants=120, entry=entry)
    space = Space.objects.create(name="N-1", kind=SpaceKind.objects.create(name="nursery channel"))
    return Stay.objects.create(planting=planting, space=space, plants=120, from_on=SOWN, entry=entry)


def test_lost_plants_leave_their_stay_and_the_balance_holds(stay):
    done = lose_plants(saying=saying("one"), stay=stay, plants=5, cause="aphids")
    balance = balance_of(stay.planting)
    assert done.entry.said == "Lost 5 plants of P-1 in N-1"
    assert (balance.sown, balance.in_stays, dict(balance.out), balance.not_placed) == (120, 115, {"lost": 5}, 0)


def test_the_last_lost_plant_ends_the_stay_and_an_undo_opens_it_again(stay):
    lose_plants(saying=saying("one"), stay=stay, plants=119)
    last = lose_plants(saying=saying("two"), stay=stay, plants=1).entry
    stay.refresh_from_db()
    assert stay.is_over is True
    undo(saying("undo", corrects=last))
    stay.refresh_from_db()
    assert (stay.is_over, balance_of(stay.planting).in_stays) == (False, 1)


def test_plants_that_were_not_lost_stand_there_again_also_where_the_rest_left_since(stay):
    first = lose_plants(saying=saying("one"), stay=stay, plants=20).entry
    rest = lose_plants(saying=saying("two"), stay=stay, plants=100).entry
    undo(saying("undo", corrects=first))
    stay.refresh_from_db()
    assert (stay.is_over, balance_of(stay.planting).plants_in(stay)) == (False, 20)
    undo(saying("undo the rest", corrects=rest))
    stay.refresh_from_db()
    assert (stay.is_over, balance_of(stay.planting).plants_in(stay)) == (False, 120)


def test_no_more_are_lost_than_stand_there(stay):
    lose_plants(saying=saying("one"), stay=stay, plants=100)
    with pytest.raises(Refused) as refused:
        lose_plants(saying=saying("two"), stay=stay, plants=21)
    assert (str(refused.value), refused.value.offer) == ("20 plants are left in N-1, not 21.", {"plants": 20})


@pytest.mark.parametrize(
    ("plants", "day", "words"),
    [
        (0, TODAY, "Say how many: 1 or more."),
        (
            5,
            date(2026, 4, 30),
            "They came in only on Fri 1 May 2026, so not yet on Thu 30 Apr 2026. Put the day right.",
        ),
        (5, date(2026, 5, 5), "Tue 5 May 2026 lies ahead. Note it when it is done."),
    ],
)
def test_what_cannot_have_happened_is_refused(stay, plants, day, words):
    with pytest.raises(Refused) as refused:
        lose_plants(saying=saying("one", day=day), stay=stay, plants=plants)
    assert (str(refused.value), Leaving.objects.count()) == (words, 0)


def test_tomorrow_is_the_farms_tomorrow(stay):
    Farm.objects.create(name="Mill Bend (invented)", latitude="42.4", time_zone="America/New_York")
    evening = datetime(2026, 5, 5, 0, 30, tzinfo=UTC)  # half past eight on 4 May at the farm
    lose_plants(saying=saying("one", said_at=evening, now=evening), stay=stay, plants=5)
    with pytest.raises(Refused) as refused:
        lose_plants(saying=saying("two", said_at=evening, now=evening, day=date(2026, 5, 5)), stay=stay, plants=5)
    assert str(refused.value) == "Tue 5 May 2026 lies ahead. Note it when it is done."


def test_nothing_is_lost_of_what_was_cleared(stay):
    Planting.objects.filter(pk=stay.planting_id).update(cleared_on=TODAY)
    with pytest.raises(Refused) as refused:
        lose_plants(saying=saying("one"), stay=stay, plants=5)
    assert str(refused.value) == "P-1 was cleared on Mon 4 May 2026. Take that back first if plants still stand."


def test_a_correction_replaces_the_figure_and_both_stay_to_be_seen(stay):
    wrong = lose_plants(saying=saying("one"), stay=stay, plants=50).entry
    lose_plants(saying=saying("two", corrects=wrong), stay=stay, plants=5)
    assert balance_of(stay.planting).in_stays == 115
    assert list(Leaving.objects.order_by("pk").values_list("plants", flat=True)) == [50, 5]


def test_a_loss_of_which_nobody_said_where_is_shared_by_the_stays(stay):
    other = Space.objects.create(name="N-2", kind=stay.space.kind)
    Planting.objects.filter(pk=stay.planting_id).update(plants=180)
    Stay.objects.create(planting=stay.planting, space=other, plants=60, from_on=SOWN, entry=stay.entry)
    Leaving.objects.create(planting=stay.planting, how="lost", plants=9, left_on=TODAY, entry=stay.entry)
    balance = balance_of(Planting.objects.get())
    assert [here.plants for here in balance.here] == [114, 57]
