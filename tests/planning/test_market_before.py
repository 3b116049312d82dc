"""What can be cut for a market day, and what to load."""

from datetime import date

import pytest
from django.http import QueryDict

from farmops.planning.from_tables import farm_rows
from farmops.planning.market_before import before_page, can_be_cut, to_load, work_out_before
from farmops.planning.models import StoredAnswer
from farmops.planning.standing_now import standing_now
from farmops.selling.models import MarketDay
from farmops.selling.plan_market_day import plan_market_day
from tests.planning.small_farm import NOW, TODAY, a_market, a_place, a_planting, a_variety, an_item, moved, walked
from tests.selling.market import in_stock, lb, saying

pytestmark = pytest.mark.django_db
SATURDAY = date(2026, 5, 9)


@pytest.fixture
def market_day():
    """Ready on 4 May: 72 heads of lettuce sown on 9 March."""
    a_place()
    variety = a_variety()
    item, market = an_item(variety), a_market()
    planting = a_planting(variety)
    moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    plan_market_day(saying=saying("plan"), outlet=market, held_on=SATURDAY, items=[item])
    return MarketDay.objects.get()


def heads(day=SATURDAY):
    return can_be_cut(farm_rows(), standing_now(TODAY), day)["butterhead lettuce"]


def test_what_is_good_by_then_can_be_cut_and_what_comes_later_not(market_day):
    assert 60 < heads() <= 72
    assert heads(date(2026, 5, 3)) == 0


def test_the_growers_eye_counts(market_day):
    walked(market_day.lines.get().item.parts.get().variety.plantings.get(), TODAY, ready=50)
    assert heads() == 50


def test_it_stands_beside_the_advice_once_it_is_worked_out(market_day):
    work_out_before(market_day, TODAY, NOW)
    (row,) = before_page(market_day, TODAY).rows
    assert int(row.can_cut) == int(heads())
    assert row.advised != ""


def test_boxes_say_what_is_loaded_and_an_empty_one_leaves_it_to_the_advice(market_day):
    line = market_day.lines.get()
    assert to_load(market_day, QueryDict(""), TODAY) == {}
    work_out_before(market_day, TODAY, NOW)
    (row,) = before_page(market_day, TODAY).rows
    assert to_load(market_day, QueryDict(f"own-{line.pk}="), TODAY) == {line.pk: row.advised}
    assert to_load(market_day, QueryDict(f"own-{line.pk}=44"), TODAY) == {line.pk: "44"}


def kept(market_day, **line):
    """What was worked out, with other figures in its place: as amounts are stored."""
    work_out_before(market_day, TODAY, NOW)
    answer = StoredAnswer.objects.get(kind=StoredAnswer.Kind.BRING)
    answer.answer["lines"][str(market_day.lines.get().pk)].update(line)
    answer.save()
    (row,) = before_page(market_day, TODAY).rows
    return row


@pytest.mark.parametrize(
    ("bring", "can_cut", "advised", "more_wanted", "loads"),
    [
        (7, 0, "0", "7 would be worth bringing, 0 there", None),
        (90, 72, "72", "90 would be worth bringing, 72 there", "72"),
        (44, 72, "44", "", "44"),
        (72, 72, "72", "", "72"),
    ],
)
def test_the_advice_is_at_most_what_is_there_and_says_what_would_be_worth_bringing(
    market_day, bring, can_cut, advised, more_wanted, loads
):
    row = kept(market_day, bring=bring, can_cut=can_cut)
    assert (row.advised, row.worth, row.more_wanted) == (advised, str(bring), more_wanted)
    assert to_load(market_day, QueryDict(""), TODAY) == ({} if loads is None else {row.line.pk: loads})


def test_what_lies_in_the_cold_room_is_there_too(market_day):
    in_stock(market_day.lines.get().item, 5)
    row = kept(market_day, bring=7, can_cut=0)
    assert (row.advised, row.lies, row.more_wanted) == ("5", "5", "7 would be worth bringing, 5 there")
    assert to_load(market_day, QueryDict(""), TODAY) == {row.line.pk: "5"}


def test_what_can_be_cut_and_is_not_known_limits_nothing(market_day):
    row = kept(market_day, bring=7, can_cut=None)
    assert (row.advised, row.can_cut, row.more_wanted) == ("7", "", "")


def test_of_weights_whole_steps_are_there(market_day):
    line = market_day.lines.get()
    type(line).objects.filter(pk=line.pk).update(unit="lb", step=lb("0.25"))
    row = kept(market_day, bring=lb("7"), can_cut=lb("3.3"))
    assert (row.advised, row.more_wanted) == ("3.25", "7 would be worth bringing, 3.25 lb there")
