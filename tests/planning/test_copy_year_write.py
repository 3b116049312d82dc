"""One press, one entry, one undo."""

from datetime import date

import pytest

from farmops.farm.models import ClosedDays, Farm
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.planning.copy_year import FIRST
from farmops.planning.copy_year_write import copy_year
from farmops.selling.models import BoxCount, MarketDay, MarketLine, OutletClosedDays, Price
from farmops.selling.plan_market_day import plan_market_day
from tests.selling.market import a_line, an_item, saying, the_market
from tests.selling.orders import a_count

pytestmark = pytest.mark.django_db
SUNDAY = date(2027, 1, 3)  # the last day of 2026


def press(key="copy", year=2027, today=SUNDAY, **other):
    return copy_year(saying=saying(key, day=today), year=year, **other)


def planned():
    days = MarketDay.objects.filter(held_on__year__gte=2027, entry__corrected_by=None).order_by("held_on")
    return [(one.held_on, one.status, (one.opens_minute, one.closes_minute)) for one in days]


def test_a_year_is_copied_with_its_items_at_the_prices_of_the_days_to_come():
    line = a_line(held_on=date(2026, 5, 2))
    MarketLine.objects.update(unit_cost_cents=120, own_number=48, advised=50)
    Price.objects.create(item=line.item, outlet=the_market(), from_on=date(2027, 1, 1), price_cents=450)
    kale = an_item("kale", cents=300)
    a_line(kale, held_on=date(2026, 5, 2))
    a_count(date(2026, 6, 1), date(2026, 6, 28), boxes=24, typed="2", size="full")
    done = press()
    assert done.entry.said == "2026 copied into 2027: 1 market day, 1 box count"
    assert planned() == [(date(2027, 5, 1), "planned", (480, 780))]
    lines = MarketLine.objects.filter(market_day__held_on=date(2027, 5, 1)).order_by("pk")
    assert [(one.item.name, one.price_cents, one.unit_cost_cents, one.own_number) for one in lines] == [
        ("sweet basil", 450, 120, None),
        ("kale", 300, None, None),
    ]
    (count,) = BoxCount.objects.filter(entry=done.entry)
    assert (count.first_week, count.last_week, count.boxes, count.size, count.amount, count.item.name) == (
        date(2027, 5, 31),
        date(2027, 6, 21),
        24,
        "full",
        2,
        "sweet basil",
    )


def test_a_second_press_doubles_nothing():
    a_line(held_on=date(2026, 5, 2))
    a_count(date(2026, 6, 1), date(2026, 6, 28))
    press()
    with pytest.raises(Refused, match=r"^There is nothing of 2026 to copy that is not planned for 2027 already\.$"):
        press("again")
    assert (len(planned()), BoxCount.objects.count(), Entry.objects.filter(once_key="again").count()) == (1, 2, 0)


def test_the_same_form_sent_twice_is_one_entry():
    a_line(held_on=date(2026, 5, 2))
    assert (press().was_there, press().was_there) == (False, True)
    assert len(planned()) == 1


def test_one_undo_takes_all_of_it_back_and_it_can_be_pressed_again():
    a_line(held_on=date(2026, 5, 9))
    a_count(date(2026, 6, 1), date(2026, 6, 28))
    Farm.objects.update(season_first_on=date(2026, 5, 9), season_last_on=date(2026, 12, 19))
    market = the_market()
    OutletClosedDays.objects.create(outlet=market, first_on=date(2026, 8, 3), last_on=date(2026, 8, 16), reason="rest")
    done = press(today=date(2026, 12, 20))
    assert done.entry.said == (
        "2026 copied into 2027: 1 market day, 1 box count, the season goes on until Sat 18 Dec 2027"
    )
    rest = ClosedDays.objects.get()
    assert (rest.first_on, rest.last_on) == (date(2026, 12, 20), date(2027, 5, 7))
    undo(saying=saying("undo", corrects=done.entry))
    assert ClosedDays.objects.count() == 0
    closed = [(one.first_on, one.last_on) for one in OutletClosedDays.objects.order_by("pk")]
    assert closed == [(date(2026, 8, 3), date(2026, 8, 16))]
    assert Farm.objects.get().season_last_on == date(2026, 12, 19)
    assert (planned(), BoxCount.objects.live().count()) == ([], 1)
    press("again", today=date(2026, 12, 20))
    assert (planned(), BoxCount.objects.live().count()) == ([(date(2027, 5, 8), "planned", (480, 780))], 2)
    line = MarketLine.objects.get(market_day__held_on=date(2027, 5, 8))
    assert line.entry.once_key == "again"
    assert MarketDay.objects.filter(held_on=date(2027, 5, 8)).count() == 1


def test_a_day_planned_and_taken_back_before_is_planned_again():
    line = a_line(held_on=date(2026, 5, 2))
    before = plan_market_day(
        saying=saying("one"), outlet=the_market(), held_on=date(2027, 5, 1), items=[an_item("kale"), line.item]
    )
    undo(saying=saying("undo", corrects=before.entry))
    press()
    live = MarketLine.objects.filter(entry__corrected_by=None, market_day__held_on=date(2027, 5, 1))
    assert [one.item.name for one in live] == ["sweet basil"]


def test_a_day_that_was_not_on_the_list_gets_the_markets_latest_items():
    a_line(held_on=date(2026, 12, 5))
    a_line(an_item("kale"), held_on=date(2026, 12, 12))
    press(today=date(2026, 12, 14))
    found = {
        day.held_on: [one.item.name for one in day.lines.all()]
        for day in MarketDay.objects.filter(held_on__gte=date(2027, 11, 1)).order_by("held_on")
    }
    assert found == {
        date(2027, 12, 4): ["sweet basil"],
        date(2027, 12, 11): ["kale"],
        date(2027, 12, 18): ["kale"],
        date(2027, 12, 25): ["kale"],
        date(2028, 1, 1): ["kale"],
    }


def test_week_53_goes_where_it_is_chosen_to():
    a_line(held_on=date(2027, 1, 2))
    assert press(week_53=FIRST).entry.said == "2026 copied into 2027: 1 market day"
    assert planned()[-1][0] == date(2028, 1, 8)


def test_an_item_added_later_holds_the_copy_until_it_is_taken_off():
    a_line(held_on=date(2026, 5, 2))
    done = press()
    day = MarketDay.objects.get(held_on=date(2027, 5, 1))
    a_line(an_item("kale"), held_on=date(2027, 5, 1))
    assert day.lines.count() == 2
    with pytest.raises(Refused, match=r"^Later entries rest on this one"):
        undo(saying=saying("undo", corrects=done.entry))
