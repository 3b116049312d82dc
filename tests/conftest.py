"""What all tests share: known ids for the marks, repeatable properties in CI."""

import os

import pytest
from hypothesis import settings

from tests.catalogue import CASES, CHECKS, ORACLES

KNOWN_IDS = {"case": CASES, "check": CHECKS, "oracle": ORACLES}

settings.register_profile("local", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "local")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Fail on a mark whose id is not in the catalogue."""
    for item in items:
        for kind, known in KNOWN_IDS.items():
            for mark in item.iter_markers(kind):
                unknown = [identity for identity in mark.args if identity not in known]
                if unknown or not mark.args:
                    raise pytest.UsageError(f"{item.nodeid}: unknown {kind} id {unknown or '(none given)'}")
