"""What can be cut for a market day, and what to load."""

from datetime import date

import pytest
from django.http import QueryDict

from farmops.planning.from_tables import farm_rows
from farmops.planning.market_before import before_page, can_be_cut, to_load, work_out_before
from farmops.planning.standing_now import standing_now
from farmops.selling.models import MarketDay
from farmops.selling.plan_market_day import plan_market_day
from tests.planning.small_farm import NOW, TODAY, a_market, a_place, a_planting, a_variety, an_item, moved, walked
from tests.selling.market import saying

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
    assert to_load(market_day, QueryDict("")) == {}
    work_out_before(market_day, TODAY, NOW)
    (row,) = before_page(market_day, TODAY).rows
    assert to_load(market_day, QueryDict(f"own-{line.pk}=")) == {line.pk: row.advised}
    assert to_load(market_day, QueryDict(f"own-{line.pk}=44")) == {line.pk: "44"}
