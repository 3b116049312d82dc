"""Orders are added, changed from a day on, ended; what was before stays as it was."""

from datetime import date

import pytest

from farmops.journal.models import Change
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from farmops.selling.models import OutletClosedDays, Price, StandingOrder
from farmops.selling.orders import add_order, change_order, end_order, want_once
from farmops.selling.wants_of_day import wants_of_days
from tests.selling.market import an_item, lb, saying, the_market
from tests.selling.orders import a_buyer, an_order

pytestmark = pytest.mark.django_db


def amounts(first=date(2026, 5, 1), last=date(2026, 6, 30)):
    return {one.day: one.amount for one in wants_of_days(first, last)}


def add(key="add", **other):
    facts = {"buyer": a_buyer(), "item": an_item(), "weekday": 4, "typed": "12", **other}
    return add_order(saying=saying(key), **facts)


def test_an_order_begins_on_its_weekday_and_says_itself():
    assert add(first_on=date(2026, 5, 5)).entry.said == "Bistro takes 12 of sweet basil from now on"
    assert StandingOrder.objects.get().first_on == date(2026, 5, 8)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"typed": ""}, "Type how much"),
        ({"typed": "1,250"}, "“1,250” can be read two ways"),
        ({"every_weeks": 2}, "An order of every other week needs the day of its first delivery"),
        ({"first_on": date(2026, 5, 8), "last_on": date(2026, 5, 7)}, "The order must end after it begins"),
    ],
)
def test_what_cannot_be_is_refused(wrong, words):
    with pytest.raises(Refused, match=f"^{words}"):
        add(**wrong)
    assert StandingOrder.objects.count() == 0


def test_only_a_buyer_has_orders_and_only_a_priced_item_is_ordered():
    with pytest.raises(Refused, match=r"^Quillby Green is no regular buyer"):
        add(buyer=the_market())
    sorrel = an_item("sorrel", cents=None)
    with pytest.raises(Refused, match=r"^sorrel has no price at Bistro\. Type one") as refused:
        add(item=sorrel)
    assert refused.value.field == "price"
    add("priced", item=sorrel, price="2.50")
    assert list(Price.objects.filter(item=sorrel).values_list("outlet__name", "price_cents", "from_on")) == [
        ("Bistro", 250, None)
    ]


def test_the_same_again_is_asked():
    an_order()
    with pytest.raises(NeedsYes, match=r"^Bistro takes 12 of sweet basil that day already\. Is this besides"):
        add(typed="5")
    add("yes", typed="5", yes=frozenset({"besides"}))
    assert sum(one.amount for one in wants_of_days(date(2026, 5, 8), date(2026, 5, 8))) == 17


def test_pounds_are_ordered_as_typed():
    an_order(item=an_item("spinach", "lb"), typed="2 lb 8 oz")
    assert amounts(last=date(2026, 5, 2)) == {date(2026, 5, 1): lb("2.5")}


def test_changed_from_a_day_on_it_keeps_its_rhythm_and_what_was():
    order = an_order(first_on=date(2026, 5, 8), last_on=date(2026, 6, 19), every_weeks=2)
    said = change_order(saying=saying("20"), order=order, typed="20", from_on=date(2026, 5, 25)).entry.said
    assert said == "Bistro takes 20 of sweet basil from Fri 5 Jun 2026 on"
    assert amounts() == {
        date(2026, 5, 8): 12,
        date(2026, 5, 22): 12,
        date(2026, 6, 5): 20,
        date(2026, 6, 19): 20,
    }


def test_a_change_taken_back_is_as_if_it_had_not_been():
    order = an_order(first_on=date(2026, 5, 8))
    before = amounts()
    done = change_order(saying=saying("20"), order=order, typed="20", from_on=date(2026, 5, 25))
    undo(saying("undo", corrects=done.entry))
    assert amounts() == before


def test_before_it_begins_it_is_changed_where_it_stands_with_old_and_new_noted():
    order = an_order(first_on=date(2026, 5, 8))
    change_order(saying=saying("20"), order=order, typed="20", from_on=date(2026, 5, 1))
    assert StandingOrder.objects.get().amount == 20
    assert list(Change.objects.values_list("column", "old", "new")) == [("amount", 12, 20)]


def test_it_ends_and_is_not_changed_after_that():
    order = an_order(first_on=date(2026, 5, 8))
    end_order(saying=saying("end"), order=order, last_on=date(2026, 5, 16))
    assert list(amounts()) == [date(2026, 5, 8), date(2026, 5, 15)]
    with pytest.raises(Refused, match=r"^That order is over by then"):
        change_order(saying=saying("20"), order=order, typed="20", from_on=date(2026, 5, 25))
    with pytest.raises(Refused, match=r"^It begins on Fri 8 May 2026"):
        end_order(saying=saying("before"), order=order, last_on=date(2026, 5, 1))
    undo(saying("undo", corrects=order.entry))
    with pytest.raises(Refused, match=r"^That order was taken back"):
        end_order(saying=saying("gone"), order=order, last_on=date(2026, 5, 16))


def test_wanted_on_a_closed_day_is_asked():
    OutletClosedDays.objects.create(outlet=a_buyer(), first_on=date(2026, 5, 8), last_on=date(2026, 5, 8))
    facts = {"outlet": a_buyer(), "item": an_item(), "wanted_on": date(2026, 5, 8), "typed": "5"}
    with pytest.raises(NeedsYes, match=r"^Bistro is closed on Fri 8 May 2026"):
        want_once(saying=saying("once"), **facts)
    want_once(saying=saying("once"), yes=frozenset({"closed"}), **facts)
    assert amounts() == {date(2026, 5, 8): 5}
