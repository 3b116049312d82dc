"""The table of how long sizing takes has a line for each farm."""

from farmops.proving.sizing_times import HEAD, line


def test_a_line_says_the_size_and_what_was_proven():
    words = line(3, 10, 0.5, 1).split()
    assert words[:3] == ["3x10", "0.5", "1"]
    columns, whole, rows, entries = map(int, words[3:7])
    assert 0 < whole <= 30 < columns < entries
    assert 0 < rows < entries
    assert 0 <= float(words[-2]) <= 1.0
    assert (len(words), words[-1], HEAD.split()[:3]) == (13, "%", ["farm", "room", "seed"])
