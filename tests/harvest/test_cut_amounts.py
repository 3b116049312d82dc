"""The boxes of a pick, read and shared out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.harvest.cut_amounts import TypedCut, read_cut, shared_out
from farmops.harvest.models import CrateKind
from farmops.journal.refusal import NeedsYes, Refused
from tests.harvest.picks import lb

NO = frozenset()


def test_heads_and_their_weight_are_both_kept_as_typed():
    read = read_cut(TypedCut(count="38 heads", weight="12,5", culled="4", culled_weight="8 oz"), NO)
    assert (read.count, read.count_unit, read.mass_ng) == (38, "head", lb("12.5"))
    assert (read.culled, read.culled_ng) == (4, lb("0.5"))
    assert (read.typed, read.typed_unit) == ("38 heads, 12,5 lb", "head")


@pytest.mark.parametrize(
    ("boxes", "words"),
    [
        ({"count": "14"}, "14 heads"),
        ({"count": "1"}, "1 head"),
        ({"weight": "2,7"}, "2.7 lb"),
        ({"count": "38", "weight": "12,5 kg"}, "38 heads, 12.5 kg"),
        ({"count": "14 heads"}, "14 heads"),
        ({"count": "3", "count_unit": "bunch", "weight": "2.5"}, "3 bunches, 2.5 lb"),
        ({"weight": "2.5"}, "2.5 lb"),
    ],
)
def test_what_was_cut_is_said_as_one_would_say_it(boxes, words):
    assert read_cut(TypedCut(**boxes), NO).typed_in_words == words


def test_ounces_alone_are_no_pounds_and_some_ounces():
    read = read_cut(TypedCut(ounces="6"), NO)
    assert (read.mass_ng, read.typed) == (lb("0.375"), "6 oz")


@pytest.mark.parametrize(
    ("boxes", "words", "field"),
    [
        ({}, "Type how much was cut; nothing typed is not taken for 0.", "weight"),
        ({"count": "12 lb"}, "“12 lb” is a weight, and a weight has its own box.", "count"),
        ({"weight": "12", "crates": "3"}, "Say what kind of crates they were.", "crate"),
        ({"count": "24.5"}, "“24.5” is not a whole number.", "count"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_box(boxes, words, field):
    with pytest.raises(Refused) as refused:
        read_cut(TypedCut(**boxes), NO)
    assert (str(refused.value), refused.value.field) == (words, field)


@pytest.mark.case("H07")
@pytest.mark.parametrize("box", ["count", "weight"])
def test_nothing_at_all_is_asked_and_then_no_pick(box):
    with pytest.raises(NeedsYes) as asked:
        read_cut(TypedCut(**{box: "0"}), NO)
    assert asked.value.question == f"{box}-zero"
    with pytest.raises(Refused, match="Where nothing was cut there is no pick to note"):
        read_cut(TypedCut(**{box: "0"}), frozenset({f"{box}-zero"}))


@pytest.mark.django_db
def test_the_weight_of_a_crate_is_that_of_its_kind():
    crate = CrateKind.objects.create(name="blue crate", tare_ng=lb("1.60"))
    assert read_cut(TypedCut(weight="14.35", crate=crate, crates="3"), NO).mass_ng == lb("9.55")


def test_what_cannot_be_shared_out_is_refused():
    with pytest.raises(Refused) as refused:
        shared_out(read_cut(TypedCut(count="1"), NO), (1, 1))
    assert str(refused.value) == "1 head is too little for 2 plantings."


@given(heads=st.integers(6, 900), ounces=st.integers(1, 90000), shares=st.lists(st.integers(1, 9), max_size=6))
def test_what_is_shared_out_adds_up(heads, ounces, shares):
    whole = read_cut(TypedCut(count=f"{heads}", weight=f"{ounces} oz"), NO)
    try:
        parts = shared_out(whole, tuple(shares) or (1,))
    except Refused:
        assert heads * min(shares) < sum(shares)
    else:
        assert (sum(one.count for one in parts), sum(one.mass_ng for one in parts)) == (whole.count, whole.mass_ng)
