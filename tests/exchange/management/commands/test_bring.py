import io
import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from django.core.management import CommandError, call_command

from farmops.exchange.management.commands.bring import answer_line
from tests.exchange.market_days import COLUMNS, rows, sheet

SCHEMAS = Path(__file__).parents[4] / "farmops/exchange/schemas"
SCHEMA = json.loads((SCHEMAS / "bring.json").read_text(encoding="utf-8"))
STREAM = json.loads((SCHEMAS / "stream.json").read_text(encoding="utf-8"))


@pytest.fixture
def run(tmp_path):
    """Run the command on a sheet; (exit code, stdout, stderr)."""

    def with_sheet(content, *options, as_of="2026-07-15"):
        path = tmp_path / "market_days.csv"
        path.write_bytes(content)
        out, err = io.StringIO(), io.StringIO()
        code = 0
        try:
            call_command(
                "bring", "--market-days", path, "--as-of", as_of, *options, stdout=out, stderr=err, no_color=True
            )
        except SystemExit as stop:
            code = stop.code
        return code, out.getvalue(), err.getvalue()

    return with_sheet


def test_the_answer_keeps_its_schema(run):
    code, out, err = run(sheet(), "--json")
    answer = json.loads(out)
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(answer, SCHEMA, format_checker=jsonschema.FormatChecker())
    assert (code, err, answer["format"]) == (0, "", 1)


def test_markets_items_and_their_next_days(run):
    answer = json.loads(run(sheet(), "--json")[1])
    found = [(market["market"], market["next_day"], market["days"]) for market in answer["markets"]]
    assert found == [("Mill", "2026-07-22", 11), ("Town", "2026-07-18", 10)]
    items = {(market["market"], item["item"]): item for market in answer["markets"] for item in market["items"]}
    assert sorted(items) == [("Mill", "Basil"), ("Town", "Basil"), ("Town", "Salad")]
    # 11:00, 11:18, 11:26, 11:44, 12:05 and 12:39: the middle is 11:35.
    basil, salad = items["Town", "Basil"], items["Town", "Salad"]
    assert (basil["days"], basil["ran_out_days"], basil["usually_out_at"]) == (10, 6, "11:35")
    assert (basil["price"], basil["unit_cost"], basil["starting_guesses"]) == (3, 0.9, ["leftover_value"])
    assert basil["bring"] > 48 > items["Mill", "Basil"]["bring"]
    assert basil["mean_low"] < basil["mean"] < basil["mean_high"]
    assert (salad["step"], salad["unit"], salad["bring"] % 0.25) == (0.25, "lb", 0)
    assert salad["running_out"] == {"low": 0, "mean": 0, "high": 0}


def test_rows_after_the_day_and_days_called_off_are_counted(run):
    answer = json.loads(run(sheet(), "--json")[1])
    left_out = {row["reason"]: row["rows"] for row in answer["left_out"]}
    assert left_out == {"after": 3, "called off": 2}
    assert answer["records"] == 36 - 5


def test_compost_is_what_came_back_times_what_it_cost(run):
    answer = json.loads(run(sheet(), "--json")[1])
    town = [row for row in rows() if row[1] == "Town" and row[12] == "" and str(row[0]) <= "2026-07-15"]
    salad = sum(row[8] for row in town if row[4] == "Salad") * 2.5
    basil = sum(row[8] for row in town if row[4] == "Basil") * 0.9
    mill = sum(row[8] for row in rows() if row[1] == "Mill" and str(row[0]) <= "2026-07-15") * 0.9
    assert answer["compost"]["mean"] == pytest.approx(salad + basil + mill, abs=0.01)


def test_the_day_may_be_given(run):
    answer = json.loads(run(sheet(), "--json", "--next", "2026-07-25")[1])
    assert [market["next_day"] for market in answer["markets"]] == ["2026-07-25", "2026-07-25"]


def test_the_order_of_rows_does_not_matter(run):
    assert run(sheet(rows()[::-1]), "--json")[1] == run(sheet(), "--json")[1]


def test_the_table_names_every_item_with_its_reason(run):
    code, out, _err = run(sheet())
    lines = out.splitlines()
    assert code == 0
    assert lines[0] == "Mill, Wed 2026-07-22, 14:00 to 18:00"
    assert [line.split()[0] for line in lines if line.startswith("  Basil ")] == ["Basil", "Basil"]
    assert lines[-2:] == [
        "3 rows left out: after the day asked for",
        "2 rows left out: market called off: a gap, not a zero",
    ]


