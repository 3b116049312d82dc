"""The command's answer keeps to its schema; what cannot be asked for is refused."""

import json
from io import StringIO

import jsonschema
import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

SCHEMA = json.loads((settings.BASE_DIR / "farmops/exchange/schemas/measure_speed.json").read_text(encoding="utf-8"))


def run(*arguments):
    out, err = StringIO(), StringIO()
    call_command("measure_speed", *arguments, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


@pytest.mark.season
@pytest.mark.real_time
def test_the_answer_keeps_to_its_schema_and_progress_goes_elsewhere():
    asked = ("bare:who-works", "queries:due-now", "queries:due-now after an entry", "sizing:rows of demo farm",
             "cold:bytes")  # fmt: skip
    out, err = run("--json", "--years", "2", "--only", *asked)
    answer = json.loads(out)
    jsonschema.validate(answer, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert [row["name"] for row in answer["rows"]] == list(asked)
    assert [line.split("  ")[0] for line in err.splitlines()[: len(asked)]] == list(asked)
    bare, standing, anew, rows, cold = answer["rows"]
    assert (bare["unit"], bare["limit"], standing["limit"], standing["against"]) == ("s", 2, 1, 15)
    assert 0 < standing["measured"] < anew["measured"]
    assert rows["ok"]
    assert 10_000 < cold["measured"] <= cold["against"] == 150_000


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(("--only", "speed"), "There is no speed to measure"), (("--years", "0"), "at least a year")],
)
def test_what_cannot_be_asked_is_refused(arguments, words):
    with pytest.raises(CommandError, match=words) as refusal:
        run(*arguments)
    assert refusal.value.returncode == 2
