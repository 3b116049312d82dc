"""What must not be cut, on pages of rooms below."""

from collections.abc import Iterable

from django import template

from farmops import clock
from farmops.growing.models import Space
from farmops.growing.places import Occupant
from farmops.waiting.waits_for import words_in

register = template.Library()


@register.simple_tag
def waits_in(space: Space, here: Iterable[Occupant]) -> list[str]:
    """Each wait of what stands in a space, in words."""
    return words_in(space, (one.stay for one in here), clock.now())
