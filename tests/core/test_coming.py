"""What comes from a planting, put together from its lines, and the places it takes."""

from datetime import date

from farmops.core.coming import Arrival, Coming, Line, Outlook, Taken, room_of
from farmops.core.schedule import Stand

JUNE, JULY = date(2026, 6, 1), date(2026, 7, 1)
EARLY = Coming(1, date(2026, 6, 8), date(2026, 6, 14), 30.0, 30.0)
LATE = Coming(2, date(2026, 6, 22), date(2026, 6, 28), 24.0, 24.0)
BENCH, BED = Taken("bench", 4.0, JUNE, JULY), Taken("bed", 12.0, JULY, date(2026, 8, 1), "Bed 1")


def test_harvests_of_all_lines_stand_in_order_of_days():
    found = Outlook("P-1", [Line([BENCH], [BED], [LATE]), Line(coming=[EARLY])])
    assert (found.coming, found.ready, found.room) == ([EARLY, LATE], date(2026, 6, 8), [BENCH, BED])
    assert [found.amount(date(2026, 6, 8), day) for day in (date(2026, 6, 21), date(2026, 6, 22))] == [30.0, 54.0]


def test_nothing_to_come_has_no_day():
    assert (Outlook("P-1").ready, Outlook("P-1").amount(JUNE, JULY)) == (None, 0.0)


def test_places_are_told_space_by_space_where_that_is_known():
    assert room_of("bed", 12.0, JUNE, JULY, ()) == [Taken("bed", 12.0, JUNE, JULY)]
    stands = (Stand("Bed 1", "bed", 1, 60, JUNE), Stand("Bed 2", "bed", 1, 30, date(2026, 6, 8), places=5.0))
    # 12 places by plants, 60 of 90, and half of the five it is noted with.
    assert room_of("bed", 12.0, JUNE, JULY, stands, 0.5) == [
        Taken("bed", 8.0, JUNE, JULY, "Bed 1"),
        Taken("bed", 2.5, date(2026, 6, 8), JULY, "Bed 2"),
    ]


def test_a_line_takes_its_share_of_the_last_stage_and_all_before():
    arrival = Arrival(JUNE, JULY, 90.0, "bed", 12.0, (), (BENCH,))
    line = arrival.line(JULY, 0.25)
    assert (line.on_the_way, line.at_harvest, line.coming) == ([BENCH], [Taken("bed", 3.0, JUNE, JULY)], [])
