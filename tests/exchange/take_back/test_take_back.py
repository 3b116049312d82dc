"""One reading taken back: its rows go, all or none; what others noted stays; the same sheets make that farm again."""

from datetime import UTC, date, datetime
from itertools import count

import pytest
from django.db import IntegrityError, transaction

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.models import ReadRows, RowTakenBack
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.read_sheets.to_write import IN_ORDER
from farmops.exchange.take_back.take_back import take_back
from farmops.exchange.write_sheets import write_sheets
from farmops.growing.balance import balances
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Item, Planting, Stay
from farmops.growing.set_item import change_item
from farmops.growing.set_spaces import add_spaces
from farmops.growing.typed_item import PartTyped
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.models import Lot, Pick
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.journal.deed import Saying
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.planning.models import StoredAnswer
from farmops.waiting.models import Treatment
from tests.exchange.grown_farm import write_grown, write_only

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
KEYS = count(1)
YES = frozenset({"before_ready", "other_kind", "count-unusual", "after_clearing"})
MORE = {
    "plantings": "planting,variety,sown,plants\nP-4,green butterhead,2026-05-03,18",
    "stays": "planting,space,plants,from,moved_from\nP-4,N-1,18,2026-05-03,\nP-1,F-3,5,2026-05-02,F-1",
    "losses": "planting,space,day,plants\nP-1,F-2,2026-05-03,17",
    "picks": "planting,day,amount,unit,space\nP-1,2026-05-04,5,head,F-3",
    "spaces": "space,kind,places\nF-9,channel,18",
    "seed_lots": "seed_lot,variety\nS-9,mizuna",
    "closed_days": "first_day,reason\n2026-08-01,fair",
}


def saying(**other):
    told = {"key": f"key-{next(KEYS)}", "body": {}, "said_at": NOW, "now": NOW, "day": NOW.date()}
    return Saying(**{**told, **other})


def back(entry, **other):
    return take_back(saying(corrects=entry, **other))


def rows():
    """How many rows each table of the sheets has, entries apart."""
    return {model.__name__: model._base_manager.count() for model in IN_ORDER if model is not Entry}


def written(folder):
    write_sheets(folder)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def farm(tmp_path):
    return read_sheets(write_grown(tmp_path / "farm"), now=NOW).entry


@pytest.fixture
def more(farm, tmp_path):
    return read_sheets(write_only(tmp_path / "more", **MORE), now=NOW).entry


def test_the_first_reading_taken_back_leaves_an_empty_farm_and_the_same_sheets_make_it_again(farm, tmp_path):
    before, entries = written(tmp_path / "before"), Entry.objects.count()
    done = back(farm)
    assert done.entry.said == f"Taken back: {farm.said}"
    assert set(rows().values()) == {0}
    assert Entry.objects.count() == entries + 1
    assert [str(one) for one in check_farm(NOW.date())] == []
    again = read_sheets(tmp_path / "farm", now=NOW)
    assert (sum(again.added.values()), sum(again.there.values())) == (58, 0)
    assert written(tmp_path / "after") == before
    assert sum(read_sheets(tmp_path / "farm", now=NOW).added.values()) == 0
    back(again.entry)
    read_sheets(tmp_path / "farm", now=NOW)  # and a third time
    assert written(tmp_path / "third") == before


@pytest.mark.case("I06")
def test_only_this_reading_is_taken_back_and_plants_stand_where_they_stood(farm, tmp_path):
    before, counts = written(tmp_path / "before"), rows()
    over = dict(Stay.objects.values_list("pk", "is_over"))
    head = read_sheets(write_only(tmp_path / "more", **MORE), now=NOW).entry
    after = written(tmp_path / "after")
    assert dict(Stay.objects.filter(pk__in=over).values_list("pk", "is_over")) != over
    back(head)
    assert (rows(), dict(Stay.objects.values_list("pk", "is_over"))) == (counts, over)
    assert written(tmp_path / "again") == before
    assert [str(one) for one in check_farm(NOW.date())] == []
    read_sheets(tmp_path / "more", now=NOW)
    assert written(tmp_path / "once more") == after


