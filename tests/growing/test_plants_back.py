"""Plants that come back by an undo or a correction: they find room, or somebody says why the space is over-full."""

import contextlib
import threading
from datetime import timedelta

import pytest
from django.db import connection, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.exchange.check_farm.plants import wrong_places, wrong_plants
from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.ground import rooms_of
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Planting, SpaceSpell, Stay
from farmops.growing.move_plants import move_plants
from farmops.growing.plan_stay import plan_stay
from farmops.growing.room_for import Into
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.models import Pick
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety, saying

pytestmark = pytest.mark.django_db
FULL = (
    "F-1 has 18 places; with this 24 would be taken on Mon 4 May. "
    "Move plants out of it first, so that 6 places come free, or say why it may be over-full."
)


@pytest.fixture
def channel():
    """18 holes, 12 of them taken by P-1."""
    channel = a_space("F-1")
    a_stay(a_planting("P-1", 12), channel)
    return channel


@pytest.fixture
def others():
    """18 plants of P-2 on a bench."""
    return a_stay(a_planting("P-2", 18), a_space("B-1", 60, "bench"))


def move(key, stay, space, plants, **other):
    corrects = {"corrects": other.pop("corrects")} if "corrects" in other else {}
    return move_plants(
        saying=saying(key, **corrects), stay=stay, into=[Into(space, plants)], yes={"other_kind"}, **other
    )


def pick_heads(key, stay, heads, **said):
    fresh = Planting.objects.get(pk=stay.planting_id)
    return pick_crop(
        saying=saying(key, **said),
        cut_from=[CutFrom(planting=fresh, stay=stay)],
        cut=TypedCut(count=str(heads), count_unit="head"),
        yes=frozenset({"after_clearing", "much_count"}),
    )


def gone(how, stay):
    """The 12 plants leave their channel: one entry."""
    if how == "moved":
        return move("gone", stay, a_space("B-9", 60, "bench"), 12)
    if how == "lost":
        return lose_plants(saying=saying("gone"), stay=stay, plants=12)
    if how == "cleared":
        return clear_planting(saying=saying("gone"), planting=stay.planting)
    return pick_heads("gone", stay, 12)


@pytest.mark.parametrize("how", ["moved", "lost", "cleared", "cut"])
def test_what_left_does_not_come_back_into_a_space_that_others_took(channel, others, how):
    left = gone(how, Stay.objects.get(space=channel))
    move("others", others, channel, 12)
    with pytest.raises(Refused) as refused:
        undo(saying("undo", corrects=left.entry))
    assert (str(refused.value), refused.value.field) == (FULL, "because")
    assert Entry.objects.filter(corrects=left.entry).count() == 0
    assert [one.plants for one in rooms_of([channel], TODAY)[channel.pk].occupants] == [12]


@pytest.mark.parametrize("how", ["moved", "lost", "cleared", "cut"])
def test_a_word_lets_it_come_back_and_shows_wherever_the_space_is(channel, others, how):
    stay = Stay.objects.get(space=channel)
    left = gone(how, stay)
    move("others", others, channel, 12)
    done = undo(saying("undo", corrects=left.entry, because=" they go on Wednesday "))
    (clash,) = rooms_of([channel], TODAY)[channel.pk].clashes(TODAY)
    assert (clash.over, clash.reasons) == (6.0, ("they go on Wednesday",))
    assert list(wrong_places(TODAY)) == []
    assert list(done.entry.changes.filter(column="over_full_because").values_list("row", "old", "new")) == [
        (stay.pk, "", "they go on Wednesday")
    ]


def test_a_word_that_was_not_needed_is_not_kept(channel):
    stay = Stay.objects.get(space=channel)
    undo(saying("undo", corrects=gone("lost", stay).entry, because="in case"))
    stay.refresh_from_db()
    assert (stay.is_over, stay.over_full_because) == (False, "")


