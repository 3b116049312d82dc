"""Writing the farm's sheets into a folder."""

import pytest
from django.core.management import call_command


@pytest.mark.django_db
def test_where_nothing_can_be_written_says_so(tmp_path, capsys):
    there = tmp_path / "a file"
    there.write_text("mine")
    with pytest.raises(SystemExit) as ended:
        call_command("write_sheets", str(there))
    assert (ended.value.code, there.read_text()) == (2, "mine")
    assert capsys.readouterr().err.startswith(f"Nothing can be written into {there}: ")
