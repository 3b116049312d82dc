"""What a phone fetches the first time: the page and every file it names, as they come over the air."""

import re
from dataclasses import dataclass
from html.parser import HTMLParser
from urllib.parse import urljoin, urlparse

from farmops.proving.speed.asking import Browser

# Elements that a browser fetches by themselves, and the attribute that says from where.
FETCHED = {"script": "src", "img": "src", "link": "href", "source": "src", "iframe": "src", "embed": "src"}
HERE = "http://localhost:8000"
NAMED_IN_STYLES = re.compile(r"""url\(\s*["']?([^"')]+)""")


@dataclass(frozen=True, slots=True)
class Visit:
    """Bytes by address, the page's own first; and addresses that lead elsewhere."""

    bytes_of: dict[str, int]
    elsewhere: tuple[str, ...]

    @property
    def total(self) -> int:
        return sum(self.bytes_of.values())


class _Names(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        if address := dict(attributes).get(FETCHED.get(tag, "")):
            self.found.append(address)


def first_visit(browser: Browser, address: str) -> Visit:
    """Fetch a page and all it names, styles' own files too.

    Raises
    ------
    ValueError
        If the page or one of its files is not there.
    """
    bytes_of: dict[str, int] = {}
    elsewhere: list[str] = []
    waiting = [urljoin(HERE, address)]
    while waiting:
        whole = waiting.pop(0)
        parts = urlparse(whole)
        if f"{parts.scheme}://{parts.netloc}" != HERE:
            if parts.scheme != "data":
                elsewhere.append(whole)
            continue
        if parts.path in bytes_of:
            continue
        answer = browser.get(parts.path + (f"?{parts.query}" if parts.query else ""), compressed=True)
        if answer.status != 200:
            raise ValueError(f"{parts.path} is answered with {answer.status}")
        bytes_of[parts.path] = len(answer.body)
        kind = answer.headers["content-type"]
        if kind.startswith(("text/html", "text/css")):
            text = browser.get(parts.path).body.decode()
            waiting += [urljoin(whole, name) for name in names_in(text, kind)]
    return Visit(bytes_of, tuple(elsewhere))


def names_in(text: str, kind: str) -> list[str]:
    """Files that a page or a style names."""
    if kind.startswith("text/css"):
        return NAMED_IN_STYLES.findall(text)
    names = _Names()
    names.feed(text)
    return names.found
