"""The order in which people look for names."""

import pytest

from farmops.growing.models import Space, SpaceKind
from farmops.growing.natural_order import natural_key, spaces_in_short, walking_key


@pytest.mark.case("P04")
@pytest.mark.parametrize(
    "names",
    [["1", "2", "9", "10", "10a"], ["n-1", "N-2", "N-10"], ["Dill", "Élan", "Endive", "Fennel"]],
    ids=["ten after nine", "any case", "accents"],
)
def test_names_stand_where_people_look_for_them(names):
    # grovida.us keeping-count, tinyfarmblog harvest-board (seen); the names are the case's.
    assert sorted(reversed(names), key=natural_key) == names


def test_spaces_are_walked_kind_by_kind():
    shelf, bed = SpaceKind(name="shelf", walk_order=2), SpaceKind(name="bed", walk_order=1)
    spaces = [Space(name=name, kind=kind) for name, kind in [("S-10", shelf), ("S-2", shelf), ("Bed C", bed)]]
    assert [space.name for space in sorted(spaces, key=walking_key)] == ["Bed C", "S-2", "S-10"]


def test_many_spaces_are_said_in_short():
    spaces = [Space(name=name) for name in ("F-31", "F-33", "F-33", "F-35", "F-39")]
    assert [spaces_in_short(spaces[:1]), spaces_in_short(spaces[:3]), spaces_in_short(spaces)] == [
        "F-31",
        "F-31, F-33",
        "F-31, F-33 +2",
    ]