def test_a_move_into_an_over_full_channel_and_back_needs_no_second_word(channel, others):
    """P-2 was let in over-full by 6; P-1 moves out by a slip, which is taken back: it is as it was, reason and all."""
    move("in", others, channel, 12, over_full_because="they go on Wednesday")
    undo(saying("undo", corrects=gone("moved", Stay.objects.get(space=channel, planting__code="P-1")).entry))
    (clash,) = rooms_of([channel], TODAY)[channel.pk].clashes(TODAY)
    assert (clash.over, clash.reasons) == (6.0, ("they go on Wednesday",))


def test_an_old_word_does_not_cover_what_came_in_since(channel, others):
    """P-2's word covers its own 8 places; P-3 took 10 that P-1 left, so that the channel would be 12 over."""
    move("in", others, channel, 8, over_full_because="they go on Wednesday")
    left = gone("moved", Stay.objects.get(space=channel, planting__code="P-1"))
    move("in their place", others, channel, 10)
    with pytest.raises(
        Refused, match=r"^F-1 has 18 places; with this 30 would be taken on Mon 4 May\. .* 12 places come"
    ):
        undo(saying("undo", corrects=left.entry))


def test_room_that_ends_on_a_day_ahead_counts(channel, others):
    """From 1 June the channel has 6 holes: 6 of its 12 plants would be too many then."""
    SpaceSpell.objects.create(space=channel, places=6, from_on=TODAY + timedelta(28))
    stay = Stay.objects.get(space=channel)
    left = lose_plants(saying=saying("lost"), stay=stay, plants=6)
    with pytest.raises(Refused) as refused:
        undo(saying("undo", corrects=left.entry))
    assert str(refused.value) == (
        "F-1 has 6 places; with this 12 would be taken on Mon 1 Jun. "
        "Move plants out of it first, so that 6 places come free, or say why it may be over-full."
    )


def test_what_is_only_planned_there_shows_as_a_clash_and_stops_no_undo(channel):
    stay = Stay.objects.get(space=channel)
    left = gone("lost", stay)
    plan = plan_stay(
        saying=saying("plan"),
        planting=a_planting("P-9", 18, state="planned", sown_on=TODAY),
        space=channel,
        plants=18,
        from_on=TODAY + timedelta(7),
    )
    assert plan.answer["clashes"] == []
    undo(saying("undo", corrects=left.entry))
    (clash,) = rooms_of([channel], TODAY)[channel.pk].clashes(TODAY)
    assert (clash.from_on, clash.over, clash.is_planned) == (TODAY + timedelta(7), 12.0, True)


def test_a_correction_that_gives_back_what_does_not_fit_is_refused_too(channel, others):
    stay = Stay.objects.get(space=channel)
    left = gone("lost", stay)
    move("others", others, channel, 12)
    with pytest.raises(Refused, match=r"^F-1 has 18 places; with this 19 would be taken on Mon 4 May\. "):
        lose_plants(saying=saying("five", corrects=left.entry), stay=stay, plants=5)
    assert balance_of(stay.planting).plants_in(stay) == 0
    lose_plants(saying=saying("six", corrects=left.entry), stay=stay, plants=6)
    assert [one.plants for one in rooms_of([channel], TODAY)[channel.pk].occupants] == [6, 12]


def test_a_pick_put_right_to_fewer_heads_needs_room_or_a_word(channel, others):
    stay = Stay.objects.get(space=channel)
    cut = pick_heads("cut", stay, 12)
    move("others", others, channel, 12)
    with pytest.raises(Refused, match=r"^F-1 has 18 places; with this 20 would be taken on Mon 4 May\. "):
        pick_heads("four", stay, 4, corrects=cut.entry)
    pick_heads("four", stay, 4, corrects=cut.entry, because="counted twice")
    stay.refresh_from_db()
    assert (stay.over_full_because, balance_of(stay.planting).plants_in(stay)) == ("counted twice", 8)


