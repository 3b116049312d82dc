"""Times of the day as people type them."""

import pytest

from farmops.journal.refusal import Refused
from farmops.selling.typed_clock import clock_of, minute_typed


@pytest.mark.parametrize(
    ("typed", "minute"),
    [
        ("11:40", 700),
        ("1140", 700),
        ("11.40", 700),
        ("11h40", 700),
        (" 9:05 ", 545),
        ("1:15 pm", 795),
        ("12:10 am", 10),
        ("12:10 pm", 730),
        ("00:00", 0),
        ("23:59", 1439),
    ],
)
def test_a_time_is_read(typed, minute):
    assert minute_typed(typed) == minute


@pytest.mark.parametrize("typed", ["", "24:00", "11:60", "noon", "11", "13:00 pm", "0:10 am", "1:2"])
def test_what_is_no_time_is_refused(typed):
    with pytest.raises(Refused) as refused:
        minute_typed(typed)
    assert (str(refused.value), refused.value.field) == (f"“{typed}” is no time. Type it like 11:40.", "time")


def test_a_minute_reads_as_a_clock():
    assert [clock_of(minute) for minute in (0, 545, 700)] == ["00:00", "09:05", "11:40"]
