"""A farm restored from its own sheets knows those it was first read from, though they tell its stays in other words."""

from datetime import UTC, datetime

import pytest

from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.write_sheets import write_sheets
from farmops.planning.rows import FaultsFound
from tests.exchange.emptied import emptied
from tests.exchange.grown_farm import RECORDS, write_grown, write_only

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
# The stay in F-3 is said to last until 1 May; its last head was cut on 30 April.
TOLD = {
    "plantings": """
        planting,variety,sown,plants
        P-7,green butterhead,2026-03-02,40
        """,
    "stays": """
        planting,space,plants,from,to,moved_from
        P-7,N-1,36,2026-03-02,2026-03-16,
        P-7,N-2,4,2026-03-02,2026-03-16,
        P-7,F-2,17,2026-03-16,2026-05-01,N-1
        P-7,F-2,3,2026-03-16,2026-05-01,N-2
        P-7,F-3,13,2026-03-16,2026-05-01,N-1
        """,
    "losses": """
        planting,space,day,plants,cause
        P-7,N-1,2026-03-16,6,weak
        P-7,N-2,2026-03-10,1,slugs
        P-7,F-2,2026-04-20,3,slugs
        """,
    "picks": """
        planting,day,amount,unit,space
        P-7,2026-04-30,13,head,F-3
        P-7,2026-05-01,17,head,F-2
        """,
}
SPACES = """
    space,kind,places
    N-1,nursery,144
    N-2,nursery,144
    F-1,channel,18
    F-2,channel,40
    F-3,channel,18
    B-1,bench,6
    Bed 1,bed,60
    """


@pytest.fixture
def restored(tmp_path):
    """The farm read from TOLD, written, emptied, and read from what was written."""
    nothing = dict.fromkeys(RECORDS)
    folder = write_grown(tmp_path / "told", **nothing, spaces=SPACES)
    write_only(folder, **TOLD)
    read_sheets(folder, now=NOW)
    write_sheets(tmp_path / "written")
    emptied()
    read_sheets(tmp_path / "written", now=NOW)
    return folder


def test_the_first_sheets_are_there_already_though_stays_are_told_otherwise(restored, tmp_path):
    told = {
        line for line in (tmp_path / "written" / "stays.csv").read_text("utf-8-sig").splitlines() if "P-7,F-" in line
    }
    assert {tuple(line.split(",")[1:5]) for line in told} == {
        ("F-2", "17", "2026-03-16", "2026-05-01"),
        ("F-2", "3", "2026-03-16", "2026-05-01"),
        ("F-3", "13", "2026-03-16", "2026-04-30"),
    }
    read = read_sheets(restored, now=NOW)
    assert (dict(read.added), read.there["stays"]) == ({}, 5)


def test_one_plant_more_is_something_else(restored):
    stays = TOLD["stays"].replace("P-7,F-3,13,", "P-7,F-3,14,")
    with pytest.raises(FaultsFound) as found:
        read_sheets(write_only(restored, stays=stays), now=NOW)
    assert [(fault.sheet, fault.row, fault.column, fault.problem) for fault in found.value.faults] == [
        ("stays", 6, "plants", "The farm has “13”, this sheet “14”."),
        ("stays", 6, "to", "The farm has “2026-04-30”, this sheet “2026-05-01”."),
    ]
