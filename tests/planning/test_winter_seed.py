"""Seed to order: what is sown, divided once; less what lies there, by its test and with its age."""

import math
from datetime import date

import pytest

from farmops.growing.models import SeedLot, Stage, Variety
from farmops.planning.stored_answers import Stored
from farmops.planning.winter_seed import seed_order
from farmops.planning.winter_sowings import work_out_year
from tests.planning.small_farm import a_place, a_planting, a_variety
from tests.planning.sown_farm import NOW, TODAY, a_sown_farm, quick

pytestmark = pytest.mark.django_db
UNTIL = date(2027, 1, 4)


def kept(sowings, varieties=None):
    """A plan of so many (Monday, variety, parts, seeds)."""
    rows = [[*one, True, one[0], one[0]] for one in sowings]
    answer = {"sowings": rows, "varieties": varieties or {"green butterhead": [0.855, 0.9]}}
    return Stored(TODAY, NOW, 0, 0, answer)


def the_line(**other):
    plan = kept([["2026-06-01", "green butterhead", 2, 144], ["2026-06-08", "green butterhead", 1.5, 108]], **other)
    (line,) = seed_order(plan, UNTIL, TODAY).lines
    return line


def a_lot(name="L-1", **facts):
    return SeedLot.objects.create(name=name, variety=Variety.objects.get(), **facts)


@pytest.fixture
def variety(db):
    a_place()
    return a_variety()


def test_seed_is_the_trays_times_their_cells(variety):
    line = the_line()
    assert (line.need, line.order, line.parts, line.on_hand) == (252, 252, 3.5, 0)
    assert [(one.monday, one.parts, one.seeds) for one in line.weeks] == [
        (date(2026, 6, 1), 2, 144),
        (date(2026, 6, 8), 1.5, 108),
    ]


def test_what_lives_divides_once_in_the_plan_and_not_again(variety):
    """By hand: 200 heads ÷ (.9 × .95) = 234 plants = 3.25 trays of 72, so 4 trays and 288 seeds; never 288 ÷ .9."""
    parts = math.ceil(math.ceil(200 / 0.855) / 72)
    plan = kept([["2026-06-01", "green butterhead", parts, parts * 72]])
    (line,) = seed_order(plan, UNTIL, TODAY).lines
    assert (line.need, line.survive_percent, line.counted_percent) == (288, 86, 90)


def test_seed_on_hand_is_taken_off(variety):
    a_lot(seeds=100, received_on=date(2026, 1, 12))
    a_lot("L-2", seeds=0)
    line = the_line()
    assert (line.on_hand, line.order) == (100, 152)
    assert [(one.lot.name, one.worth, one.age, one.is_worse) for one in line.lots] == [
        ("L-1", 100, "less than a year here", False)
    ]


def test_more_on_hand_than_is_sown_needs_no_order(variety):
    a_lot(seeds=400)
    assert (the_line().order, the_line().lots[0].age) == (0, "")


@pytest.mark.parametrize(
    ("tested", "worth"),
    [
        (None, 300),
        (95, 300),  # better than counted on is not counted up
        (90, 300),
        (60, 200),  # 60 % came up where 90 % are counted on: two thirds
        (0, 0),
    ],
)
def test_seed_that_came_up_worse_than_counted_on_is_worth_less(variety, tested, worth):
    a_lot(seeds=300, germination_percent=tested, received_on=date(2023, 12, 1))
    (lot,) = the_line().lots
    assert (lot.worth, lot.is_worse, lot.age) == (worth, worth < 300, "here for 2 years")


def test_a_lot_never_counted_is_named_and_counts_nothing(variety):
    a_lot()
    line = the_line()
    assert (line.has_uncounted, line.on_hand, line.order) == (True, 0, 252)


def test_what_was_sown_from_a_lot_stands_beside_it(variety):
    planting = a_planting(variety, plants=72)
    SeedLot.objects.update(seeds=500)
    assert [(one.lot, one.sown) for one in the_line().lots] == [(planting.seed_lot, 72)]


def test_money_where_a_price_is_known(variety):
    assert the_line().cost is None
    Variety.objects.update(part_cost_cents=125)
    line = the_line()
    assert line.cost == 4.38  # 3.5 × 1.25 = 4.375
    other = Variety.objects.create(name="mizuna", crop="mizuna")
    plan = kept([["2026-06-01", "green butterhead", 2, 144], ["2026-06-01", "mizuna", 1, 72]])
    order = seed_order(plan, UNTIL, TODAY)
    assert [(one.variety, one.cost) for one in order.lines] == [(variety, 2.5), (other, None)]
    assert (order.cost, order.is_all_priced) == (2.5, False)


def test_only_weeks_until_the_day_count(variety):
    plan = kept([["2026-12-28", "green butterhead", 2, 144], ["2027-01-04", "green butterhead", 1, 72]])
    assert seed_order(plan, UNTIL, TODAY).lines[0].need == 144
    assert seed_order(plan, UNTIL, TODAY).last == date(2027, 1, 3)
    assert seed_order(plan, date(2026, 12, 28), TODAY).lines == ()


def test_the_plan_itself_says_what_it_counted_on():
    a_sown_farm()
    Stage.objects.filter(number=1).update(survive_percent=80)
    plan = work_out_year(TODAY, NOW, solver=quick)
    (line,) = seed_order(plan, date(2027, 6, 28), TODAY).lines
    assert (line.survive_percent, line.counted_percent) == (76, 80)
    assert line.need == math.ceil(sum(one[3] for one in plan.answer["sowings"]))


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(django_assert_num_queries, number):
    names = [f"variety {one}" for one in range(number)]
    Variety.objects.bulk_create(Variety(name=name, crop="lettuce") for name in names)
    SeedLot.objects.bulk_create(SeedLot(name=f"L-{one.name}", variety=one, seeds=9) for one in Variety.objects.all())
    plan = kept([["2026-06-01", name, 2, 144] for name in names])
    with django_assert_num_queries(2):
        assert len(seed_order(plan, UNTIL, TODAY).lines) == number
