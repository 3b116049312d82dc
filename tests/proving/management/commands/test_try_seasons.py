"""The command's answer is whole and plain, and the product reaches its goals in a small season."""

import json
from io import StringIO

import jsonschema
import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

SCHEMA = json.loads((settings.BASE_DIR / "farmops/exchange/schemas/try_seasons.json").read_text(encoding="utf-8"))


def run(*arguments):
    out, err = StringIO(), StringIO()
    call_command("try_seasons", *arguments, "--processes", "1", stdout=out, stderr=err)
    return json.loads(out.getvalue()), err.getvalue()


@pytest.fixture(scope="module")
def small_season():
    worlds = ("--worlds", "late_afternoon", "hardy_leaves")
    return run("--seasons", "1", "--seed", "11", "--weeks", "26", *worlds, "--tests", "closed_loop", "take_over")


def efficiency(answer, test, policy):
    return next(row["efficiency"] for row in answer["overall"] if (row["test"], row["policy"]) == (test, policy))


def test_the_answer_keeps_to_its_schema_and_progress_goes_elsewhere(small_season):
    answer, progress = small_season
    jsonschema.validate(answer, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert [world["name"] for world in answer["worlds"]] == ["late_afternoon", "hardy_leaves"]
    assert len(progress.splitlines()) == 2
    assert [(row["test"], row["over"]) for row in answer["goals"]] == [
        ("closed_loop", "mean"),
        ("closed_loop", "worst"),
        ("first_weeks", "mean"),
        ("take_over", "mean"),
        ("take_over", "late_afternoon"),
    ]


@pytest.mark.parametrize(
    "arguments",
    [("--seasons", "0"), ("--weeks", "20"), ("--weeks", "53"), ("--weeks-ahead", "0"), ("--seed", "-1")],
)
def test_what_cannot_be_played_is_refused_in_words(arguments):
    with pytest.raises(CommandError, match="Ask for at least 1 season") as refused:
        run(*arguments)
    assert refused.value.returncode == 2
