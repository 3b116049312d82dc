"""What is in the boxes of each size, week by week; what is said last of a week counts."""

from datetime import date, timedelta

import pytest

from farmops.growing.models import Item
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from farmops.planning.winter_boxes import contents_in, contents_of, set_contents
from farmops.selling.models import BoxCount, Price
from farmops.selling.wants_of_day import wants_of_days
from tests.selling.market import an_item, saying
from tests.selling.orders import a_box, a_buyer, a_count

pytestmark = pytest.mark.django_db
FIRST, LAST = date(2026, 6, 1), date(2026, 7, 12)  # six weeks


def put(key="put", first_on=FIRST, last_on=LAST, boxes=24, size="full", yes=(), box=None, **typed):
    names = {name.replace("_", " "): text for name, text in typed.items()}
    items = {(Item.objects.filter(name=name).first() or an_item(name)).pk: text for name, text in names.items()}
    return set_contents(
        saying=saying(key),
        box=box or a_box(),
        size=size,
        first_on=first_on,
        last_on=last_on,
        boxes=boxes,
        typed=items,
        yes=frozenset(yes),
    )


def runs(size="full"):
    (found,) = [one for one in contents_of(FIRST, LAST) if one.size == size]
    return [(one.first, one.last, one.most, [item.words for item in one.contents]) for one in found.runs]


def test_a_size_is_said_for_some_weeks_and_reaches_what_is_wanted():
    done = put(kale="1", sweet_basil="2")
    assert done.entry.said == (
        "weekly box full: 24 boxes with 2 items in the weeks of Mon 1 Jun 2026 to Mon 6 Jul 2026"
    )
    assert runs() == [(FIRST, date(2026, 7, 6), 24, ["kale 1", "sweet basil 2"])]
    wanted = [(one.day, one.item.name, one.amount) for one in wants_of_days(date(2026, 6, 4), date(2026, 6, 4))]
    assert wanted == [(date(2026, 6, 4), "kale", 24), (date(2026, 6, 4), "sweet basil", 48)]


def test_what_is_said_of_one_week_later_takes_its_place_there_alone():
    put(kale="1", sweet_basil="2")
    done = put("one week", first_on=date(2026, 6, 17), last_on=None, boxes=20, kale="2", chard="1")
    assert done.entry.said == "weekly box full: 20 boxes with 2 items in the week of Mon 15 Jun 2026"
    usual = ["kale 1", "sweet basil 2"]
    assert runs() == [
        (FIRST, date(2026, 6, 8), 24, usual),
        (date(2026, 6, 15), date(2026, 6, 15), 20, ["chard 1", "kale 2"]),
        (date(2026, 6, 22), date(2026, 7, 6), 24, usual),
    ]
    undo(saying=saying("undo", corrects=done.entry))
    assert runs() == [(FIRST, date(2026, 7, 6), 24, usual)]


@pytest.mark.parametrize(
    ("first_on", "last_on", "left"),
    [
        (date(2026, 5, 18), date(2026, 6, 14), [(date(2026, 6, 15), date(2026, 7, 6))]),
        (date(2026, 6, 29), date(2026, 8, 2), [(FIRST, date(2026, 6, 22))]),
        (date(2026, 5, 18), date(2026, 8, 2), []),
        (date(2026, 7, 13), date(2026, 8, 2), [(FIRST, date(2026, 7, 6))]),
    ],
)
def test_weeks_before_and_after_stay(first_on, last_on, left):
    put(kale="1")
    put("over it", first_on=first_on, last_on=last_on, boxes=1, sweet_basil="1")
    found = contents_of(date(2026, 1, 5), date(2026, 12, 27))[0].runs
    assert [(one.first, one.last) for one in found if one.most == 24] == left
    assert [(one.first, one.last) for one in found if one.most == 1] == [
        (first_on, last_on - timedelta(days=last_on.weekday()))
    ]


def test_no_box_in_some_weeks():
    put(kale="1")
    said = put("none", first_on=date(2026, 6, 15), last_on=date(2026, 6, 21), boxes=0).entry.said
    assert said == "weekly box full: none in the week of Mon 15 Jun 2026"
    assert [(first, last) for first, last, _most, _items in runs()] == [
        (FIRST, date(2026, 6, 8)),
        (date(2026, 6, 22), date(2026, 7, 6)),
    ]
    assert wants_of_days(date(2026, 6, 18), date(2026, 6, 18)) == []


def test_another_size_stays_as_it_is():
    put(kale="1")
    put("half", size="half", boxes=10, kale="3")
    assert (runs()[0][2:], runs("half")[0][2:]) == ((24, ["kale 1"]), (10, ["kale 3"]))


def test_what_an_item_is_worth_in_the_box_is_kept():
    sorrel = an_item("sorrel", cents=None)
    a_count(FIRST, LAST, boxes=24, size="full", item=sorrel, value="1.50")
    put("more", sorrel="2", kale="1")
    (run,) = contents_of(FIRST, LAST)[0].runs
    assert run.worth_in_words == "$7.00"  # 2 × 1.50 + 1 × 4.00
    Price.objects.all().delete()
    assert contents_of(FIRST, LAST)[0].runs[0].worth_cents is None


def test_what_a_week_holds_fills_the_form_in():
    put(kale="1", sweet_basil="2")
    boxes, there = contents_in(a_box(), "full", date(2026, 6, 10))
    assert (boxes, there) == (24, {an_item("kale").pk: "1", an_item().pk: "2"})
    assert contents_in(a_box(), "full", date(2026, 8, 10)) == (None, {})
    assert contents_in(None, "full", date(2026, 8, 10)) == (None, {})


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"boxes": 24}, "Say what is in each box, or that there is none: 0 boxes."),
        ({"first_on": LAST, "last_on": FIRST, "kale": "1"}, "The last week must not come before the first."),
        ({"first_on": date(2026, 4, 20), "kale": "1"}, "That week is over: its boxes stay as they were."),
        ({"kale": "one"}, "“one” cannot be read as an amount."),
        ({"box": "buyer", "kale": "1"}, "Bistro is no weekly box."),
    ],
)
def test_what_cannot_be_packed_is_refused(facts, said):
    put("before", boxes=9, kale="3")
    if facts.get("box") == "buyer":
        facts = {**facts, "box": a_buyer()}
    with pytest.raises((Refused, NeedsYes)) as refused:
        put(**facts)
    assert str(refused.value).startswith(said)
    assert [one.boxes for one in BoxCount.objects.live()] == [9]


def test_an_item_without_a_price_is_refused_with_its_field():
    sorrel = an_item("sorrel", cents=None)
    with pytest.raises(Refused, match=r"^sorrel has no price at weekly box\. Give it one first\.$") as refused:
        put(sorrel="1")
    assert refused.value.field == f"item-{sorrel.pk}"


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(django_assert_num_queries, number):
    put(kale="1")
    count = BoxCount.objects.get()
    facts = {"box": count.box, "boxes": 5, "item": count.item, "amount": 1, "entry": count.entry}
    BoxCount.objects.bulk_create(BoxCount(size=f"size {one}", first_week=FIRST, **facts) for one in range(number))
    with django_assert_num_queries(3):
        assert len(contents_of(FIRST, LAST)) == number + 1
