import io
import sys
from argparse import ArgumentTypeError
from datetime import date

import pytest

from farmops.exchange.command_line import a_day, write_utf8


def test_a_day_is_read():
    assert a_day("2026-09-12") == date(2026, 9, 12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("12.9.2026", "12.9.2026 is no day; write it as 2026-09-12"),
        ("1989-12-31", "1989-12-31 cannot be meant; days go from 1990-01-01 to 2100-12-31"),
    ],
)
def test_other_words_are_refused(text, words):
    with pytest.raises(ArgumentTypeError) as refused:
        a_day(text)
    assert str(refused.value) == words


def test_words_are_written_whatever_the_terminal_is_set_to(monkeypatch):
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    monkeypatch.setattr(sys, "stderr", io.StringIO())  # has no encoding of its own, and needs none
    write_utf8()
    print("“½”", flush=True)
    assert raw.getvalue().decode("utf-8").strip() == "“½”"
