"""Reading pages in tests: what they say, where their links lead."""

import re
from html import unescape


def plain(html):
    """The words of a piece of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def text_of(response):
    """What stands between head and foot."""
    return plain(response.content.decode().partition("<main")[2].partition("</main>")[0].partition(">")[2])


def links_of(response, name):
    """(address, words) of each link of a class, in order."""
    html = response.content.decode()
    found = re.findall(rf'<a class="{name}" href="([^"]*)"[^>]*>(.*?)</a>', html, re.S)
    return [(unescape(address), plain(words)) for address, words in found]
