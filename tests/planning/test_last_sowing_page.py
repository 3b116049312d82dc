"""The last days to sow as they are shown."""

from datetime import date

from farmops.planning.last_sowing_page import LastDay, last_sowings_shown

NO_END = LastDay(is_asked=False, usual=None, sure=None)
TOO_LATE = LastDay(is_asked=True, usual=None, sure=None)


def test_what_is_too_late_for_everything_stands_by_itself():
    late = {"usual": None, "sure": None}
    lines = [
        {"variety": "basil", "sold": late, "dark": None},
        {"variety": "lettuce", "sold": {"usual": "2026-10-24", "sure": None}, "dark": late},
    ]
    shown = last_sowings_shown({"sold": "2026-12-19", "dark": None, "lines": lines})
    (lettuce,) = shown.coming
    assert (shown.sold, shown.dark, shown.over) == (date(2026, 12, 19), None, ["basil"])
    assert (lettuce.sold, lettuce.dark) == (LastDay(is_asked=True, usual=date(2026, 10, 24), sure=None), TOO_LATE)
    assert shown.lines[0].dark == NO_END
