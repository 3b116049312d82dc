"""What the papers of the year hold: columns of weeks in four sheets, rows of what is sown, moved on and sold."""

from datetime import date

import pytest

from farmops.planning.copy_year import span_of
from farmops.planning.stored_answers import stored
from farmops.planning.views.winter_page import whole_trays
from farmops.planning.views.winter_paper import bench_months, quarters, wall_sheets
from farmops.planning.winter_sowings import work_out_year
from tests.planning.sown_farm import NOW, TODAY, a_sown_farm, quick
from tests.selling.orders import a_count

pytestmark = pytest.mark.django_db


@pytest.fixture
def kept(db):
    a_sown_farm()
    a_count(date(2026, 7, 6), date(2026, 7, 19), boxes=24, size="full")
    return work_out_year(TODAY, NOW, solver=quick)


@pytest.mark.case("G12")
def test_week_53_stands_with_the_last_quarter():
    # 2026 has 53 weeks, 2027 has not.
    sizes = {year: [len(one) for one in quarters(*span_of(year))] for year in (2026, 2027)}
    assert sizes == {2026: [13, 13, 13, 14], 2027: [13, 13, 13, 13]}
    assert quarters(*span_of(2026))[3][-1] == date(2026, 12, 28)


def test_the_wall_says_what_is_sold_sown_and_moved_in_each_week(kept):
    sheets = wall_sheets(kept, 2026)
    assert [(one.first.number, one.last.number) for one in sheets] == [(1, 13), (14, 26), (27, 39), (40, 53)]
    spring, summer = sheets[1], sheets[2]
    assert [one.is_planned for one in spring.weeks] == [False] * 5 + [True] * 8
    (market,), (box,) = spring.selling, summer.selling[1:]
    assert (market.what, market.unit, [text for text, _exact in market.cells]) == ("Quay", "Sat", ["●"] * 13)
    assert (box.what, box.unit, [text for text, _exact in box.cells]) == (
        "weekly box",
        "full",
        ["", "24", "24"] + [""] * 10,
    )
    (sown,), (moved,), (sold,) = spring.sown, spring.moved, sheets[2].sold
    trays = {day: much for (day, _variety), much in whole_trays(kept.answer).items()}
    shown = [str(trays[one.monday.isoformat()]) if trays.get(one.monday.isoformat()) else "" for one in spring.weeks]
    assert (sown.what, sown.unit, [text for text, _exact in sown.cells]) == ("green butterhead", "tray", shown)
    # 21 days on the shelf: what is sown in week 19 moves in week 22, three columns on.
    assert (moved.what, moved.unit) == ("green butterhead", "→ channel")
    assert [text for text, _exact in moved.cells][3:] == [text for text, _exact in sown.cells][:-3]
    assert (sold.what, sold.unit) == ("butterhead lettuce", "head")


def test_figures_after_twelve_weeks_are_marked_as_rounded(kept):
    (sown,) = wall_sheets(kept, 2026)[2].sown
    assert [exact for _text, exact in sown.cells] == [True] * 4 + [False] * 9


def test_the_bench_has_a_sheet_for_each_month_with_whole_trays(kept):
    months = bench_months(kept, 2026)
    assert months[0].month == date(2026, 5, 1)
    first = months[0].lines[0]
    assert (first.number, first.monday, first.variety, first.much, first.part, first.seeds) == (
        19,
        TODAY,
        "green butterhead",
        "1",
        "tray",
        "72",
    )
    total = sum(int(line.much) for month in months for line in month.lines)
    assert total == sum(much for (day, _variety), much in whole_trays(kept.answer).items() if day < "2027-01-04")
    assert all(line.monday.replace(day=1) == month.month for month in months for line in month.lines)
    assert [line.opens for month in months for line in month.lines] == [True] * sum(len(one.lines) for one in months)


def test_a_year_beyond_the_plan_has_empty_sheets(kept):
    assert bench_months(kept, 2030) == ()
    assert {row for sheet in wall_sheets(kept, 2030) for row in (*sheet.sown, *sheet.moved, *sheet.sold)} == set()


def test_they_ask_eight_times_and_once(kept, django_assert_num_queries):
    with django_assert_num_queries(8):
        wall_sheets(stored_before := kept, 2026)
    with django_assert_num_queries(1):
        bench_months(stored_before, 2026)
    assert stored("year").answer == kept.answer
