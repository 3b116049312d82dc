"""Asks the pages of this process as a browser would, through every middleware and nothing else."""

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from django.core.handlers.wsgi import WSGIHandler

TOKEN = "speed" * 6 + "ab"
FROM = "192.168.1.20"  # a phone of the farm's network, not this computer


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def is_page(self) -> bool:
        return self.status == 200 and self.headers.get("content-type", "").startswith("text/html")


@dataclass(slots=True)
class Browser:
    """A phone or the office, by its cookies."""

    cookies: Mapping[str, str]
    handler: WSGIHandler = field(default_factory=WSGIHandler)

    def get(self, address: str, *, compressed: bool = False) -> Answer:
        return self._ask("GET", address, b"", {"HTTP_ACCEPT_ENCODING": "gzip, br"} if compressed else {})

    def post(self, address: str, typed: Mapping[str, str]) -> Answer:
        body = urlencode({**typed, "csrfmiddlewaretoken": TOKEN}).encode()
        return self._ask("POST", address, body, {"CONTENT_TYPE": "application/x-www-form-urlencoded"})

    def cookie_line(self) -> str:
        return "; ".join(f"{name}={value}" for name, value in {**self.cookies, "csrftoken": TOKEN}.items())

    def _ask(self, method: str, address: str, body: bytes, more: Mapping[str, str]) -> Answer:
        path, _mark, query = address.partition("?")
        environ = {
            "REQUEST_METHOD": method,
            "PATH_INFO": path,
            "QUERY_STRING": query,
            "SCRIPT_NAME": "",
            "SERVER_NAME": "localhost",
            "SERVER_PORT": "8000",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "REMOTE_ADDR": FROM,
            "HTTP_HOST": "localhost:8000",
            "HTTP_COOKIE": self.cookie_line(),
            "CONTENT_LENGTH": str(len(body)),
            "wsgi.input": io.BytesIO(body),
            "wsgi.errors": io.StringIO(),
            "wsgi.url_scheme": "http",
            "wsgi.multithread": True,
            "wsgi.multiprocess": False,
            "wsgi.run_once": False,
            "wsgi.version": (1, 0),
            **more,
        }
        said: list[tuple[str, list[tuple[str, str]]]] = []

        def start(status: str, headers: list[tuple[str, str]], _error: object = None, /) -> Callable[[bytes], object]:
            said.append((status, headers))
            return lambda _bytes: None

        response = self.handler(environ, start)
        try:
            content = b"".join(response)
        finally:
            response.close()
        status, headers = said[-1]
        return Answer(int(status.split()[0]), {name.lower(): value for name, value in headers}, content)
