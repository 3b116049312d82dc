"""Sheets into the tables: all or nothing, once only, added to what is there."""

from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.db import connection
from django.db.models import Sum
from django.test.utils import CaptureQueriesContext

from farmops.exchange.read_sheets import take_in
from farmops.exchange.read_sheets.said import said_of
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.growing.balance import balances
from farmops.growing.models import Leaving, Planting, Stay
from farmops.harvest.models import Lot, Pick, StockMove
from farmops.journal.deed import Saying, do_once, save
from farmops.journal.models import Change, Entry, Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import turn_back
from farmops.people.models import Person
from farmops.planning.rows import FaultsFound
from farmops.selling.models import MarketDay, MarketFact
from tests.exchange.grown_farm import write_grown, write_only

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
DEMO = Path(__file__).resolve().parents[3] / "fixtures" / "demo" / "sheets"
LB = 453_592_370_000


def faults_of(folder, **other):
    with pytest.raises(FaultsFound) as found:
        read_sheets(folder, now=NOW, **other)
    return [(fault.sheet, fault.row, fault.column, fault.problem) for fault in found.value.faults]


def leavings():
    return sorted(
        (one.planting.code, one.how, one.stay.space.name if one.stay else "", one.plants, one.left_on.isoformat())
        for one in Leaving.objects.select_related("planting", "stay__space")
    )


def test_a_farm_comes_in_whole_and_its_plants_balance(tmp_path):
    read = read_sheets(write_grown(tmp_path), now=NOW)
    assert (sum(read.added.values()), sum(read.there.values())) == (58, 0)
    assert leavings() == [
        ("P-1", "cut", "F-1", 3, "2026-05-01"),
        ("P-1", "cut", "F-1", 10, "2026-05-01"),
        ("P-1", "lost", "F-2", 1, "2026-04-20"),
        ("P-1", "lost", "N-1", 4, "2026-03-16"),
        ("P-1", "moved", "N-1", 18, "2026-03-16"),
        ("P-1", "moved", "N-1", 18, "2026-03-16"),
        ("P-2", "cleared", "B-1", 256, "2026-04-27"),
    ]
    of_planting = {one.code: balances([one])[one.pk] for one in Planting.objects.sown()}
    # 40 sown = 5 in F-1 + 17 in F-2 + 5 lost + 13 cut out; 256 sown = 256 cleared.
    assert {code: (one.in_stays, one.not_placed, one.out) for code, one in of_planting.items()} == {
        "P-1": (22, 0, {"lost": 5, "cut": 13}),
        "P-2": (0, 0, {"cleared": 256}),
    }
    assert {stay.space.name: stay.is_over for stay in Stay.objects.filter(state="done").select_related("space")} == {
        "N-1": True, "F-1": False, "F-2": False, "B-1": True,
    }  # fmt: skip