def test_a_correction_that_takes_as_many_is_no_matter_of_room(channel, others):
    """The channel was over-full before anybody looked; another day for the same loss makes it no fuller."""
    stay = Stay.objects.get(space=channel)
    lost = lose_plants(saying=saying("lost"), stay=stay, plants=2)
    SpaceSpell.objects.update(places=4)
    again = lose_plants(saying=saying("again", corrects=lost.entry), stay=stay, plants=2, cause="slugs")
    assert balance_of(stay.planting).plants_in(stay) == 10
    assert again.entry.changes.filter(column="over_full_because").count() == 0


DEEDS = st.lists(
    st.tuples(
        st.sampled_from(["move", "move", "lose", "clear", "pick", "correct", "undo", "undo", "undo with a word"]),
        st.integers(0, 5),
        st.integers(0, 2),
        st.sampled_from([18, 12, 6, 1]),
    ),
    min_size=8,
    max_size=24,
)


def a_deed(number, what, which, where, plants, spaces):
    stays = list(Stay.objects.live().filter(is_over=False).order_by("pk"))
    stay = stays[which % len(stays)] if stays else Stay.objects.earliest("pk")
    entries = list(Entry.objects.live().exclude(job="set").exclude(job="undo").order_by("-pk"))
    key = f"deed {number}"
    if what == "move":
        return move(key, stay, spaces[where], plants)
    if what == "lose":
        return lose_plants(saying=saying(key), stay=stay, plants=plants)
    if what == "clear":
        return clear_planting(saying=saying(key), planting=stay.planting, stay=stay if plants % 2 else None)
    if what == "pick":
        return pick_heads(key, stay, plants)
    if what == "correct":
        old = Pick.objects.live().order_by("-pk").first()
        return pick_heads(key, old.stay, plants, corrects=old.entry) if old else None
    because = "said so" if what == "undo with a word" else ""
    return undo(saying(key, corrects=entries[which % len(entries)], because=because)) if entries else None


@settings(max_examples=12)
@given(deeds=DEEDS)
def test_no_storm_of_deeds_and_undos_leaves_a_space_over_full_without_a_word(deeds):
    with transaction.atomic():
        variety = a_variety()
        a_schedule(variety, ("bench", 14, 2), ("finishing channel", 28, 1))
        spaces = [a_space("B-1", 12, "bench"), a_space("F-1"), a_space("F-2")]
        a_stay(a_planting("P-1", 24, variety), spaces[0], stage_number=1)
        a_stay(a_planting("P-2", 18, variety), spaces[1], stage_number=2)
        a_stay(a_planting("P-3", 12, variety), spaces[2], stage_number=2)
        for number, deed in enumerate(deeds):
            with contextlib.suppress(Refused):
                a_deed(number, *deed, spaces)
            if deed[0] not in {"move", "lose", "clear", "pick"}:
                assert [str(one) for one in wrong_places(TODAY)] == []
        assert [str(one) for one in (*wrong_places(TODAY), *wrong_plants())] == []
        transaction.set_rollback(True)


@pytest.mark.django_db(transaction=True)
def test_an_undo_and_a_move_of_the_same_plants_at_once_leave_them_in_one_place():
    """The undo comes first and the move finds nothing in the channel, or the move does and the undo is refused."""
    start = a_stay(a_planting("P-1", 12), a_space("B-1", 60, "bench"))
    there, beyond = a_space("F-1"), a_space("F-2")
    moved = move("moved", start, there, 12)
    arrived = Stay.objects.get(space=there)
    said, together = [], threading.Barrier(2)

    def one(deed):
        together.wait()
        try:
            deed()
            said.append("done")
        except Refused:
            said.append("refused")
        finally:
            connection.close()

    deeds = [
        lambda: undo(saying("undo", corrects=moved.entry)),
        lambda: move("on", arrived, beyond, 12),
    ]
    threads = [threading.Thread(target=one, args=[deed]) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == ["done", "refused"]
    assert [str(wrong) for wrong in wrong_plants()] == []
    assert [one.plants for one in balance_of(start.planting).here] == [12]
