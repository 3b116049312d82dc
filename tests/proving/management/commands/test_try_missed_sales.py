from io import StringIO

import pytest
from django.core.management import CommandError, call_command


@pytest.mark.parametrize("seasons", ["0", "-1"])
def test_no_season_is_refused_in_words(seasons):
    with pytest.raises(CommandError, match="At least 1 season is needed") as refused:
        call_command("try_missed_sales", "--seasons", seasons, stdout=StringIO(), stderr=StringIO())
    assert refused.value.returncode == 2
