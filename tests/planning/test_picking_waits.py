"""What must not be cut, place by place: it is off every list, and what stands beside it stays on."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.sizing import solve
from farmops.farm.days import farm_zone, instant_of
from farmops.growing.balance import balance_of
from farmops.growing.models import Leaving, Planting, Space, Stay, Walk
from farmops.harvest.models import Pick
from farmops.harvest.pick_sheets import Part, lines_of, part_of
from farmops.planning.from_tables import farm_rows, growing_rows
from farmops.planning.pick_list_words import blocked_in_words
from farmops.planning.picking_waits import blocked_on, may_be_cut
from farmops.planning.rows import Stay as StayRow
from farmops.planning.rows import Waiting
from farmops.planning.standing import growing_of
from farmops.planning.tonight import lines_for, make_sheet
from farmops.waiting.models import DoNotCut, Treatment
from farmops.waiting.waits_for import waits_for
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_place, a_variety, an_item, moved, walked
from tests.planning.wanted import TUESDAY, a_buyer, a_channel, an_order, ready

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 5, 4)
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
UNTIL = datetime(2026, 5, 7, 13, 0, tzinfo=UTC)


@pytest.fixture
def lettuce():
    a_place()
    return a_variety()


def wait_for(planting, *, stay=None, before=UNTIL, reason="soap spray", said_on=date(2026, 4, 30)):
    entry = an_entry(f"wait {planting} {stay} {reason}", job="wait", farm_day=said_on)
    return DoNotCut.objects.create(planting=planting, stay=stay, before=before, reason=reason, entry=entry)


def in_space(planting, name):
    return planting.stays.get(space__name=name)


def made():
    return lines_of(make_sheet(day=TUESDAY, now=NOW, solver=solve))


def cuts(lines):
    return [(line.stay.space.name, line.amount) for line in lines if part_of(line) is Part.CUT]


def off(lines):
    return [line.words for line in lines if part_of(line) is Part.OFF]


def test_a_place_that_waits_is_off_the_list_and_the_others_stay_on(lettuce):
    """40 plants in two channels, of which 38 live to be cut: 19 in each."""
    planting = ready(lettuce, "P26-001", "N-1", "N-2")
    an_order(a_buyer("Inn"), an_item(lettuce), 38)
    assert cuts(made()) == [("N-1", 19), ("N-2", 19)]
    wait_for(planting, stay=in_space(planting, "N-1"))
    lines = made()
    assert cuts(lines) == [("N-2", 19)]
    assert off(lines) == ["Do not cut P26-001 green butterhead in N-1 before Thu 7 May 2026, 09:00: soap spray"]
    packs = [(line.packed, line.short, line.words) for line in lines if part_of(line) is Part.PACK]
    assert packs == [(19, 19, "")]


def test_two_places_that_wait_for_two_things_say_so_apart(lettuce):
    planting = ready(lettuce, "P26-001", "N-1", "N-2", "N-10")
    wait_for(planting, stay=in_space(planting, "N-10"))
    wait_for(planting, stay=in_space(planting, "N-1"), before=None, reason="laboratory")
    an_order(a_buyer("Inn"), an_item(lettuce), 60)
    lines = made()
    assert cuts(lines) == [("N-2", 19)]
    assert off(lines) == [
        "Do not cut P26-001 green butterhead in N-1 until it is lifted: laboratory",
        "Do not cut P26-001 green butterhead in N-10 before Thu 7 May 2026, 09:00: soap spray",
    ]


def test_one_stay_that_waits_speaks_for_all_plants_in_its_space(lettuce):
    """Those that came into N-1 on 31 March wait; the others in N-1 are cut in the same go, so they wait, too."""
    planting = ready(lettuce, "P26-001", "N-1", "N-2")
    later = moved(planting.stays.get(came_from=None), "N-1", 5, date(2026, 3, 31))
    Planting.objects.filter(pk=planting.pk).update(plants=45)
    Stay.objects.filter(planting=planting, came_from=None).update(plants=45)
    wait_for(planting, stay=later)
    an_order(a_buyer("Inn"), an_item(lettuce), 45)
    assert cuts(made()) == [("N-2", 19)]


def test_all_of_a_planting_waits_where_nobody_said_which(lettuce):
    planting = ready(lettuce, "P26-001", "N-1", "N-2")
    wait_for(planting)
    an_order(a_buyer("Inn"), an_item(lettuce), 38)
    lines = made()
    assert cuts(lines) == []
    assert off(lines) == ["Do not cut P26-001 green butterhead in N-1, N-2 before Thu 7 May 2026, 09:00: soap spray"]


def test_a_wait_goes_where_its_plants_go_and_not_where_others_went_before(lettuce):
    """N-1 was sprayed on 2 May, with 21 days to wait; on 1 May 6 had left it, on 3 May 5 more."""
    planting = ready(lettuce, "P26-001", "N-1", "N-2")
    first = in_space(planting, "N-1")
    a_channel("N-3", "N-4")
    moved(first, "N-3", 6, date(2026, 5, 1))
    moved(first, "N-4", 5, date(2026, 5, 3))
    Treatment.objects.create(
        space=first.space, ended_on=date(2026, 5, 2), harvest_days=21, product="soap", entry=an_entry("spray")
    )
    rows = growing_rows()
    growing = growing_of(rows, MONDAY)
    (blocked,) = blocked_on(rows, TUESDAY, MONDAY)
    assert (blocked.spaces, blocked.until.date()) == (("N-1", "N-4"), date(2026, 5, 24))
    ((free, _outlook),) = may_be_cut(growing, [blocked], MONDAY)
    assert {(stand.space, stand.plants) for stand in free.stands if stand.to_day is None} == {("N-2", 20), ("N-3", 6)}


def test_where_nobody_may_enter_nothing_is_cut_even_of_what_came_later(lettuce):
    """Sprayed on 4 May until 16:00, 24 hours nobody may enter: what came in the morning after waits for that alone."""
    planting = ready(lettuce, "P26-001", "N-1")
    a_channel("N-3")
    moved(in_space(planting, "N-1"), "N-3", 5, TUESDAY)
    Treatment.objects.create(
        space=Space.objects.get(name="N-3"),
        ended_on=MONDAY,
        ended_minute=16 * 60,
        harvest_days=9,
        entry_hours=Decimal(24),
        product="soap",
        entry=an_entry("spray"),
    )
    rows = growing_rows()
    (blocked,) = blocked_on(rows, TUESDAY, TUESDAY)
    assert (blocked.spaces, blocked.until.isoformat()) == (("N-3",), "2026-05-05T16:00:00-04:00")


@pytest.mark.parametrize(
    ("moved_from", "spaces"),
    [
        ("N-1", ("F-1",)),
        ("N-2", ()),
        ("", ("F-1",)),  # nobody said from where: it may be from the dipped one
    ],
)
def test_plants_of_a_sheet_that_may_have_come_from_a_treated_place_wait(lettuce, moved_from, spaces):
    a_channel("F-1", "F-2")
    ready(lettuce, "P26-001", "N-1")
    rows = growing_rows()
    told = {"planting": "P26-001", "plants": 10, "stage": 2}
    nursery = [
        StayRow(space=name, from_day=date(2026, 3, 9), to_day=date(2026, 4, 9), **told) for name in ("N-1", "N-2")
    ]
    here = StayRow(space="F-1", from_day=date(2026, 4, 9), moved_from=moved_from, **told)
    dip = Waiting(space="N-1", ended=date(2026, 4, 1), product="dip", harvest_days=60)
    rows = type(rows)(farm=rows.farm, plantings=rows.plantings, stays=(*nursery, here), waiting=(dip,))
    assert tuple(space for one in blocked_on(rows, MONDAY, MONDAY) for space in one.spaces) == spaces


def test_what_was_seen_ready_counts_by_the_share_that_may_be_cut(lettuce):
    """About 30 were seen ready in three channels alike; two of them wait."""
    planting = ready(lettuce, "P26-001", "N-1", "N-2", "N-10")
    walked(planting, MONDAY, ready=Decimal(30))
    for name in ("N-1", "N-2"):
        wait_for(planting, stay=in_space(planting, name))
    an_order(a_buyer("Inn"), an_item(lettuce), 60)
    assert cuts(made()) == [("N-10", 10)]


def test_picks_that_named_no_place_are_taken_off_what_may_be_cut(lettuce):
    planting = ready(lettuce, "P26-001", "N-1", "N-2")
    wait_for(planting, stay=in_space(planting, "N-1"))
    entry = an_entry("a pick", job="pick")
    Pick.objects.create(planting=planting, picked_on=MONDAY, count=4, count_unit="head", typed="4", entry=entry)
    an_order(a_buyer("Inn"), an_item(lettuce), 38)
    assert cuts(made()) == [("N-2", 15)]


def test_words_name_the_place_only_where_it_is_known(lettuce):
    planting = ready(lettuce, "P26-001", "N-1")
    Stay.objects.filter(planting=planting).update(is_over=True)
    Leaving.objects.all().delete()
    Stay.objects.filter(planting=planting).order_by("-pk").first().delete()
    Stay.objects.filter(planting=planting).delete()
    wait_for(planting)
    rows = growing_rows()
    (blocked,) = blocked_on(rows, TUESDAY, MONDAY)
    assert blocked_in_words(blocked) == "Do not cut P26-001 green butterhead before Thu 7 May 2026, 09:00: soap spray"


DAYS = st.integers(0, 34)
DEEDS = st.lists(
    st.one_of(
        st.tuples(st.just("move"), st.integers(0, 9), st.integers(0, 4), st.integers(1, 20), DAYS),
        st.tuples(st.sampled_from(["lost", "cleared"]), st.integers(0, 9), st.integers(1, 20), DAYS),
        st.tuples(st.just("pick"), st.integers(0, 9), st.integers(1, 12), st.booleans()),
        st.tuples(st.just("wait"), st.integers(0, 9), st.sampled_from([None, 0, 1, 3]), DAYS),
        st.tuples(st.just("wait for all"), st.integers(0, 1), st.sampled_from([None, 0, 1, 3]), DAYS),
        st.tuples(st.just("spray"), st.integers(0, 4), st.sampled_from([None, 0, 2, 30]), DAYS),
        st.tuples(st.just("seen"), st.integers(0, 1), st.integers(0, 60), st.integers(28, 34)),
    ),
    max_size=14,
)
CHANNELS = ("N-1", "N-2", "N-10", "F-3", "F-4")
FIRST = date(2026, 3, 31)  # the plants came into the channels on the day before


def a_deed(number, deed):
    what = deed[0]
    stays = list(Stay.objects.filter(stage_number=2).order_by("pk"))
    day = FIRST + timedelta(deed[-1]) if what != "pick" else MONDAY
    if what == "spray":
        space = Space.objects.get(name=CHANNELS[deed[1]])
        facts = {"harvest_days": deed[2], "entry_hours": Decimal(30), "product": "soap"}
        Treatment.objects.create(space=space, ended_on=day, entry=an_entry(f"{number}", farm_day=day), **facts)
        return
    if what in ("wait for all", "seen"):
        planting = Planting.objects.order_by("pk")[deed[1]]
        if what == "seen":
            entry = an_entry(f"{number}", job="walk")
            Walk.objects.create(planting=planting, seen_on=day, ready=Decimal(deed[2]), entry=entry)
            return
        before = None if deed[2] is None else instant_of(TUESDAY + timedelta(deed[2] - 1), 8 * 60, farm_zone())
        wait_for(planting, before=before, reason=f"{number}", said_on=day)
        return
    stay = stays[deed[1] % len(stays)]
    here = balance_of(stay.planting).plants_in(stay)
    if what == "wait":
        before = None if deed[2] is None else instant_of(TUESDAY + timedelta(deed[2] - 1), 8 * 60, farm_zone())
        wait_for(stay.planting, stay=stay, before=before, reason=f"{number}", said_on=max(day, stay.from_on))
        return
    plants = min(deed[3] if what == "move" else deed[2], here)
    day = max([day, stay.from_on, *stay.leavings.values_list("left_on", flat=True)])
    if not plants:
        return
    if what == "move":
        to_space = Space.objects.get(name=CHANNELS[deed[2]])
        if stay.space == to_space:
            return
        told = {"planting": stay.planting, "plants": plants, "entry": an_entry(f"{number}", job="move")}
        to_stay = Stay.objects.create(space=to_space, from_on=day, came_from=stay, stage_number=2, **told)
        Leaving.objects.create(stay=stay, how="moved", left_on=day, to_stay=to_stay, **told)
    elif what == "pick":
        entry = an_entry(f"{number}", job="pick")
        facts = {"count": plants, "count_unit": "head", "typed": "?", "entry": entry}
        Pick.objects.create(planting=stay.planting, stay=stay if deed[3] else None, picked_on=day, **facts)
        Leaving.objects.create(planting=stay.planting, stay=stay, how="cut", plants=plants, left_on=day, entry=entry)
    else:
        told = {"planting": stay.planting, "plants": plants, "entry": an_entry(f"{number}", job="lose")}
        Leaving.objects.create(stay=stay, how=what, left_on=day, **told)
    if plants == here:
        Stay.objects.filter(pk=stay.pk).update(is_over=True)


@settings(max_examples=15)
@given(deeds=DEEDS)
def test_nothing_that_waits_is_ever_listed_and_never_more_than_stands_there(deeds):
    with transaction.atomic():
        a_place()
        lettuce = a_variety()
        a_channel("F-3", "F-4")
        ready(lettuce, "P26-001", "N-1", "N-2")
        ready(lettuce, "P26-002", "N-10", "F-3")
        an_order(a_buyer("Inn"), an_item(lettuce), 200)
        for number, deed in enumerate(deeds):
            a_deed(number, deed)
        lines = [line for line in lines_for(farm_rows(), TUESDAY, solve) if part_of(line) is Part.CUT]
        plantings = list(Planting.objects.order_by("pk"))
        waits = waits_for(plantings, instant_of(TUESDAY, 0, farm_zone()))
        for planting in plantings:
            here = balance_of(planting).here
            waiting = {one.stay.space_id for one in here if waits[planting.pk].longest(one.stay.pk) is not None}
            free = sum(one.plants for one in here if one.stay.space_id not in waiting)
            of_it = [line for line in lines if line.planting_id == planting.pk]
            assert waiting & {line.stay.space_id for line in of_it if line.stay} == set()
            if waiting:
                assert [line for line in of_it if line.stay is None] == []
                assert sum(line.amount for line in of_it) <= free
        transaction.set_rollback(True)
