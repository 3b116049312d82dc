"""The demand chart: marks where the numbers are, nothing that a strict content policy drops."""

import re

from farmops.web.charts import DemandRange, demand_chart

SHOWN = DemandRange(low=20, high=80, usual_low=40, usual_high=60, brought=48, bring=65, top=100)


def test_marks_stand_where_the_numbers_are():
    chart = demand_chart(SHOWN)
    # 2 + 216 × share of the axis: 20 -> 45.2, 80 -> 174.8, 40 -> 88.4 to 60 -> 131.6, 48 -> 105.7, 65 -> 142.4
    assert re.findall(r"M45\.2 15\.0H174\.8", chart) == ["M45.2 15.0H174.8"]
    assert re.findall(r'x="([\d.]+)" y="9" width="([\d.]+)"', chart) == [("88.4", "43.2")]
    assert re.findall(r"M([\d.]+) 3V27", chart) == ["105.7"]
    assert re.findall(r"M([\d.]+) 9L([\d.]+) 0H([\d.]+)Z", chart) == [("142.4", "138.4", "146.4")]


def test_it_speaks_for_those_who_do_not_see_it():
    assert re.findall('aria-label="([^"]+)"', demand_chart(SHOWN)) == ["One day: 20 to 80; usually 40 to 60; bring 65"]


def test_no_inline_style_and_no_script():
    assert [word for word in ("style=", "<style", "<script", "onload") if word in demand_chart(SHOWN)] == []