def test_many_rows_are_taken_back_by_few_queries(farm, tmp_path, django_assert_max_num_queries):
    lines = [f"P-2,2026-04-{1 + number % 26:02d},{number % 400 / 10 + 0.1:.1f},lb" for number in range(2_000)]
    folder = write_only(tmp_path / "more", picks="planting,day,amount,unit\n" + "\n".join(lines))
    head = read_sheets(folder, now=NOW).entry
    assert head.said == "Read 2,000 rows from sheets: picks 2,000"
    with django_assert_max_num_queries(150):
        assert back(head).entry.answer["rows"] == 2_000 + 25  # and the lots of 25 more days
    assert Pick.objects.count() == 4


def test_each_row_is_kept_as_it_was(farm):
    pick = Pick.objects.order_by("pk").first()
    done = back(farm)
    kept = RowTakenBack.objects.get(table="harvest.pick", row=pick.pk)
    assert (kept.taken_back_by, kept.was) == (
        done.entry,
        {"id": pick.pk, "planting_id": pick.planting_id, "stay_id": pick.stay_id, "lot_id": pick.lot_id,
         "picked_on": "2026-05-01", "minute": 430, "cutting": None, "count": 10, "count_unit": "head", "mass_ng": None,
         "typed": "10 head", "typed_unit": "head", "gross_ng": None, "crates": None, "crate_tare_ng": None,
         "culled_count": None, "culled_ng": None, "was_before_ready": False, "by_name": "Ines",
         "cut_for_id": None, "entry_id": pick.entry_id},
    )  # fmt: skip


def test_the_same_form_again_is_answered_as_the_first_time_and_another_is_refused(farm):
    first = back(farm, key="one")
    assert back(farm, key="one").entry == first.entry
    with pytest.raises(Refused, match="corrected"):
        back(farm, key="two")


def test_it_is_refused_while_a_later_entry_rests_on_it_and_nothing_is_taken_back(farm):
    planting = Planting.objects.get(code="P-1")
    stay = Stay.objects.get(planting=planting, space__name="F-2")
    cut = pick_crop(saying=saying(), cut_from=[CutFrom(planting=planting, stay=stay)], cut=TypedCut(count="2"), yes=YES)
    before = rows()
    with pytest.raises(Refused) as refused:
        back(farm)
    assert str(refused.value) == f"Later entries rest on this one: {cut.entry.said}. Take those back first."
    assert rows() == before
    undo(saying(corrects=cut.entry))
    back(farm)  # what counts no more goes along
    assert (set(rows().values()), RowTakenBack.objects.filter(table="harvest.stockmove").count()) == ({0}, 1)
    assert [str(one) for one in check_farm(NOW.date())] == []


def test_another_reading_that_rests_on_it_is_named_once(farm, more):
    with pytest.raises(Refused) as refused:
        back(farm)
    assert str(refused.value) == f"Later entries rest on this one: {more.said}. Take those back first."
    back(more)
    back(farm)
    assert set(rows().values()) == {0}


def test_it_is_refused_where_plants_it_moved_went_on_since(farm, more):
    planting = Planting.objects.get(code="P-1")
    here = balances([planting])[planting.pk].here
    assert [one.stay.space.name for one in here] == []
    stays = {stay.space.name: stay for stay in Stay.objects.select_related("space").filter(planting__code="P-4")}
    lost = lose_plants(saying=saying(), stay=stays["N-1"], plants=3, cause="slugs")
    with pytest.raises(Refused) as refused:
        back(more)
    assert str(refused.value) == f"Later entries rest on this one: {lost.entry.said}. Take those back first."


