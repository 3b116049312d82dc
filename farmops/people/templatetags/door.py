"""For the head of every page: who works, and the pages that this person may open."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from django import template
from django.conf import settings
from django.http import HttpRequest
from django.template.context import Context
from django.urls import NoReverseMatch, resolve, reverse
from django.utils.translation import gettext_lazy

from farmops.people.access import Answer, Asker, Mark, asker_of, judge, mark_of

register = template.Library()

# In the order of a day; a page stands here by the name of its address, and only once there is such an address.
LINKS = (
    ("due-now", gettext_lazy("Due now")),
    ("pick-list", gettext_lazy("Pick list")),
    ("markets", gettext_lazy("Market")),
    ("sowing-list", gettext_lazy("Sow")),
    ("plantings", gettext_lazy("Plants")),
    ("cold-room", gettext_lazy("Cold room")),
    ("look-back", gettext_lazy("Look back")),
    ("winter-plan", gettext_lazy("The year")),
    ("day-book", gettext_lazy("Day book")),
    ("start", gettext_lazy("Notebook")),
    ("farm-sheets", gettext_lazy("Sheets")),
)


@dataclass(frozen=True, slots=True)
class HeadLink:
    """One page in the head; `is_here` is the page one is on."""

    words: str
    address: str
    is_here: bool


@register.simple_tag(takes_context=True)
def head_links(context: Context) -> list[HeadLink]:
    """The pages that whoever asks may open, or may after their password."""
    request = context.get("request")
    if not isinstance(request, HttpRequest):
        return []
    asker = asker_of(request)
    return [
        HeadLink(str(words), address, request.path == address)
        for name, words in LINKS
        if (address := _address(name)) and _is_worth_showing(address, asker)
    ]


@register.simple_tag(takes_context=True)
def who_asks(context: Context) -> Mapping[str, object]:
    """What the head says about whoever asks."""
    request = context.get("request")
    asker = asker_of(request) if isinstance(request, HttpRequest) else Asker(None, None, False, False)
    return {
        "person": asker.person,
        "phone": asker.phone,
        "is_demo": settings.DEMO and asker.has_password and asker.person and asker.person.account_id is None,
        "has_password": asker.has_password,
        "may_see_money": asker.may_see_money,
    }


def _is_worth_showing(address: str, asker: Asker) -> bool:
    if asker.person is None and asker.phone is None:
        return False
    view = _view(address)
    if mark_of(view) == Mark.OFFICE and not asker.has_password:
        return asker.may_see_money
    return judge(view, asker) in {Answer.YES, Answer.CHOOSE}


@cache
def _address(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


@cache
def _view(address: str) -> Callable[..., object]:
    return resolve(address).func
