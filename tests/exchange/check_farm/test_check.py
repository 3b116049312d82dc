"""Each thing that must hold, broken past the rules that keep it, and found with its row."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.models import F

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.check_farm.journal import wrong_journal
from farmops.exchange.check_farm.plants import wrong_places
from farmops.exchange.check_farm.tables import wrong_tables
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.growing.models import Leaving, Planting, Schedule, SpaceSpell, Stay, Walk
from farmops.harvest.models import Lot, LotParent, Pick, StockMove
from farmops.journal.models import Change, Entry
from farmops.selling.models import BoxCount, MarketDay, MarketFact, MarketLine, Outlet, StandingOrder
from farmops.waiting.models import DoNotCut, Treatment
from tests.exchange.grown_farm import write_grown

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)
MAY = date(2026, 5, 1)


@pytest.fixture
def farm(tmp_path):
    read_sheets(write_grown(tmp_path), now=NOW)


def stay(space, planting="P-1"):
    return Stay.objects.get(space__name=space, planting__code=planting, state="done")


def pick(number):
    return Pick.objects.order_by("pk")[number]


def line(item, day=2):
    return MarketLine.objects.get(item__name=item, market_day__held_on__day=day)


def alter(row, **columns):
    type(row).objects.filter(pk=row.pk).update(**columns)
    return row


def an_entry():
    return Entry.objects.order_by("pk").first()


def test_a_farm_as_it_was_read_holds(farm):
    assert [str(one) for one in check_farm(TODAY)] == []


def a_stay_called_over():
    return alter(stay("F-2"), is_over=True), "It is called over, but 17 plants stand in it."


def a_stay_not_called_over():
    return alter(stay("N-1"), is_over=False), "No plant stands in it, but it is not called over."


def more_left_than_came():
    alter(Leaving.objects.get(plants=4), plants=5)
    return stay("N-1"), "40 plants came in and 41 left."


def more_stand_than_were_sown():
    return alter(Planting.objects.get(code="P-1"), plants=39), "39 were sown; 22 stand and 18 left."


def a_move_of_more_than_arrived():
    alter(Leaving.objects.get(how="lost", plants=4), plants=3)
    alter(stay("F-1").arrival, plants=19)
    return stay("F-1"), "19 plants left for it and 18 came in."


def a_move_that_does_not_say_where_from():
    return alter(stay("F-1"), came_from=None), "Where its plants came from and where they left do not agree."


def plants_that_came_before_they_left():
    alter(stay("F-1").arrival, left_on=date(2026, 3, 17))
    return stay("F-1"), "Its plants came before they left."


def plants_that_left_before_they_came():
    return alter(Leaving.objects.get(plants=4), left_on=date(2026, 3, 1)), "Plants left before they came in."


def a_stay_before_the_sowing():
    return alter(stay("N-1"), from_on=date(2026, 3, 1)), "It began before its plants were sown."


def a_cleared_planting_that_stands():
    alter(Planting.objects.get(code="P-1"), cleared_on=MAY)
    return Planting.objects.get(code="P-1"), "Cleared on 2026-05-01, but 22 plants stand."


def a_planned_planting_of_which_plants_stand():
    alter(Planting.objects.get(code="P-3"), plants=72)
    alter(Stay.objects.get(state="planned"), state="done")
    return Planting.objects.get(code="P-3"), "It was not sown, but plants of it stand or left."


def the_schedule_of_another_variety():
    other = Schedule.objects.get(variety__name="red oakleaf")
    return alter(Planting.objects.get(code="P-1"), schedule=other), "It follows the schedule of another variety."


def a_walk_of_another_planting_s_stay():
    return alter(Walk.objects.get(ready=30), stay=stay("B-1", "P-2")), "It names a stay of another planting."


def a_pick_of_another_planting_s_stay():
    return alter(pick(0), stay=stay("B-1", "P-2")), "It names a stay of another planting."


def a_pick_in_no_lot():
    return alter(pick(0), lot=None), "It is in no lot, so nobody could find it again."


def a_pick_in_another_lot():
    lot = Lot.objects.get(planting__code="P-2")
    return alter(pick(0), lot=lot), f"It is in lot {lot.code} of another planting or day."


def a_pick_before_the_sowing():
    alter(pick(2).lot, made_on=date(2026, 3, 1))
    Pick.objects.filter(planting__code="P-2").update(picked_on=date(2026, 3, 1))
    return pick(3), "It was cut before it was sown."


def crates_heavier_than_all():
    heavy = {"gross_ng": 10, "crates": 2, "crate_tare_ng": 5}
    return alter(pick(2), **heavy), "Its crates weigh more than all of it."


def a_count_in_a_unit_of_weight():
    return alter(pick(0), count_unit="lb"), "It counts in lb, a unit of weight."


def a_stop_without_a_reason():
    return alter(pick(2).lot, stopped_at=NOW), "It is stopped without a reason, or has a reason and is not stopped."


def a_mix_of_nothing():
    lot = Lot.objects.create(code="MIX", kind="mix", made_on=TODAY, entry=an_entry())
    return lot, "It is a mix of nothing that is known."


def goods_from_nobody():
    lot = Lot.objects.create(code="REC", kind="received", made_on=TODAY, entry=an_entry())
    return lot, "It was received, and nobody says from whom."


def a_lot_older_than_what_it_holds():
    lot = Lot.objects.create(code="MIX", kind="mix", made_on=date(2026, 4, 1), entry=an_entry())
    parent = pick(0).lot
    LotParent.objects.create(lot=lot, parent=parent)
    return lot, f"It holds lot {parent.code}, made later."


def stock_that_goes_the_wrong_way():
    variety = Planting.objects.get(code="P-2").variety
    told = {"variety": variety, "moved_on": TODAY, "unit": "lb", "entry": an_entry()}
    return StockMove.objects.create(amount=-5, why="picked", **told), "It goes the wrong way."


def stock_that_moved_before_its_lot():
    lot = pick(0).lot
    told = {"variety": lot.planting.variety, "unit": "head", "entry": an_entry(), "lot": lot}
    move = StockMove.objects.create(amount=-5, why="loaded", moved_on=date(2026, 4, 1), **told)
    return move, f"It moved before lot {lot.code} was made."


def something_back_of_a_day_to_come():
    MarketFact.objects.create(line=line("butterhead", 9), kind="left", amount=1, entry=an_entry())
    return line("butterhead", 9), "Something was sold or came back of a day that is only planned."


def a_time_past_midnight():
    alter(MarketFact.objects.get(kind="restocked"), minute=1500)
    return line("mizuna bag"), "A time lies past midnight."


def an_evening_of_a_day_to_come():
    day = MarketDay.objects.get(status="planned")
    return alter(day, closed_entry=an_entry()), "Its evening is done, but it did not take place yet."


def a_market_that_is_none():
    Outlet.objects.filter(name="Saturday market").update(kind="buyer")
    MarketDay.objects.get(status="planned").lines.all().delete()
    MarketDay.objects.get(status="planned").delete()
    return MarketDay.objects.get(), "Saturday market is no market."


def an_order_of_a_market():
    market = Outlet.objects.get(name="Saturday market")
    return alter(StandingOrder.objects.get(), buyer=market), "Saturday market is no regular buyer."


def a_box_that_is_none():
    return alter(BoxCount.objects.get(), box=Outlet.objects.get(name="Inn")), "Inn is no box."


def a_pick_inside_a_wait():
    told = {"ended_on": date(2026, 4, 30), "product": "soap", "harvest_days": 3, "entry": an_entry()}
    Treatment.objects.create(planting=Planting.objects.get(code="P-2"), **told)
    alter(pick(2).lot, made_on=MAY)
    alter(pick(2), picked_on=MAY)
    Pick.objects.filter(pk=pick(3).pk).delete()
    return pick(2), "It was cut inside a wait (soap), and its lot is not stopped."


def a_wait_of_another_planting_s_stay():
    return alter(DoNotCut.objects.get(), stay=stay("B-1", "P-2")), "It names a stay of another planting."


def said_after_it_was_received():
    return alter(an_entry(), said_at=datetime(2026, 5, 5, tzinfo=UTC)), "It was said after it was received."


def a_correction_of_what_came_later():
    last = Entry.objects.order_by("pk").last()
    return alter(an_entry(), corrects=last), "It corrects an entry that came after it."


def an_entry_that_says_nothing():
    return alter(Entry.objects.order_by("pk")[3], said=""), "It does not say what was done."


def a_pick_of_tomorrow():
    told = {"job": "pick", "farm_day": date(2026, 5, 5)}
    return alter(Entry.objects.order_by("pk")[1], **told), "It is of a day that had not come when it was noted."


def a_silent_alteration():
    told = {"table": "growing.planting", "row": Planting.objects.get(code="P-1").pk, "column": "plants"}
    Change.objects.create(entry=an_entry(), old=40, new=42, **told)
    return Planting.objects.get(code="P-1"), "plants is 40; the journal says 42."


BROKEN = (
    a_stay_called_over, a_stay_not_called_over, more_left_than_came, more_stand_than_were_sown,
    a_move_of_more_than_arrived, a_move_that_does_not_say_where_from, plants_that_came_before_they_left,
    plants_that_left_before_they_came, a_stay_before_the_sowing, a_cleared_planting_that_stands,
    a_planned_planting_of_which_plants_stand, the_schedule_of_another_variety, a_walk_of_another_planting_s_stay,
    a_pick_of_another_planting_s_stay, a_pick_in_no_lot, a_pick_in_another_lot, a_pick_before_the_sowing,
    crates_heavier_than_all, a_count_in_a_unit_of_weight, a_stop_without_a_reason, a_mix_of_nothing, goods_from_nobody,
    a_lot_older_than_what_it_holds, stock_that_goes_the_wrong_way, stock_that_moved_before_its_lot,
    something_back_of_a_day_to_come, a_time_past_midnight, an_evening_of_a_day_to_come, a_market_that_is_none,
    an_order_of_a_market, a_box_that_is_none, a_pick_inside_a_wait, a_wait_of_another_planting_s_stay,
    said_after_it_was_received, a_correction_of_what_came_later, an_entry_that_says_nothing, a_pick_of_tomorrow,
    a_silent_alteration,
)  # fmt: skip


@pytest.mark.parametrize("broken", BROKEN, ids=lambda broken: broken.__name__)
def test_what_does_not_hold_is_found_with_its_row(farm, broken: Callable):
    row, words = broken()
    found = [(one.table, one.row, one.words) for one in check_farm(TODAY)]
    assert (row._meta.label_lower, row.pk, words) in found


def test_a_lot_that_went_into_itself_by_way_of_another(farm):
    lots = [Lot.objects.create(code=code, kind="mix", made_on=TODAY, entry=an_entry()) for code in ("A", "B")]
    LotParent.objects.create(lot=lots[0], parent=lots[1])
    LotParent.objects.create(lot=lots[1], parent=lots[0])
    assert [str(one) for one in check_farm(TODAY)] == [
        f"harvest.lot {lots[0].pk} (A): It went into itself.",
        f"harvest.lot {lots[1].pk} (B): It went into itself.",
    ]


def test_a_space_with_more_in_it_than_it_holds_unless_somebody_said_why(farm):
    SpaceSpell.objects.filter(space__name="F-2").update(places=16)
    space = stay("F-2").space
    assert [str(one) for one in wrong_places(TODAY)] == [
        f"growing.space {space.pk} (F-2): 1 places more are taken than the 16 it has."
    ]
    alter(stay("F-2"), over_full_because="waiting for F-3")
    assert list(wrong_places(TODAY)) == []


def test_an_altered_row_that_is_gone(farm):
    Change.objects.create(entry=an_entry(), table="growing.planting", row=999, column="plants", old=1, new=2)
    assert [str(one) for one in wrong_journal()] == ["growing.planting 999: An entry altered it, and it is not there."]


def without_rule(table, name):
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA ignore_check_constraints = ON")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # else PostgreSQL has events of this table to come
            cursor.execute(f'ALTER TABLE "{table}" DROP CONSTRAINT "{name}"')


def test_a_row_that_breaks_a_rule_of_its_table(farm):
    without_rule("growing_stay", "stay_has_plants")
    broken = alter(Stay.objects.get(state="planned"), plants=0)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA ignore_check_constraints = OFF")
    found = [str(one) for one in wrong_tables()]
    assert found[-1] == f"growing.stay {broken.pk}: At least one plant must come in."
    by_the_file = ["database: CHECK constraint failed in growing_stay"] if connection.vendor == "sqlite" else []
    assert found[:-1] == by_the_file


@pytest.mark.sqlite
def test_a_row_that_points_to_nothing(farm):
    broken = alter(Stay.objects.get(state="planned"), space_id=999)
    assert [str(one) for one in wrong_tables()] == [
        f"growing.stay {broken.pk}: It points to a row of growing.space that is not there."
    ]
    alter(broken, space_id=stay("N-1").space_id)


@pytest.mark.sqlite
def test_a_part_of_a_whole_number(farm):
    broken = pick(2)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE harvest_pick SET mass_ng = 12.5 WHERE id = %s", [broken.pk])
    assert [str(one) for one in wrong_tables()] == [
        f"harvest.pick {broken.pk}: mass_ng is 12.5, which is no whole number."
    ]


def test_the_command_names_what_is_wrong_and_ends_with_two(farm):
    told = StringIO()
    call_command("check_farm", stdout=told)
    assert told.getvalue() == "Everything holds.\n"
    Stay.objects.filter(state="done").update(plants=F("plants") + 1)
    told, errors = StringIO(), StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("check_farm", stdout=told, stderr=errors)
    assert ended.value.code == 2
    assert errors.getvalue() == f"{len(told.getvalue().splitlines())} things are wrong.\n"