@pytest.mark.parametrize(
    ("gone", "over"),
    [
        pytest.param({"losses": "planting,space,day,plants\nP-1,F-2,2026-05-03,17"}, 17, id="lost"),
        pytest.param({"picks": "planting,day,amount,unit,space\nP-1,2026-05-03,17,head,F-2"}, 17, id="cut"),
        pytest.param({"stays": "planting,space,plants,from,moved_from\nP-1,F-3,17,2026-05-03,F-2"}, 17, id="moved"),
        pytest.param({"stays": "planting,space,plants,from,moved_from\nP-1,F-3,5,2026-05-03,F-2"}, 5, id="in part"),
    ],
)
def test_plants_come_back_only_where_there_is_room(farm, tmp_path, gone, over):
    """F-2 has 18 places. 17 plants stood there; what a second reading took out of it a third one filled."""
    head = read_sheets(write_only(tmp_path / "gone", **gone), now=NOW).entry
    other = write_only(
        tmp_path / "new",
        plantings=f"planting,variety,sown,plants\nP-4,green butterhead,2026-05-03,{over + 1}",
        stays=f"planting,space,plants,from\nP-4,F-2,{over + 1},2026-05-03",
    )
    full = read_sheets(other, now=NOW).entry
    before, counts = written(tmp_path / "before"), rows()
    with pytest.raises(Refused) as refused:
        back(head)
    assert str(refused.value) == (
        "Plants would stand again where there is no room for them. "
        f"F-2 has 18 places; with this {18 + over} would be taken on Mon 4 May. Move others out first."
    )
    assert (written(tmp_path / "after"), rows()) == (before, counts)
    back(full)
    back(head)
    stay = Stay.objects.get(planting__code="P-1", space__name="F-2")
    assert {one.stay.pk: one.plants for one in balances([stay.planting])[stay.planting_id].here}[stay.pk] == 17


def test_a_lot_that_it_stopped_may_go_out_again(farm, tmp_path):
    spray = "planting,ended,product,job,harvest_days\nP-2,2026-04-18,soap,spray,3"
    head = read_sheets(write_only(tmp_path / "more", waiting=spray), now=NOW).entry
    assert Lot.objects.get(planting__code="P-2").stopped_because == "cut inside a wait: soap"
    back(head)
    lot = Lot.objects.get(planting__code="P-2")
    assert (lot.stopped_at, lot.stopped_because) == (None, "")
    assert Treatment.objects.filter(planting=lot.planting).count() == 0


def test_answers_worked_out_from_it_are_not_shown_any_more(farm):
    StoredAnswer.objects.create(kind="sowing", as_of=date(2026, 5, 4), made_at=NOW, last_entry=1, answer={})
    back(farm)
    assert StoredAnswer.objects.count() == 0


def test_a_reading_whose_rows_were_not_noted_says_so(farm):
    ReadRows.objects.all().delete()
    with pytest.raises(Refused, match="Which rows it added was not noted then"):
        back(farm)


def test_an_entry_of_a_row_is_no_reading(farm):
    with pytest.raises(ValueError, match="the entry of the whole reading"):
        back(Entry.objects.exclude(pk=farm.pk).first())


@pytest.mark.parametrize(
    "broken",
    [
        pytest.param(lambda head: [ReadRows(reading=head, table="x", first=2, last=1)], id="run backwards"),
        pytest.param(lambda head: [ReadRows(reading=head, table="x", first=1, last=1)] * 2, id="added twice"),
        pytest.param(
            lambda head: [RowTakenBack(taken_back_by=head, table="x", row=1, was={}) for _ in range(2)], id="back twice"
        ),
    ],
)
def test_the_tables_keep_their_rules(farm, broken):
    rows_to_write = broken(farm)
    with pytest.raises(IntegrityError), transaction.atomic():
        type(rows_to_write[0]).objects.bulk_create(
            [
                type(one)(**{f.attname: getattr(one, f.attname) for f in one._meta.concrete_fields})
                for one in rows_to_write
            ]
        )


def test_what_was_set_up_on_a_reading_holds_it_until_that_is_taken_back(farm):
    space = add_spaces(saying=saying(), kind="channel", names="F-9", places="18").entry
    item = Item.objects.get(name="butterhead")
    parts = (PartTyped(1, "mizuna", "100"),)
    facts = {"keeps_days": "5", "contains": "1", "contains_unit": "oz"}
    part = change_item(saying=saying(), item=item, parts=parts, **facts).entry
    with pytest.raises(Refused) as refused:
        back(farm)
    assert {entry.said for entry in (space, part)} <= set(
        str(refused.value).removeprefix("Later entries rest on this one: ").partition(". Take those")[0].split("; ")
    )
    for entry in (part, space):
        undo(saying(corrects=entry))
    back(farm)
    assert set(rows().values()) == {0}
