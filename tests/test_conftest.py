"""The rules that all tests stand under do bite."""

import socket
from datetime import UTC, datetime

import pytest
from django.contrib.auth.hashers import make_password
from pytest_socket import SocketConnectBlockedError

from tests.conftest import NOW, why_skip_fails


def test_time_stands_still():
    assert datetime.now(UTC) == NOW
    assert datetime.now(UTC) == NOW


def test_no_test_reaches_another_machine():
    # 192.0.2.1 is kept for documentation (RFC 5737): nobody is there.
    with (
        socket.socket() as door,
        pytest.warns(UserWarning, match=r"192\.0\.2\.1"),
        pytest.raises(SocketConnectBlockedError),
    ):
        door.connect(("192.0.2.1", 80))


def test_passwords_are_hashed_quickly_in_tests():
    assert make_password("wet gloves").split("$")[0] == "md5"


@pytest.mark.parametrize(
    ("nodeid", "reason", "in_ci", "fails"),
    [
        ("tests/core/test_a.py::test_b", "Skipped: needs a mac", True, True),
        ("tests/core/test_a.py::test_b", "Skipped: issue 12: needs a mac", True, False),
        ("tests/browser/test_a.py::test_b", "Skipped: issue 12: needs a mac", True, True),
        ("tests/browser/test_a.py::test_b", "Skipped: no browser", False, False),
    ],
)
def test_a_skip_needs_an_issue_and_no_browser_test_may_be_skipped_in_ci(nodeid, reason, in_ci, fails):
    assert (why_skip_fails(nodeid, reason, in_ci=in_ci) is not None) == fails


SKIPPING = """
import pytest
@pytest.mark.skip(reason="too wet")
def test_marked(): ...
def test_inside(): pytest.skip("issue 3: too wet")
@pytest.mark.xfail(reason="known")
def test_known(): assert False
"""


def test_a_skipped_test_fails_the_run_in_ci(pytester, monkeypatch):
    pytester.makepyfile(test_inner=SKIPPING)
    pytester.makeini("[pytest]\n")
    from tests import conftest

    monkeypatch.setattr(conftest, "IN_CI", True)

    class Rules:
        pytest_runtest_makereport = staticmethod(conftest.pytest_runtest_makereport)

    result = pytester.inline_run(
        "-p", "no:randomly", "-p", "no:django", "-p", "no:playwright", "-p", "no:base-url", plugins=[Rules()]
    )
    assert [len(reports) for reports in result.listoutcomes()] == [0, 2, 1]
    assert "too wet" in str(result.listoutcomes()[2][0].longrepr)
