"""Reading pages in tests: the once-only key, the words of a refusal, the boxes as they stand."""

import re
from html import unescape


def text_of(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def key_in(response):
    return re.search(r'name="once" value="([^"]+)"', response.content.decode())[1]


def refusals(response):
    alert = response.content.decode().partition('role="alert">')[2].partition("</div>")[0]
    return [unescape(words) for words in re.findall(r"<p>(.*?)</p>", alert)]


def yes_in(response):
    """The question that the one yes-button of the page answers."""
    return re.findall(r'<button name="yes" value="([^"]*)"', response.content.decode())


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
