"""Waiting times: nothing was cut inside one, unless its lot is stopped."""

from collections.abc import Iterator

from django.db.models import F
from django.utils.translation import gettext as _

from farmops.exchange.check_farm.wrong import Wrong
from farmops.exchange.inside_waits import picks_inside_waits
from farmops.harvest.models import Pick
from farmops.waiting.models import DoNotCut


def wrong_waits() -> Iterator[Wrong]:
    """Faults of waits, and picks that did not wait."""
    astray = DoNotCut.objects.exclude(stay=None).exclude(stay__planting=F("planting")).select_related("planting")
    for own in astray.order_by("pk"):
        yield Wrong.of(own, _("It names a stay of another planting."), own.planting.code)
    picks = Pick.objects.live().filter(lot__stopped_at=None)
    for pick, wait in picks_inside_waits(picks):
        words = {"reason": wait.reason}
        called = f"{pick.planting.code}, {pick.picked_on}"
        yield Wrong.of(pick, _("It was cut inside a wait (%(reason)s), and its lot is not stopped.") % words, called)
