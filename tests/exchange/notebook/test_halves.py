import pytest

from farmops.exchange.notebook import Answers, read_notebook
from farmops.exchange.notebook.halves import Noted, readings
from farmops.exchange.notebook.times import clock
from tests.exchange.notebook.sheets import text


def ways(*times):
    noted = [Noted(int(time[:-3]) * 60 + int(time[-2:]), int(time[:-3]) < 12) for time in times]
    return [[clock(minute) for minute in way] for way in readings(noted)]


@pytest.mark.parametrize(
    ("times", "expected"),
    [
        pytest.param(["9:30", "11:40", "1:10"], [["09:30", "11:40", "13:10"]], id="a morning market past noon"),
        pytest.param(["4:10", "5:40", "7:10"], [["16:10", "17:40", "19:10"]], id="an evening market"),
        pytest.param(
            ["5:40", "7:10"], [["05:40", "07:10"], ["17:40", "19:10"]], id="both halves would do: to be asked"
        ),
        pytest.param(["14:20", "7:10"], [["14:20", "19:10"]], id="one time beyond noon decides"),
        pytest.param(["8:00", "15:30"], [["15:30", "20:00"]], id="seven hours and a half are no market"),
        pytest.param(["8:00", "15:00"], [["08:00", "15:00"], ["15:00", "20:00"]], id="seven hours are one"),
        pytest.param(["8:00", "15:01", "12:01"], [], id="none holds them all"),
        pytest.param([], [], id="nothing noted"),
    ],
)
def test_all_times_of_a_market_lie_within_seven_hours(times, expected):
    assert ways(*times) == expected


def notebook_of(*times, market="Station market", **given):
    rows = [[f"2026-06-{at:02d}", market, "Kale", 20, 0, time] for at, time in enumerate(times, 1)]
    heading = ["Date", "Market", "Item", "Brought", "Left", "Sold out"]
    return read_notebook(text([heading, *rows]), answers=Answers.of(given))


def said(notebook):
    out = [[clock(minute) for minute in each.ran_out_at] for each in notebook.records]
    return out, {doubt.key: doubt.default for doubt in notebook.doubts}


def test_the_half_is_asked_once_and_all_times_follow_it():
    notebook = notebook_of("5:40", "6:15", "7:10")
    doubt = notebook.doubts[0]
    assert (doubt.question, [choice.words for choice in doubt.choices], doubt.rows) == (
        "The times noted at “Station market” do not say morning or evening. Which are they?",
        ["Between 05:40 and 07:10", "Between 17:40 and 19:10"],
        (2, 3, 4),
    )
    hours = {"opens.station market": "15:00", "closes.station market": "20:00"}
    assert said(notebook) == ([["17:40"], ["18:15"], ["19:10"]], {"half.station market": "late", **hours})
    early = {"opens.station market": "05:00", "closes.station market": "13:00"}
    assert said(notebook_of("5:40", "6:15", "7:10", **{"half.station market": "early"})) == (
        [["05:40"], ["06:15"], ["07:10"]],
        {"half.station market": "late", **early},
    )


def test_nothing_is_asked_where_the_times_or_the_hours_decide():
    assert said(notebook_of("9:10", "11:40", "1:10"))[0] == [["09:10"], ["11:40"], ["13:10"]]
    assert "half.station market" not in said(notebook_of("9:10", "11:40", "1:10"))[1]
    assert said(notebook_of("5:40 pm", "7:10"))[0] == [["17:40"], ["19:10"]]
    assert "half.station market" not in said(notebook_of("5:40 pm", "7:10"))[1]


def test_the_name_of_the_market_tells_the_likelier_half():
    assert said(notebook_of("7:10", "8:20", market="Evening market"))[1]["half.evening market"] == "late"
    assert said(notebook_of("7:10", "8:20"))[1]["half.station market"] == "early"
