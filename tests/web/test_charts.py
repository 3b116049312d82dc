"""The demand chart: marks where the numbers are, nothing that a strict content policy drops."""

import re
from datetime import date, timedelta

from farmops.web.charts import DemandRange, Life, LifeSpell, demand_chart, life_chart

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


def test_a_life_has_its_bars_its_bracket_its_cuts_and_today():
    day = date(2026, 3, 9)
    life = Life(
        first=day,
        last=day + timedelta(days=70),
        spells=[
            LifeSpell(0, day, day + timedelta(days=21), "S-1 · 72"),
            LifeSpell(1, day + timedelta(days=21), day + timedelta(days=56), "N-1 · 36", is_ahead=True),
        ],
        ready=(day + timedelta(days=50), day + timedelta(days=56), day + timedelta(days=64)),
        picks=[day + timedelta(days=56)],
        today=day + timedelta(days=35),
    )
    drawn = life_chart(life)
    # 420 wide less 2 at each side: 416 / 70 days = 5.9429 a day.
    assert re.findall(r'<rect class="(\w+)" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', drawn) == [
        ("likely", "2.0", "124.8"),
        ("ahead", "126.8", "208.0"),
    ]
    assert 'class="next" d="M334.8' in drawn
    assert 'class="brought" fill="none" d="M210.0' in drawn
    assert re.findall(r">(\d+)</text>", drawn) == ["11", "12", "13", "14", "15", "16", "17", "18", "19", "20"]