def changed(row, column, value):
    found = rows()
    found[row][COLUMNS.index(column)] = value
    return sheet(found)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        pytest.param(
            changed(1, "brought", "abc"),
            "market_days.csv, row 3, column brought: “abc” in “brought”, row 3, cannot be read.",
            id="a word for a number",
        ),
        pytest.param(changed(2, "date", "31/31/2026"), "market_days.csv, row 4, column date: ", id="no date"),
        pytest.param(
            changed(0, "date", "3/4/26"), "market_days.csv, row 2, column date: What does 3/4/26", id="two dates"
        ),
        pytest.param(changed(0, "brought", "-4"), "market_days.csv, row 2, column brought: ", id="less than nothing"),
        pytest.param(changed(0, "brought", "1000000000"), "market_days.csv, row 2, column brought: ", id="absurd"),
        pytest.param(
            changed(0, "sold_out_at", "19:00"), "market_days.csv, row 2, column sold_out_at: ", id="after closing"
        ),
        pytest.param(changed(0, "item", ""), "market_days.csv, row 2, column item: ", id="no item"),
        pytest.param(
            sheet([*rows(), rows()[0]]), "market_days.csv, row 2: Rows 2 and 38 are both about Basil", id="twice"
        ),
        pytest.param(
            b"date,item,brought,left_over\n2026-05-02,Kale,4,0\n",
            "market_days.csv, row 1, column market: The columns market, opens, closes, unit, price are missing. "
            "Add them to the heading in row 1, and try again.",
            id="columns missing",
        ),
        pytest.param(b"", "market_days.csv: There is nothing in it.", id="empty"),
        pytest.param(b"%PDF-1.4", "market_days.csv: This is a PDF, not a sheet.", id="pdf"),
        pytest.param(b"x" * 11 * 2**20, "market_days.csv: This file has 10 MB", id="too large"),
    ],
)
def test_faults_end_with_2_and_name_row_column_and_remedy(run, content, words):
    code, out, err = run(content, "--json")
    assert (code, out) == (2, "")
    assert err[: len(words)] == words
    assert err.count("\n") == 1


def test_all_faults_of_a_sheet_are_listed(run):
    found = rows()
    found[0][COLUMNS.index("brought")] = "abc"
    found[3][COLUMNS.index("left_over")] = "some"
    found[4][COLUMNS.index("left_over")] = "-3"
    found[5][COLUMNS.index("sold_out_at")] = "19:00"
    code, out, err = run(sheet(found), "--json")
    assert (code, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()] == [
        "market_days.csv, row 2, column brought",
        "market_days.csv, row 5, column left_over",
        "market_days.csv, row 6, column left_over",
        "market_days.csv, row 7, column sold_out_at",
    ]


def test_nothing_left_and_days_that_make_no_sense(run, tmp_path):
    assert run(sheet(), as_of="2025-01-01")[0] == 2
    assert run(sheet(), "--next", "2026-07-15")[0] == 2
    with pytest.raises(SystemExit) as stop:
        call_command("bring", "--market-days", tmp_path / "none.csv", "--as-of", "2026-07-15", stderr=io.StringIO())
    assert stop.value.code == 2


def test_what_was_taken_for_granted_is_said_beside_the_answer(run):
    code, out, err = run(changed(0, "left_over", "3"), "--json")
    note = (
        "Row 2: Basil ran out, yet 3 came back (all such rows: 2). What is right? Both: what came back was not for sale"
    )
    assert (code, err, json.loads(out)["notes"]) == (0, note + "\n", [note])


def test_the_stream_answers_each_line_and_goes_on_after_a_bad_one(monkeypatch, capsys):
    ask = {"date": "2026-07-18", "market": "Town", "item": "Basil", "price": 3, "unit_cost": 1, "leftover_value": 0}
    good = json.dumps({"records": [], "asks": [ask], "unknown": 1})
    lines = "\n".join([good, "{not json", "", "[1]", '{"asks": [NaN]}', "[" * 100_000, good]).encode() + b"\n\xff\n"
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(lines)))
    call_command("bring", "--stream")
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [sorted(answer) for answer in answers] == [
        ["bring", "format", "mean", "reason"],
        *[["error", "format"]] * 4,
        ["bring", "format", "mean", "reason"],
        ["error", "format"],
    ]
    for one in answers:
        jsonschema.validate(one, STREAM)
    assert answers[0] == answers[5]


def test_an_answer_is_one_line():
    assert "\n" not in answer_line(b'{"records": [], "asks": []}')


def test_a_line_that_breaks_the_reckoning_gets_words_and_the_log_says_why(monkeypatch, caplog):
    def broken(_line):
        raise KeyError("weights")

    monkeypatch.setattr("farmops.exchange.management.commands.bring.answer", broken)
    assert json.loads(answer_line(b"{}")) == {"format": 1, "error": "This line could not be answered. The others are."}
    assert [(record.levelname, record.exc_info[0]) for record in caplog.records] == [("ERROR", KeyError)]


def test_a_listener_that_goes_away_ends_the_stream_quietly():
    command = [sys.executable, "manage.py", "bring", "--stream"]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, cwd=Path(__file__).parents[4]) as process:
        process.stdin.write(b'{"asks": []}\n')
        process.stdin.flush()
        assert json.loads(process.stdout.readline()) == {"format": 1, "bring": [], "mean": [], "reason": []}
        process.stdout.close()
        process.stdin.write(b'{"asks": []}\n' * 3)
        process.stdin.close()
        assert (process.stderr.read(), process.wait()) == (b"", 0)


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01", "1989-12-31", "2101-01-01"])
def test_days_that_cannot_be_meant_are_refused(run, day):
    with pytest.raises(CommandError, match=f"{day} cannot be meant; days go from 1990-01-01 to 2100-12-31"):
        run(sheet(), as_of=day)
