"""Box counts are changed from a week on and end; what was before stays as it was."""

from datetime import date

import pytest

from farmops.journal.refusal import Refused
from farmops.selling.box_counts import add_boxes, change_boxes, end_boxes
from farmops.selling.wants_of_day import wants_of_days
from tests.selling.market import an_item, saying
from tests.selling.orders import a_box, a_buyer, a_count

pytestmark = pytest.mark.django_db


def amounts(first=date(2026, 5, 1), last=date(2026, 6, 30)):
    return {one.day: one.amount for one in wants_of_days(first, last)}


def test_boxes_change_from_a_week_on_and_end():
    count = a_count(date(2026, 5, 4), date(2026, 5, 29), boxes=20, typed="2")
    said = change_boxes(saying=saying("25"), count=count, boxes=25, typed="3", from_on=date(2026, 5, 20)).entry.said
    assert said == "weekly box: 25 boxes, 3 of sweet basil in each, from Mon 18 May 2026 on"
    assert amounts() == {
        date(2026, 5, 7): 40,
        date(2026, 5, 14): 40,
        date(2026, 5, 21): 75,
        date(2026, 5, 28): 75,
    }
    later = a_box().box_counts.order_by("-pk").first()
    end_boxes(saying=saying("end"), count=later, last_on=date(2026, 5, 22))
    assert list(amounts()) == [date(2026, 5, 7), date(2026, 5, 14), date(2026, 5, 21)]
    with pytest.raises(Refused, match=r"^It begins on Mon 18 May 2026"):
        end_boxes(saying=saying("before"), count=later, last_on=date(2026, 5, 8))
    with pytest.raises(Refused, match=r"^That count is over by then"):
        change_boxes(saying=saying("late"), count=later, boxes=25, typed="3", from_on=date(2026, 6, 20))


def test_what_a_box_holds_is_worth_something():
    sorrel = an_item("sorrel", cents=None)
    with pytest.raises(Refused, match=r"^sorrel has no price at weekly box\. Type what it is worth in the box"):
        a_count(date(2026, 5, 4), item=sorrel)
    assert a_count(date(2026, 5, 4), item=sorrel, value="2.20").value_cents == 220


def test_a_buyer_is_no_box():
    facts = {"item": an_item(), "first_on": date(2026, 5, 4), "last_on": None, "boxes": 20, "typed": "2"}
    with pytest.raises(Refused, match=r"^Bistro is no weekly box"):
        add_boxes(saying=saying("boxes"), box=a_buyer(), **facts)
