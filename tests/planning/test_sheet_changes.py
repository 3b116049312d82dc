"""Differences between two versions of a list, in words."""

from farmops.growing.models import Item, Planting, Space, Stay, Variety
from farmops.harvest.models import PickLine
from farmops.planning.sheet_changes import changes_between

LB = 453_592_370_000
VARIETY = Variety(pk=1, name="Genovese")
PLANTINGS = [Planting(pk=number, code=f"P26-00{number}", variety=VARIETY) for number in (1, 2)]
STAYS = [Stay(pk=number, space=Space(name=f"N-{number}")) for number in (1, 2)]
ITEM = Item(pk=1, name="basil bag")


def cut(amount, place=0, unit="head"):
    facts = {"planting": PLANTINGS[place], "stay": STAYS[place]}
    return PickLine(amount=amount, unit=unit, packed=amount, packed_unit=unit, **facts)


def pack(made, *for_whom, short=0):
    return PickLine(
        item=ITEM, amount=0, unit="bag", packed=made, packed_unit="bag", short=short, for_whom=[*map(list, for_whom)]
    )


def off(words):
    return PickLine(planting=PLANTINGS[0], amount=0, unit="", packed=0, packed_unit="", words=words)


def note(words):
    return PickLine(amount=0, unit="", packed=0, packed_unit="", words=words)


def stock(amount, words="basil bag, cut Mon 4 May, 2F"):
    return PickLine(is_stock=True, amount=amount, unit="bag", packed=amount, packed_unit="bag", words=words)


def test_the_same_list_has_no_changes():
    lines = [stock(4), cut(10), pack(10, ("Inn", 10, 0)), off("a"), note("b")]
    assert changes_between(lines, [stock(4), cut(10), pack(10, ("Inn", 10, 0)), off("a"), note("b")]) == []


def test_lines_that_change_come_or_go():
    old = [cut(int(5.6 * LB), unit="lb"), stock(4), note("salad has no harvest day")]
    new = [cut(6 * LB, unit="lb"), cut(3, place=1), stock(5), off("Do not cut P26-001 before Wed")]
    assert changes_between(old, new) == [
        "N-1, P26-001 Genovese: cut 6 lb instead of 5.6",
        "New: cut 3 heads in N-2, P26-002 Genovese",
        "basil bag, cut Mon 4 May, 2F: take 5 bags instead of 4",
        "New: Do not cut P26-001 before Wed",
        "No longer: salad has no harvest day",
    ]
    assert changes_between(new, old)[-2:] == [
        "No longer: cut 3 heads in N-2, P26-002 Genovese",
        "No longer: Do not cut P26-001 before Wed",
    ]
    assert changes_between([off("before Wed")], [off("before Thu")]) == ["New: before Thu"]
    assert changes_between([off("F-1"), off("F-2")], [off("F-2")]) == []
    assert changes_between([], [stock(4), note("look")]) == [
        "New: from the cold room 4 bags of basil bag, cut Mon 4 May, 2F",
        "look",
    ]


def test_an_item_says_for_whom_it_changed():
    old = pack(10, ("Inn", 6, 0), ("Quay", 4, 0))
    for new, words in (
        (pack(12, ("Inn", 8, 0), ("Quay", 4, 0)), "basil bag: pack 12 bags instead of 10: Inn 8 instead of 6"),
        (
            pack(10, ("Inn", 4, 2), ("Quay", 6, 0), short=2),
            "basil bag: pack 10 bags as before: Inn 4 instead of 6, Quay 6 instead of 4",
        ),
        (
            pack(10, ("Inn", 6, 0), ("Cook", 4, 0)),
            "basil bag: pack 10 bags as before: Cook 4, new, Quay no longer",
        ),
        (pack(10, ("Inn", 6, 3), ("Quay", 4, 0), short=3), "basil bag: pack 10 bags as before; what is short changed"),
    ):
        assert changes_between([old], [new]) == [words]
    assert changes_between([], [old]) == ["New: pack 10 bags of basil bag"]
    assert changes_between([old], []) == ["No longer: pack basil bag"]