def test_what_is_known_of_a_market_line_is_a_fact_each_and_unknown_is_none(tmp_path):
    read_sheets(write_grown(tmp_path), now=NOW)
    facts = Counter(
        (fact.line.item.name, fact.line.market_day.held_on.day, fact.kind, fact.amount, fact.minute)
        for fact in MarketFact.objects.select_related("line__item", "line__market_day")
    )
    assert facts == Counter([
        ("butterhead", 2, "brought", 20, None),
        ("butterhead", 2, "sold out", None, 700),
        ("butterhead", 2, "left", 0, None),
        ("mizuna bag", 2, "brought", 33 * LB // 4, None),
        ("mizuna bag", 2, "restocked", 2 * LB, 615),
    ])  # fmt: skip
    days = {day.held_on.day: day for day in MarketDay.objects.all()}
    assert [line.own_number for line in days[9].lines.all()] == [24]
    assert (days[2].closed_entry is not None, days[9].closed_entry) == (True, None)


def test_two_true_crates_of_one_weight_both_count_and_join_one_lot(tmp_path):
    read_sheets(write_grown(tmp_path), now=NOW)
    crates = Pick.objects.filter(planting__code="P-2")
    assert [(pick.mass_ng, pick.typed) for pick in crates] == [(12 * LB, "12.0 lb"), (12 * LB, "12.0 lb")]
    assert Lot.objects.filter(planting__code="P-2").count() == 1
    assert StockMove.objects.count() == 0  # what a sheet tells of was sold or eaten long ago


def test_what_was_cut_inside_a_wait_is_in_a_stopped_lot_whichever_came_first(tmp_path):
    read = read_sheets(write_grown(tmp_path / "farm"), now=NOW)  # hail: P-1 in F-1 not before 6 May, cut on 1 May
    assert said_of(read).splitlines()[-1] == "1 lot is stopped: it was cut inside a wait."
    stopped = Lot.objects.exclude(stopped_at=None)
    assert [(lot.planting.code, lot.stopped_because) for lot in stopped] == [("P-1", "cut inside a wait: hail")]
    spray = "planting,ended,product,job,harvest_days\nP-2,2026-04-18,soap,spray,3"
    later = read_sheets(write_only(tmp_path / "more", waiting=spray), now=NOW)  # cut on 20 April, read in before
    assert later.lots_stopped == 1
    assert Lot.objects.get(planting__code="P-2").stopped_because == "cut inside a wait: soap"


def test_the_same_file_twice_adds_nothing_and_says_so(tmp_path):
    folder = write_grown(tmp_path)
    read_sheets(folder, now=NOW)
    before = Entry.objects.count()
    again = read_sheets(folder, now=NOW)
    assert said_of(again).splitlines()[-1] == "0 added, 58 already there"
    assert Entry.objects.count() == before


def test_a_dry_run_says_what_would_be_and_writes_nothing(tmp_path):
    read = read_sheets(write_grown(tmp_path), now=NOW, dry_run=True)
    assert said_of(read, dry_run=True).splitlines()[-2:] == [
        "58 would be added, 0 already there",
        "Nothing was written.",
    ]
    assert (Entry.objects.count(), Planting.objects.count()) == (0, 0)


def test_every_row_has_an_entry_of_its_own_and_the_reading_one_more(tmp_path):
    odile = Person.objects.create(name="Odile", role="grower")
    read = read_sheets(write_grown(tmp_path), now=NOW, by=odile)
    entries = Entry.objects.exclude(pk=read.entry.pk)
    # 3 plantings, 5 stays, 2 losses, 2 walks, 4 picks, 3 market lines, 1 order, 1 box, 1 want, 2 waits.
    assert (entries.count(), {entry.job for entry in entries}, {entry.source for entry in entries}) == (
        24, {"read"}, {"sheet"},
    )  # fmt: skip
    assert {entry.by for entry in entries} == {None}
    assert read.entry.by == odile


@pytest.mark.case("I06")
def test_ten_thousand_picks_two_bad_ones_listed_then_all_then_none_again(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    lines = [f"P-2,2026-04-{1 + number % 26:02d},{number % 400 / 10 + 0.1:.1f},lb" for number in range(10_000)]
    bad = lines.copy()
    bad[7_412 - 2] = "P-2,2026-04-03,abc,lb"
    bad[9_001 - 2] = "P-X,2026-04-03,1.5,lb"
    heading = "planting,day,amount,unit\n"
    folder = write_only(tmp_path / "more", picks=heading + "\n".join(bad))
    assert faults_of(folder) == [
        ("picks", 7_412, "amount", "“abc” is not a number."),
        ("picks", 9_001, "planting", "“P-X” does not stand in the sheet plantings."),
    ]
    assert Pick.objects.count() == 4
    write_only(folder, picks=heading + "\n".join(lines))
    with CaptureQueriesContext(connection) as queries:
        read = read_sheets(folder, now=NOW)
    writing = [query["sql"] for query in queries if query["sql"].startswith("INSERT")]
    assert (read.added, read.there) == ({"picks": 10_000}, {})
    assert len(writing) < 600  # in bulk: far fewer than rows
    # Each of the 400 amounts 25 times: 25 × (0.1 + 0.2 + ... + 40.0) lb, beside the four picks of the farm.
    assert Pick.objects.aggregate(total=Sum("mass_ng"))["total"] == 25 * 8020 * LB + 24 * LB
    again = read_sheets(folder, now=NOW)
    assert (again.added, said_of(again)) == ({}, "picks: 0 added, 10,000 already there\n0 added, 10,000 already there")
    assert Pick.objects.count() == 10_004


def test_rows_are_added_to_a_farm_that_is_there_without_its_other_sheets(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    more = write_only(
        tmp_path / "more",
        plantings="planting,variety,sown,plants\nP-4,GREEN butterhead,2026-05-03,18",
        stays="planting,space,plants,from,moved_from\nP-4,N-1,18,2026-05-03,\nP-1,F-3,5,2026-05-02,F-1",
        losses="planting,space,day,plants\nP-1,F-2,2026-05-03,17",
        picks="planting,day,amount,unit,space\np-1,2026-05-04,5,head,F-3",
    )
    read = read_sheets(more, now=NOW)
    assert (dict(read.added), dict(read.there)) == ({"plantings": 1, "stays": 2, "losses": 1, "picks": 1}, {})
    assert Planting.objects.get(code="P-4").variety.name == "green butterhead"
    balance = balances(Planting.objects.filter(code="P-1"))[Planting.objects.get(code="P-1").pk]
    assert (balance.in_stays, balance.not_placed, balance.out) == (0, 0, {"lost": 22, "cut": 18})
    over = Stay.objects.filter(planting__code="P-1").order_by("pk")
    assert [(stay.space.name, stay.is_over) for stay in over] == [
        ("N-1", True), ("F-1", True), ("F-2", True), ("F-3", True),
    ]  # fmt: skip
    emptied = Change.objects.filter(table="growing.stay").order_by("row")
    assert [(one.row, one.column, one.old, one.new) for one in emptied] == [
        (over[1].pk, "is_over", False, True), (over[2].pk, "is_over", False, True),
    ]  # fmt: skip


def test_a_row_that_says_something_else_than_the_farm_is_refused_and_listed(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    more = write_only(
        tmp_path / "more",
        varieties="variety,crop\nmizuna,mustard\nrocket,rocket",
        plantings="planting,variety,sown,plants\nP-1,green butterhead,2026-03-02,60",
        market_days="date,market,opens,closes,item,unit,price,brought,left_over\n"
        "2026-05-02,Saturday market,08:00,13:00,butterhead,head,3.00,22,0",
    )
    assert faults_of(more) == [
        ("varieties", 2, "crop", "The farm has “mizuna”, this sheet “mustard”."),
        ("varieties", 2, "category", "The farm has “salad”, this sheet “nothing”."),
        ("varieties", 2, "part_plants", "The farm has “128”, this sheet “72”."),
        ("varieties", 2, "part_cost", "The farm has “4.00”, this sheet “0.00”."),
        ("plantings", 2, "plants", "The farm has “40”, this sheet “60”."),
        ("market_days", 2, "brought", "The farm has “20”, this sheet “22”."),
    ]
    assert Planting.objects.count() == 3


def test_a_row_with_a_known_key_is_the_same_row_or_refused(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    picks = "key,planting,day,amount,unit\nc-1,P-2,2026-04-21,3,lb\nc-2,P-2,2026-04-21,3,lb"
    assert read_sheets(write_only(tmp_path / "one", picks=picks), now=NOW).added == {"picks": 2}
    assert read_sheets(write_only(tmp_path / "one", picks=picks), now=NOW).added == {}
    changed = write_only(tmp_path / "two", picks=picks.replace("c-2,P-2,2026-04-21,3", "c-2,P-2,2026-04-21,4"))
    lot = Lot.objects.order_by("pk").last().code
    assert faults_of(changed) == [("picks", 3, "amount", "The farm has “3”, this sheet “4”."),
                                  ("picks", 3, "typed", "The farm has “3 lb”, this sheet “nothing”."),
                                  ("picks", 3, "lot", f"The farm has “{lot}”, this sheet “nothing”."),
                                  ]  # fmt: skip


def test_a_crate_added_by_hand_beside_one_that_was_written_out_with_its_key_is_another(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    alone = "planting,day,amount,unit\nP-2,2026-04-21,3,lb"
    read_sheets(write_only(tmp_path / "one", picks=alone), now=NOW)
    key = Pick.objects.last().entry.once_key.partition(":")[2]
    both = f"key,planting,day,amount,unit\n{key},P-2,2026-04-21,3,lb\n,P-2,2026-04-21,3,lb"
    read = read_sheets(write_only(tmp_path / "two", picks=both), now=NOW)
    assert (read.added, read.there) == ({"picks": 1}, {"picks": 1})


def test_a_row_that_was_put_right_on_a_phone_is_there_already(tmp_path):
    folder = write_grown(tmp_path)
    read_sheets(folder, now=NOW)
    wrong = Pick.objects.filter(planting__code="P-2").first()

    def write(entry):
        turn_back(wrong.entry, entry)
        save(
            Pick(
                planting=wrong.planting,
                picked_on=wrong.picked_on,
                mass_ng=LB,
                typed="1 lb",
                typed_unit="lb",
                entry=entry,
            )
        )
        return "Cut 1 lb", {}

    saying = Saying(key="put right", body={}, day=wrong.picked_on, said_at=NOW, now=NOW, corrects=wrong.entry)
    do_once(saying, Job.PICK, write)
    assert read_sheets(folder, now=NOW).added == {}
    assert [pick.typed for pick in Pick.objects.live().filter(planting__code="P-2").order_by("pk")] == [
        "12.0 lb",
        "1 lb",
    ]


@pytest.mark.parametrize(
    ("sheets", "fault"),
    [
        ({"picks": "planting,day,amount,unit\nP-1,2026-05-02,2.5,head"},
         ("picks", 2, "amount", "2.5 head: only whole ones are counted.")),
        ({"picks": "planting,day,amount,unit\nP-2,2026-05-02,0,lb"}, ("picks", 2, "amount", "A pick is more than 0.")),
        ({"picks": "planting,day,amount,unit\nP-3,2026-05-02,1,lb"},
         ("picks", 2, "day", "P-3 was sown later, on 2026-06-01.")),
        ({"walks": "planting,day\nP-1,2026-05-02"}, ("walks", 2, "ready", "Nothing says what was seen.")),
        ({"waiting": "space,ended,product\nB-1,2026-05-02,"}, ("waiting", 2, "product", "Nothing says what was used.")),
        ({"losses": "planting,space,day,plants\nP-1,F-1,2026-05-02,6"},
         ("losses", 2, "plants", "5 plants of P-1 were left there to lose.")),
        ({"stays": "planting,space,plants,from,moved_from\nP-1,F-3,6,2026-05-02,F-1"},
         ("stays", 2, "plants", "5 plants of P-1 were left in F-1 to come from there.")),
        ({"prices": "item,from,price\nkale,2026-06-01,6.005"}, ("prices", 2, "price", "6.005 is finer than a cent.")),
        ({"market_days": "date,market,opens,closes,item,unit,price,brought,left_over\n"
                         "2026-05-02,Saturday market,09:00,13:00,kale,lb,6.00,3,0"},
         ("market_days", 2, "opens", "Elsewhere it is 08:00.")),
        ({"market_days": "date,market,opens,closes,item,unit,price,brought,left_over,sold_out_at\n"
                         "2026-04-25,Saturday market,08:00,13:00,kale,lb,6.00,3,0,07:59"},
         ("market_days", 2, "sold_out_at", "It cannot run out before the market opens.")),
        ({"market_days": "date,market,opens,closes,item,unit,price,brought,left_over\n"
                         "2026-05-02,Tuesday market,09:00,13:00,kale,lb,6.00,3,0"},
         ("market_days", 2, "market", "“Tuesday market” does not stand in the sheet outlets.")),
        ({"schedules": "variety,stage,stage_name,kind,days,plants_per_place,survive\nmizuna,2,bed,bed,20,4,90"},
         ("schedules", 2, "stage", "The farm has this version of the schedule without this stage.")),
        ({"item_parts": "item,variety,share\nkale,mizuna,20"},
         ("item_parts", 2, "share", "The shares of kale add up to 120.")),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_with_its_row_and_nothing_is_written(tmp_path, sheets, fault):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    before = Entry.objects.count()
    assert fault in faults_of(write_only(tmp_path / "more", **sheets))
    assert Entry.objects.count() == before


def test_a_farm_that_moved_on_is_looked_at_again(tmp_path, monkeypatch):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    more = write_only(tmp_path / "more", losses="planting,space,day,plants\nP-1,F-1,2026-05-02,5")
    meanwhile = []

    def store(to_write, head, before, touched):
        if not meanwhile:
            meanwhile.append(
                read_sheets(
                    write_only(tmp_path / "phone", losses="planting,space,day,plants\nP-1,F-1,2026-05-03,4"), now=NOW
                )
            )
        return kept(to_write, head, before, touched)

    kept, nested = take_in.store, []
    monkeypatch.setattr(
        take_in, "store", lambda *told: kept(*told) if nested.append(1) or len(nested) == 2 else store(*told)
    )
    assert faults_of(more) == [("losses", 2, "plants", "1 plant of P-1 was left there to lose.")]


def test_a_farm_that_never_rests_is_said(tmp_path, monkeypatch):
    def never(*_told):
        raise take_in.MovedOn

    monkeypatch.setattr(take_in, "store", never)
    with pytest.raises(Refused, match="The farm is being changed at the same time"):
        read_sheets(write_grown(tmp_path), now=NOW)


def test_a_rule_of_the_tables_that_a_row_breaks_is_said_with_its_row(tmp_path, monkeypatch):
    monkeypatch.setattr(take_in, "check_rows", lambda rows, are_followed: [])
    more = "buyer,item,weekday,amount,every_weeks\nInn,butterhead,fri,6,2"
    assert faults_of(write_grown(tmp_path, standing_orders=more)) == [
        ("standing_orders", 2, "", "An order of every other week needs the day of its first delivery.")
    ]
    assert Entry.objects.count() == 0


def test_the_demo_farm_balances_and_comes_in_once():
    read = read_sheets(DEMO, now=datetime(2026, 9, 7, 13, 0, tzinfo=UTC))
    assert (sum(read.added.values()), read.without_place) == (8365, 0)
    found = balances(Planting.objects.all())
    assert {(one.not_placed, one.sown == one.in_stays + sum(one.out.values())) for one in found.values()} == {(0, True)}
    standing = {here.stay.pk for one in found.values() for here in one.here}
    assert standing == set(Stay.objects.filter(is_over=False).values_list("pk", flat=True))
    assert Leaving.objects.filter(how="not noted").count() == 0
    assert Planting.objects.get(code="P25-001").cleared_on == date(2025, 4, 29)
