"""Many phones at once, at a small server of its own."""

import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs

import pytest

from farmops.proving.speed.crowd import Phone, all_at_once, answer_to

pytestmark = pytest.mark.real_time


@pytest.fixture
def door():
    """Takes every pick but those of parsley; what it took, by key."""
    taken = {}

    class Door(BaseHTTPRequestHandler):
        def do_POST(self):
            typed = parse_qs(self.rfile.read(int(self.headers["Content-Length"])).decode())
            is_taken = self.path != "/parsley/"
            if is_taken:
                taken[typed["once"][0]] = (self.headers["Cookie"], typed["count"][0])
            self.send_response(303 if is_taken else 422)
            self.end_headers()

        def log_message(self, *_words):
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Door) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}", taken
        server.shutdown()
        thread.join()


def test_each_phone_sends_in_turn_until_it_is_over(door):
    address, taken = door
    phones = [
        Phone("a=1", [("/kale/", {"count": "1"}), ("/parsley/", {"count": "2"})]),
        Phone("b=2", [("/kale/", {"count": "3"})]),
    ]
    sent = all_at_once(address, phones, lambda: True, least=2)
    assert (sent.number, sent.refused) == (4, ["422"])
    assert sorted(sent.seconds) == sorted(taken)
    assert sorted(taken.values()) == [("a=1", "1"), ("b=2", "3"), ("b=2", "3")]
    rest = iter([False, False, False, True])
    assert all_at_once(address, phones[1:], lambda: next(rest), least=0).number == 3


def test_a_server_that_is_gone_is_no_answer(door):
    address, _taken = door
    assert answer_to(address, Phone("a=1", []), "/parsley/", {}) == "422"
    assert answer_to("http://127.0.0.1:1", Phone("a=1", []), "/kale/", {}) == "ConnectionRefusedError"
