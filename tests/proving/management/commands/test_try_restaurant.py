import json
from io import StringIO

import jsonschema
import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from farmops.proving.habits import up_when_sold_out
from farmops.proving.restaurant_table import markdown, one_share, report

SCHEMA = json.loads((settings.BASE_DIR / "farmops/exchange/schemas/try_restaurant.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("arguments", [("--shares", "1.5"), ("--processes", "0")])
def test_what_cannot_be_played_is_refused_in_words(arguments):
    with pytest.raises(CommandError, match="between 0 and 1") as refused:
        call_command("try_restaurant", *arguments, stdout=StringIO(), stderr=StringIO())
    assert refused.value.returncode == 2


def test_the_answer_keeps_to_its_schema_and_becomes_a_table():
    """With a habit in the product's place: the form of the answer, not the product's figures."""
    answer = report([one_share(0.9, 1, up_when_sold_out)], 1)
    jsonschema.validate(answer, SCHEMA, cls=jsonschema.Draft202012Validator)
    share = answer["shares"][0]
    assert [row["policy"] for row in share["policies"]] == [
        "product",
        "product_told_the_truth",
        "average_of_last_four",
        "up_when_sold_out",
    ]
    assert share["policies"][0]["profit_share"] == share["policies"][3]["profit_share"]
    assert share["reached"] is (share["profit_against_truth_told"] >= 0.985) is False
    beginning = f"| {100 * share['ran_out_share']:.1f} % |"
    assert sum(line.startswith(beginning) for line in markdown(answer).splitlines()) == 5
