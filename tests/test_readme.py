"""The README shows pictures that are there and names commands that exist."""

import re
from pathlib import Path

from django.core.management import get_commands

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_picture_is_there():
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(pictures) >= 4
    assert [picture for picture in pictures if not (ROOT / picture).is_file()] == []


def test_every_command_exists():
    named = set(re.findall(r"python3 manage\.py (\w+)", README)) - {"test"}
    assert sorted(named - set(get_commands())) == []


def test_every_file_named_in_a_command_is_there():
    files = re.findall(r"(?:--market-days|--sheets) (\S+)", README)
    assert [file for file in files if not (ROOT / file).exists()] == []
