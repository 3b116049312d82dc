"""`start` really started: it answers, finishes what is in flight, ends cleanly, and gives way on a taken port."""

import contextlib
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

import pytest

from farmops.serving import PortTaken, open_port

ROOT = Path(__file__).resolve().parent.parent
# Each starts on SQLite, so one round of the tests is enough.
pytestmark = [pytest.mark.real_time, pytest.mark.sqlite]


@pytest.fixture
def start(tmp_path):
    """Run `start` with the given arguments and its own records; whatever still runs afterwards is killed."""
    running = []

    def start_(*arguments, **settings):
        environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        process = subprocess.Popen(
            [sys.executable, "manage.py", "start", *arguments],
            cwd=ROOT,
            env={**environment, "FARMOPS_DATA": str(tmp_path / "records"), **settings},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        running.append(process)
        return process

    yield start_
    for process in running:
        with process:
            process.kill()


def address(process):
    line = process.stdout.readline()
    assert line.startswith("Bench to Stall is open at http://127.0.0.1:"), line + process.stderr.read()
    return line.split()[-1]


def status(url):
    try:
        with urllib.request.urlopen(url, timeout=30) as answer:  # noqa: S310 - the address that `start` printed
            return answer.status
    except urllib.error.HTTPError as error:
        with error:
            return error.code


@pytest.mark.parametrize("sent", [signal.SIGTERM, signal.SIGINT])
def test_it_answers_and_ends_cleanly(start, sent, tmp_path):
    process = start("--port", "0")
    url = address(process)
    assert status(url + "no-such-page") == 404
    process.send_signal(sent)
    assert process.wait(timeout=30) == 0
    assert process.stdout.read() == ""
    with pytest.raises(urllib.error.URLError):
        status(url)
    assert sorted(path.name for path in (tmp_path / "records").iterdir()) == ["farm.sqlite3", "secret-key"]


def test_static_files_have_names_that_a_browser_may_keep_for_ever(start):
    process = start("--port", "0")
    url = address(process)
    names = json.loads((ROOT / ".static" / "staticfiles.json").read_text(encoding="utf-8"))["paths"]
    hashed = names["farm.css"]
    assert re.fullmatch(r"farm\.[0-9a-f]{12}\.css", hashed)
    with urllib.request.urlopen(f"{url}static/{hashed}", timeout=30) as answer:  # noqa: S310 - as above
        assert answer.headers["Cache-Control"] == "max-age=315360000, public, immutable"
        assert answer.headers.get_content_type() == "text/css"


def test_one_silent_visitor_does_not_keep_others_waiting_nor_the_end(start):
    process = start("--port", "0")
    url = address(process)
    port = int(url.rstrip("/").rsplit(":", 1)[1])
    with contextlib.ExitStack() as doors:
        for words in (
            b"",
            b"GET / HTTP/1.1\r\nHost: loc",
            b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 99\r\n\r\nhalf",
        ) * 10:
            door = doors.enter_context(socket.create_connection(("127.0.0.1", port)))
            door.sendall(words)
        begun = time.monotonic()
        assert status(url + "no-such-page") == 404
        assert time.monotonic() - begun < 9  # others measured: 10 to 25 s, until the silent ones are given up
        process.terminate()
        assert process.wait(timeout=30) == 0


def test_what_is_under_way_is_answered_before_it_ends(start):
    process = start("--port", "0")
    port = int(address(process).rstrip("/").rsplit(":", 1)[1])
    with socket.create_connection(("127.0.0.1", port), timeout=30) as door:
        door.sendall(b"POST /no-such-page HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 8\r\n\r\nhalf")
        time.sleep(0.3)
        process.terminate()
        time.sleep(0.3)
        door.sendall(b"half")
        assert door.recv(9) == b"HTTP/1.1 "
    assert process.wait(timeout=30) == 0


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"DATABASE_URL": "postgres://farm@127.0.0.1:1/farm?connect_timeout=2"}, "The records cannot be opened: "),
        ({"DATABASE_URL": "mysql://farm@127.0.0.1/farm"}, "DATABASE_URL must begin with postgres://"),
        ({"FARMOPS_DEBUG": "maybe"}, "FARMOPS_DEBUG must be 0 or 1, got 'maybe'"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(start, settings, words):
    out, err = start("--port", "0", **settings).communicate(timeout=120)
    assert out == ""
    assert words in err.splitlines()[-1]


def test_records_that_are_no_database_are_left_alone(start, tmp_path):
    records = tmp_path / "records"
    records.mkdir()
    (records / "farm.sqlite3").write_bytes(b"a letter to the seed house" * 100)
    process = start("--port", "0")
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (1, "")
    assert err.splitlines()[-1] == "CommandError: The records cannot be opened: file is not a database"
    assert (records / "farm.sqlite3").read_bytes() == b"a letter to the seed house" * 100


def test_this_computer_alone_can_reach_it(start):
    process = start("--port", "0")
    port = int(address(process).rstrip("/").rsplit(":", 1)[1])
    with socket.socket() as other:
        # Another address of this same computer: were every address listened on, this one could not be had.
        other.bind(("127.0.0.2", port))


def test_a_port_that_was_asked_for_and_is_taken_ends_with_the_remedy(start):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        process = start("--port", str(port))
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (2, "")
    assert err.splitlines()[-1] == (
        f"CommandError: Port {port} is taken or not allowed. Choose another with --port, or leave --port out."
    )


def test_without_a_wish_the_next_free_port_is_used():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        first = taken.getsockname()[1]
        with open_port(None, first=first) as listening:
            assert first < listening.getsockname()[1] < first + 20


def test_when_all_ports_are_taken_it_says_which(monkeypatch):
    monkeypatch.setattr("farmops.serving.PORTS_TRIED", 1)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(PortTaken) as told:
            open_port(None, first=port)
    assert str(told.value) == f"Ports {port} to {port} are all taken. Choose another with --port."


@pytest.mark.parametrize("port", ["-1", "65536", "http"])
def test_a_port_that_is_none_is_refused(start, port):
    process = start(f"--port={port}")
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (2, "")
    assert "invalid port_number value" in err


def first_link(process):
    """The last line of what is said beside the address, while there is no account."""
    lines = [process.stderr.readline().strip() for _ in range(3)]
    assert lines[:2] == [
        "Type that address into a browser on this computer. Ctrl-C ends it.",
        "Nobody has an account yet. Yours, the grower's, works once within twelve hours:",
    ]
    return lines[2]


def make_account(link):
    """As a browser does it: open the link, send its form."""
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', browser.open(link, timeout=30).read().decode())[1]
    form = {"csrfmiddlewaretoken": token, "name": "Odile", "password": "wet-gloves-at-dawn"}
    sent = urllib.request.Request(link, urllib.parse.urlencode(form).encode(), {"Origin": link.split("/first/")[0]})  # noqa: S310
    with browser.open(sent, timeout=30) as answer:
        return answer.url


def test_the_first_account_is_made_by_the_link_that_is_printed_and_then_phones_reach_it(start):
    out, err = start("--port", "0", "--phones").communicate(timeout=60)
    assert out == ""
    assert err.splitlines()[-1] == (
        "CommandError: Phones can reach it once there is an account: "
        "start without --phones and open the link it prints."
    )
    process = start("--port", "0")
    url, link = address(process), first_link(process)
    assert re.fullmatch(re.escape(url) + r"first/[\w-]{43}/", link)
    assert status(url + "people/") == 403
    assert make_account(link) == url + "people/"
    assert status(link) == 410
    process.terminate()
    assert process.wait(timeout=30) == 0

    process = start("--port", "0", "--phones")
    url = address(process)
    port = int(url.rstrip("/").rsplit(":", 1)[1])
    assert status(url + "people/") == 200  # after being led to where one signs in
    known = {f"127.0.0.1:{port}", *(f"{other}:{port}" for other in addresses_apart())}
    assert {host: status_apart("127.0.0.2", port, host) for host in known} == dict.fromkeys(known, 200)
    assert status_apart("127.0.0.2", port, "elsewhere.example") == 400


def apart(code, *words):
    """What a program of its own prints: tests themselves may ask nobody but the loopback address."""
    done = subprocess.run([sys.executable, "-c", code, *words], cwd=ROOT, capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def addresses_apart():
    return apart("import json; from farmops.serving import own_addresses; print(json.dumps(own_addresses()))")


def status_apart(where, port, host):
    return apart(
        "import http.client, sys; asked = http.client.HTTPConnection(sys.argv[1], int(sys.argv[2]), timeout=30);"
        "asked.request('GET', '/sign-in/', headers={'Host': sys.argv[3]}); print(asked.getresponse().status)",
        where,
        str(port),
        host,
    )


def test_phones_are_kept_out_of_the_demo(start):
    process = start("--port", "0", "--phones", "--demo")
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (2, "")
    assert err.splitlines()[-1] == (
        "CommandError: Phones do not reach the invented farm, where nobody needs a password. Leave one of the two out."
    )


def test_own_addresses_are_not_the_loopback_and_stand_once():
    found = addresses_apart()
    assert [one for one in found if one.startswith(("127.", "0."))] == []
    assert len(found) == len(set(found))
