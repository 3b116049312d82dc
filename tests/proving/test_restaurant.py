import csv

import pytest

from farmops.proving.restaurant import FOLDER, cut_off


def test_the_file_and_its_licence_stand_together():
    with open(FOLDER / "daily_demand.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    # the data set's own description: 765 days, 7 items
    assert len(rows) == 765
    assert len(rows[0]) == 5 + 7
    assert "The ddop developers" in (FOLDER / "LICENSE.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7, 0.9])
def test_the_notebook_shows_no_more_than_was_sold(share):
    noted = cut_off(share)
    assert len(noted) == 216 * 7
    for one in noted:
        line = one.record
        assert line["sold"] == min(line["brought"], one.demand)
        assert line["left"] == line["brought"] - line["sold"]
        assert line["sold_out"] == (line["left"] == 0)
        assert line["sold_out_at"] is None or line["sold_out"]
    ran_out = sum(one.record["sold_out"] for one in noted) / len(noted)
    assert ran_out == pytest.approx(share, abs=0.05)
    timeless = [one.record["sold_out_at"] is None for one in noted if one.record["sold_out"]]
    # 15 % forgotten; four standard errors of the fewest (450)
    assert sum(timeless) / len(timeless) == pytest.approx(0.15, abs=4 * (0.15 * 0.85 / 450) ** 0.5)


def test_the_same_seed_is_the_same_notebook_and_the_truth_never_moves():
    assert cut_off(0.5) == cut_off(0.5)
    assert cut_off(0.5) != cut_off(0.5, seed=2)
    assert [one.demand for one in cut_off(0.9, seed=2)] == [one.demand for one in cut_off(0.3)]


@pytest.mark.parametrize("share", [0, 1, -0.2, 1.5])
def test_a_share_outside_its_range_is_refused(share):
    with pytest.raises(ValueError, match=str(share)):
        cut_off(share)
