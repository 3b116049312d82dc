"""Reading pages in tests: what they say, where their links lead, what stands in their boxes and on their buttons."""

import re
from html import unescape


def plain(html):
    """The words of a piece of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def text_of(response):
    """What stands between head and foot."""
    return plain(response.content.decode().partition("<main")[2].partition("</main>")[0].partition(">")[2])


def said_in(response):
    """What the page says of the job that was just done, without the way back beside it."""
    told = response.content.decode().partition('<div id="messages"')[2].partition("</div>")[0].partition(">")[2]
    return plain(re.sub(r"<a .*?</a>", "", told, flags=re.S))


def links_of(response, name):
    """(address, words) of each link of a class, in order."""
    html = response.content.decode()
    found = re.findall(rf'<a class="{name}" href="([^"]*)"[^>]*>(.*?)</a>', html, re.S)
    return [(unescape(address), plain(words)) for address, words in found]


def rows_of(response, tag="tr"):
    """The words of each row."""
    return [plain(row) for row in re.findall(rf"<{tag}>(.*?)</{tag}>", response.content.decode(), re.S)]


def great_in(response):
    """What stands on the great buttons, from the top."""
    return [
        plain(words)
        for words in re.findall(r'<button class="great[^>]*>(.*?)</button>', response.content.decode(), re.S)
    ]


def key_in(response):
    return re.search(r'name="once" value="([^"]+)"', response.content.decode())[1]


def refusals(response):
    alert = response.content.decode().partition('role="alert">')[2].partition("</div>")[0]
    return [unescape(words) for words in re.findall(r"<p>(.*?)</p>", alert)]


def yes_in(response):
    """The question that the one yes-button of the page answers."""
    return re.findall(r'<button[^>]*name="yes" value="([^"]+)"', response.content.decode())


def typed_in(response, name):
    """What stands in the (last) box of that name."""
    boxes = re.findall(rf'<input[^>]*name="{name}"[^>]*>', response.content.decode())
    found = re.search(r'value="([^"]*)"', boxes[-1])
    return unescape(found[1]) if found else ""


def chosen_in(response, name):
    """What is chosen in the list of that name."""
    chooser = re.search(rf'<select name="{name}".*?</select>', response.content.decode(), re.S)[0]
    return re.search(r'<option value="([^"]*)" selected', chooser)[1]


def send(client, address, **typed):
    """Open the form and send it filled in."""
    return client.post(address, {"once": key_in(client.get(address)), **typed})
