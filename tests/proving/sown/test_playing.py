"""Seasons in processes of their own, put in order; and the answer of the command about them."""

import json
from io import StringIO

import jsonschema
import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from farmops.proving.sown.trial import CLAIRVOYANT, PRODUCT, SEEN_DAILY

SCHEMA = settings.BASE_DIR / "farmops/exchange/schemas/try_seasons_sowing.json"
HABITS = ["same_every_week", "last_year", "newsvendor"]


@pytest.mark.season
def test_a_season_in_a_tight_room_is_played_by_all_policies():
    out, err = StringIO(), StringIO()
    arguments = ("--sowing", "--seasons", "1", "--seed", "3", "--rooms", "tight", "--processes", "1")
    call_command("try_seasons", *arguments, stdout=out, stderr=err)
    answer = json.loads(out.getvalue())
    jsonschema.validate(answer, json.loads(SCHEMA.read_text(encoding="utf-8")), cls=jsonschema.Draft202012Validator)
    assert len(err.getvalue().splitlines()) == 1
    found = {row["policy"]: row for row in answer["by_policy"]}
    assert list(found) == [CLAIRVOYANT, PRODUCT, SEEN_DAILY, *HABITS]
    assert found[CLAIRVOYANT]["of_clairvoyant"] == 1.0
    # One season tells so much: the plan is ahead of all habits, and behind who foresees growth.
    assert 0.8 < found[PRODUCT]["of_clairvoyant"] < 1.0
    assert all(found[PRODUCT]["of_clairvoyant"] > found[name]["of_clairvoyant"] for name in HABITS)
    assert answer["parameters"]["dispersion"] == [4.8, 6.7, 11.4]


def test_no_season_at_all_is_refused():
    with pytest.raises(CommandError, match="at least 1 season"):
        call_command("try_seasons", "--sowing", "--seasons", "0")
