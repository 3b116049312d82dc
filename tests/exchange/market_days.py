"""A strict sheet of market days, invented for these tests."""

from datetime import date, timedelta

COLUMNS = "date,market,opens,closes,item,unit,price,brought,left_over,sold_out_at,unit_cost,weather,status,step".split(
    ","
)
FIRST = date(2026, 5, 2)  # a Saturday


def rows():
    """Twelve Saturdays in Town and twelve Wednesdays at the Mill; the tenth Saturday is called off."""
    found = []
    for week in range(12):
        saturday = FIRST + timedelta(weeks=week)
        wednesday = saturday + timedelta(days=4)
        status = "called off" if week == 9 else ""
        basil_gone = week % 3 != 1
        out_at = f"{11 + week % 2}:{(13 * week) % 60:02d}" if basil_gone else ""
        left = 0 if basil_gone else 5
        town, mill = [saturday, "Town", "08:00", "13:00"], [wednesday, "Mill", "14:00", "18:00"]
        found += [
            [*town, "Basil", "bunch", "3.00", 48, left, out_at, "30%", "dry", status, ""],
            [*town, "Salad", "lb", "8.00", "20.5", 2 + week % 4, "", "2.50", "", status, "0.25"],
            [*mill, "Basil", "bunch", "3.00", 30, 4 + week % 5, "", "30%", "rain", "", ""],
        ]
    return found


def sheet(found=None):
    lines = [",".join(COLUMNS), *(",".join(map(str, row)) for row in (rows() if found is None else found))]
    return ("\n".join(lines) + "\n").encode()
