"""The least a page can cost: the same template from values that are ready, through the same middleware."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template import loader

from farmops.proving.speed.asking import Answer, Browser
from farmops.proving.speed.pages import Page
from farmops.web import pages

Caught = tuple[str, Mapping[str, Any]]  # Any: whatever a page shows


class NotCaught(Exception):
    """A page that cannot be made from its template alone; the words say why."""


def values_of(page: Page, browser: Browser) -> Caught:
    """Template and values of a page, as its view gave them. What they ask of the database is asked once, then kept.

    Raises
    ------
    NotCaught
        If no template was rendered.
    """
    caught: list[Caught] = []
    render = loader.render_to_string

    def note(template: str, context: Any = None, *more: Any, **named: Any) -> str:  # Any: Django's own arguments
        caught.append((template, context))
        return render(template, context, *more, **named)

    doors = (pages, loader)  # Django's own `render` goes through the second
    for door in doors:
        door.render_to_string = note  # type: ignore[attr-defined]  # put back below
    try:
        browser.get(page.address)
    finally:
        for door in doors:
            door.render_to_string = render  # type: ignore[attr-defined]  # as it was
    if not caught:
        raise NotCaught("its answer is not made from a template")
    return caught[-1]


@contextmanager
def bare_view(page: Page, caught: Caught) -> Iterator[None]:
    """While this lasts, the page's address answers from ready values."""
    template, values = caught
    real: Callable[..., HttpResponse] = page.pattern.callback

    @wraps(real)  # carries the marks of who may open it
    def bare(request: HttpRequest, **_parts: object) -> HttpResponse:
        return pages.render_page(request, template, values, partial=template)

    page.pattern.callback = bare
    try:
        yield
    finally:
        page.pattern.callback = real


def is_the_same(real: Answer, bare: Answer) -> bool:
    """Whether both say as much; tokens and keys differ, but not in length."""
    return (real.status, len(real.body)) == (bare.status, len(bare.body))
