"""Versions of a schedule: begun from a day on, put right while nothing was sown by them, left alone under a sowing."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.growing.models import Item, ItemPart, Planting, Schedule, Stage
from farmops.growing.pace import paces_of
from farmops.growing.set_schedule import begin_schedule, put_schedule_right
from farmops.growing.typed_schedule import HarvestTyped, StageTyped
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_kind, a_planting, a_variety, saying

pytestmark = pytest.mark.django_db
MAY_11, JUNE = date(2026, 5, 11), date(2026, 6, 1)
SHELF = StageTyped(1, "seedling shelf", days="21", per_place="72", survive="92")
CHANNEL = StageTyped(2, "finishing channel", days="28", per_place="1", survive="95")
HEADS = HarvestTyped(way="head", unit="heads", per_plant="1")


@pytest.fixture
def lettuce():
    a_kind("seedling shelf"), a_kind("finishing channel")
    return a_variety()


def begin(variety, key="first", stages=(SHELF, CHANNEL), harvest=HEADS, from_on=None):
    return begin_schedule(saying=saying(key), variety=variety, stages=stages, harvest=harvest, from_on=from_on).entry


def put_right(schedule, key="right", stages=(SHELF, CHANNEL), harvest=HEADS):
    return put_schedule_right(saying=saying(key), schedule=schedule, stages=stages, harvest=harvest).entry


def stages(schedule):
    return list(schedule.stages.order_by("number").values_list("number", "name", "days", "survive_percent"))


def test_the_first_version_holds_from_the_beginning(lettuce):
    entry = begin(lettuce)
    said = "Schedule of green butterhead from the beginning: seedling shelf 21 → finishing channel 28 days"
    schedule = Schedule.objects.get()
    assert (entry.said, schedule.valid_from, schedule.unit, schedule.packed_percent) == (said, None, "head", 100)
    assert stages(schedule) == [(1, "seedling shelf", 21, 92), (2, "finishing channel", 28, 95)]
    undo(saying("back", corrects=entry))
    assert (Schedule.objects.count(), Stage.objects.count()) == (0, 0)


def test_sowings_keep_the_version_of_their_day(lettuce):
    begin(lettuce)
    first = Schedule.objects.get()
    before = a_planting("P-1", sown_on=date(2026, 4, 13), schedule=first, variety=lettuce)
    ahead = a_planting("P-2", sown_on=MAY_11, state="planned", schedule=first, variety=lettuce)
    slower = begin(lettuce, "slower", stages=(SHELF, StageTyped(2, "finishing channel", days="35", per_place="1",
                                                               survive="90")))  # fmt: skip
    second = Schedule.objects.get(valid_from=TODAY)
    assert "from Mon 4 May 2026 on" in slower.said
    before.refresh_from_db(), ahead.refresh_from_db()
    paces = paces_of([before, ahead])
    assert [paces[one.pk].schedule for one in (before, ahead)] == [first, second]
    assert stages(first)[1] == (2, "finishing channel", 28, 95)
    undo(saying("back", corrects=slower))
    ahead.refresh_from_db()
    assert (ahead.schedule, Schedule.objects.count()) == (first, 1)


def test_a_version_does_not_begin_before_what_was_sown_by_the_one_before(lettuce):
    begin(lettuce)
    a_planting("P-1", sown_on=TODAY, schedule=Schedule.objects.get(), variety=lettuce)
    with pytest.raises(Refused, match=r"^P-1 was sown on Mon 4 May 2026 by the version before and keeps it"):
        begin(lettuce, "second", from_on=TODAY)
    begin(lettuce, "later", from_on=MAY_11)
    with pytest.raises(Refused, match=r"^A version begins on Mon 11 May 2026 already"):
        begin(lettuce, "twice", from_on=MAY_11)


def test_a_version_before_a_later_one_leaves_the_sowings_of_that(lettuce):
    begin(lettuce)
    begin(lettuce, "june", from_on=JUNE)
    june = a_planting("P-1", sown_on=JUNE, schedule=Schedule.objects.get(valid_from=JUNE), variety=lettuce)
    begin(lettuce, "may", from_on=MAY_11)
    june.refresh_from_db()
    assert june.schedule.valid_from == JUNE


def test_a_version_is_put_right_with_old_and_new_noted(lettuce):
    begin(lettuce)
    schedule = Schedule.objects.get()
    right = put_right(
        schedule,
        stages=(SHELF, StageTyped(2, "finishing channel", days="30", per_place="1", survive="95"),
                StageTyped(3, "seedling shelf", "cold shelf", days="2", per_place="10", survive="100")),
    )  # fmt: skip
    assert right.said.endswith("→ finishing channel 30 → cold shelf 2 days, put right")
    assert list(right.changes.values_list("column", "new")) == [("days", "30")]
    assert [row[:3] for row in stages(schedule)] == [
        (1, "seedling shelf", 21), (2, "finishing channel", 30), (3, "cold shelf", 2)
    ]  # fmt: skip
    one = put_right(schedule, "one stage", stages=(SHELF,))
    assert [row[1] for row in stages(schedule)] == ["seedling shelf"]
    undo(saying("back", corrects=one))
    undo(saying("back both", corrects=right))
    assert stages(schedule) == [(1, "seedling shelf", 21, 92), (2, "finishing channel", 28, 95)]


def test_a_version_by_which_something_was_sown_is_not_put_right(lettuce):
    begin(lettuce)
    schedule = Schedule.objects.get()
    a_planting("P-1", sown_on=TODAY, schedule=schedule, variety=lettuce)
    with pytest.raises(Refused, match=r"^P-1 was sown by this version and keeps it\. Begin a new version"):
        put_right(schedule, stages=(SHELF,))
    assert Planting.objects.get().schedule == schedule


def test_it_is_cut_in_one_kind_of_unit_for_good(lettuce):
    begin(lettuce, harvest=HarvestTyped(way="cut", unit="lb", per_plant="0.1"))
    with pytest.raises(Refused, match=r"^green butterhead is cut in lb so far, which cannot be added to head\.$"):
        begin(lettuce, "heads", from_on=MAY_11)
    begin(lettuce, "kilos", harvest=HarvestTyped(way="cut", unit="kg", per_plant="0.05"), from_on=MAY_11)


def test_it_is_cut_in_what_items_of_it_contain(lettuce):
    item = Item.objects.create(name="mix", unit="bag", keeps_days=5, contains=150, contains_unit="g")
    ItemPart.objects.create(item=item, variety=lettuce, share_percent=100)
    with pytest.raises(Refused, match=r"^mix is made of green butterhead and contains so many g, not head\.$"):
        begin(lettuce)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"stages": ()}, "kind_1"),
        ({"stages": (StageTyped(1, "", days="21"),)}, "kind_1"),
        ({"stages": (StageTyped(3, "seedling shelf", days="", per_place="1", survive="9"),)}, "days_3"),
        ({"stages": (StageTyped(1, "seedling shelf", days="0", per_place="1", survive="9"),)}, "days_1"),
        ({"stages": (StageTyped(1, "seedling shelf", days="0.001", per_place="1", survive="9"),)}, "days_1"),
        ({"stages": (StageTyped(1, "seedling shelf", days="2", per_place="", survive="9"),)}, "per_place_1"),
        ({"stages": (StageTyped(1, "seedling shelf", days="2", per_place="1", survive="101"),)}, "survive_1"),
        ({"stages": (StageTyped(1, "seedling shelf", days="2", per_place="1", survive="0"),)}, "survive_1"),
        (
            {"stages": (StageTyped(1, "seedling shelf", days="2", per_place="1", survive="9", by_date="03-01=0"),)},
            "by_date_1",
        ),
        ({"harvest": HarvestTyped(way="head", unit="", per_plant="1")}, "unit"),
        ({"harvest": HarvestTyped(way="head", unit="head", per_plant="0")}, "per_plant"),
        ({"harvest": HarvestTyped(way="cut", unit="lb", per_plant="1", cuttings="100;80")}, "days_between"),
        ({"harvest": HarvestTyped(way="cut", unit="lb", per_plant="1", cuttings="100;0")}, "cuttings"),
        ({"harvest": HarvestTyped(way="picked", unit="lb", per_plant="1")}, "pick_weeks"),
    ],
)
def test_what_cannot_be_begins_no_version(lettuce, wrong, field):
    with pytest.raises(Refused) as refused:
        begin(lettuce, **wrong)
    assert (refused.value.field, Schedule.objects.count()) == (field, 0)


def test_what_a_way_of_harvest_does_not_need_is_not_kept(lettuce):
    begin(lettuce, harvest=HarvestTyped(way="head", unit="head", per_plant="1", cuttings="100;80", pick_weeks="6"))
    schedule = Schedule.objects.get()
    assert (schedule.cuttings, schedule.days_between, schedule.pick_weeks) == ("", None, None)


def test_cuttings_days_by_date_and_light_are_kept(lettuce):
    stage = StageTyped(1, "seedling shelf", days="20", per_place="1", survive="9", by_date="6-29=38;3-30=60", light="0")
    cut = HarvestTyped(way="cut", unit="oz", per_plant="½", packed="80", cuttings="100; 80", days_between="14")
    begin(lettuce, stages=(stage,), harvest=cut)
    schedule = Schedule.objects.get()
    assert (schedule.units_per_plant, schedule.cuttings, schedule.days_between) == (Decimal("0.5"), "100;80", 14)
    kept = Stage.objects.get()
    assert (kept.days_by_date, kept.light_response_percent, kept.days_at) == ("03-30=60;06-29=38", 0, "03-20")
