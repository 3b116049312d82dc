"""The committed demo farm, as rows of text, and the season lived anew."""

import csv
from pathlib import Path

import pytest

from farmops.proving.demo_farm.season import Season, run

DEMO = Path(__file__).resolve().parents[3] / "fixtures" / "demo"


@pytest.fixture(scope="package")
def season() -> Season:
    return run()


@pytest.fixture(scope="package")
def sheets() -> dict[str, list[dict[str, str]]]:
    found = {}
    for path in sorted((DEMO / "sheets").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found[path.stem] = list(csv.DictReader(file))
    return found
