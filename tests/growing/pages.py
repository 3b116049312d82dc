"""Reading pages in tests: the once-only key, the words of a refusal, the great buttons, the boxes as they stand."""

import re
from html import unescape


def _plain(html):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def text_of(response):
    return _plain(response.content.decode().partition("<main")[2].partition(">")[2].partition("</main>")[0])


def key_in(response):
    return re.search(r'name="once" value="([^"]+)"', response.content.decode())[1]


def refusals(response):
    alert = response.content.decode().partition('role="alert">')[2].partition("</div>")[0]
    return [unescape(words) for words in re.findall(r"<p>(.*?)</p>", alert)]


def great_in(response):
    """What stands on the great buttons, from the top."""
    return [
        _plain(words)
        for words in re.findall(r'<button class="great[^>]*>(.*?)</button>', response.content.decode(), re.S)
    ]


def yes_in(response):
    """The question that the one yes-button of the page answers."""
    return re.findall(r'name="yes" value="([^"]+)">', response.content.decode())


def typed_in(response, name):
    """What stands in the last box of that name."""
    boxes = re.findall(rf'<input[^>]*name="{name}"[^>]*>', response.content.decode())
    found = re.search(r'value="([^"]*)"', boxes[-1])
    return unescape(found[1]) if found else ""


def rows_of(response, tag="tr"):
    """The words of each row."""
    return [_plain(row) for row in re.findall(rf"<{tag}>(.*?)</{tag}>", response.content.decode(), re.S)]


def send(client, address, **typed):
    """Open the form and send it filled in."""
    return client.post(address, {"once": key_in(client.get(address)), **typed})
