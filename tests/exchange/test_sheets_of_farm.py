"""Farms made up at random: written, read and written again they are the same, and their plants balance."""

import tempfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from django.db import transaction
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.write_sheets import write_sheets
from tests.exchange.emptied import emptied
from tests.exchange.grown_farm import write_grown

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
SOWN = date(2026, 3, 2)
SPACES = {"green butterhead": ("N-1", "F-1", "F-2", "F-3"), "mizuna": ("B-1",)}
TEXTS = st.text(alphabet=st.sampled_from("a é'=+-@\t\",;½\n"), max_size=8).map(str.strip)


@st.composite
def plants_of(draw, code, variety):
    """One planting: its row, and what became of its plants, day after day."""
    sown = draw(st.integers(1, 90))
    spaces = SPACES[variety]
    here = {(spaces[0], 0): sown}  # (space, day of coming) -> plants
    told = {"stays": [], "losses": [], "picks": []}
    came = {(spaces[0], 0): ""}
    stays = {(spaces[0], 0): sown}
    for day in sorted(draw(st.lists(st.integers(0, 50), max_size=8))):
        where = draw(st.sampled_from(sorted(here)))
        some = draw(st.integers(0, here[where]))
        what = draw(st.sampled_from(("lost", "lost somewhere", "cut", "cut somewhere", "moved")))
        if some == 0 or where[1] > day:
            continue
        when = (SOWN + timedelta(days=day)).isoformat()
        if what.startswith("lost"):
            told["losses"].append((code, where[0] if what == "lost" else "", when, some, draw(TEXTS)))
        elif what.startswith("cut") and variety == "green butterhead":
            told["picks"].append((code, when, some, "head", where[0] if what == "cut" else ""))
        elif what == "moved":
            into = (draw(st.sampled_from(spaces)), day)
            if into in here or into[0] == where[0]:
                continue
            here[into], stays[into], came[into] = some, some, where[0]
        else:
            continue
        here[where] -= some
    last = draw(st.sampled_from(("", "", (SOWN + timedelta(days=60)).isoformat())))
    for (space, day), plants in stays.items():
        ended = draw(st.booleans()) and here[space, day] == 0 and day < 50
        to = (SOWN + timedelta(days=55)).isoformat() if ended else ""
        told["stays"].append((code, space, plants, (SOWN + timedelta(days=day)).isoformat(), to, came[space, day]))
    return (code, variety, SOWN.isoformat(), sown, last, draw(TEXTS)), told


@st.composite
def farms(draw):
    plantings, told = [], {"stays": [], "losses": [], "picks": []}
    for number in range(draw(st.integers(1, 3))):
        row, more = draw(plants_of(f"P-{number}", draw(st.sampled_from(sorted(SPACES)))))
        plantings.append(row)
        for sheet, rows in more.items():
            told[sheet] += rows
    return plantings, told


def sheet(heading, rows):
    quoted = [",".join('"' + str(cell).replace('"', '""') + '"' for cell in row) for row in rows]
    return "\n".join([heading, *quoted])


def write_random(folder, farm):
    plantings, told = farm
    folder.mkdir()
    write_grown(folder, walks=None, waiting=None)
    sheets = {
        "plantings": sheet("planting,variety,sown,plants,cleared,note", plantings),
        "stays": sheet("planting,space,plants,from,to,moved_from", told["stays"]),
        "losses": sheet("planting,space,day,plants,cause", told["losses"]),
        "picks": sheet("planting,day,amount,unit,space", told["picks"]),
    }
    for name, text in sheets.items():
        (folder / f"{name}.csv").write_text(text + "\n", encoding="utf-8", newline="")
    return folder


TWICE_IN_A_SPACE = (
    [("P-0", "green butterhead", "2026-03-02", 2, "2026-05-01", "")],
    {
        "stays": [
            ("P-0", "N-1", 2, "2026-03-02", "2026-04-26", ""),
            ("P-0", "F-3", 1, "2026-03-02", "", "N-1"),
            ("P-0", "F-3", 1, "2026-03-05", "", "N-1"),
        ],
        "losses": [("P-0", "", "2026-03-02", 1, ""), ("P-0", "F-3", "2026-03-05", 1, "")],
        "picks": [],
    },
)


@pytest.mark.django_db
@example(farm=TWICE_IN_A_SPACE)
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(farm=farms())
def test_any_farm_comes_out_and_in_again_the_same(farm):
    with tempfile.TemporaryDirectory() as name, transaction.atomic():
        folder = Path(name)
        read_sheets(write_random(folder / "farm", farm), now=NOW)
        assert [str(one) for one in check_farm(date(2026, 4, 22)) if one.table != "growing.space"] == []
        written = write_sheets(folder / "first")
        assert written.will_not_read == []
        emptied()
        read_sheets(folder / "first", now=NOW)
        write_sheets(folder / "second")
        for path in (folder / "first").iterdir():
            assert path.read_bytes() == (folder / "second" / path.name).read_bytes(), path.name
        emptied()
