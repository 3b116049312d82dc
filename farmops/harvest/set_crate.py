"""Kinds of crates and what they weigh empty. A new weight counts from now on; picks keep the tare of their day."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from farmops.harvest.models import CrateKind
from farmops.harvest.typed_weight import weight_in_words, weight_of
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused


def set_crate(
    *, saying: Saying, name: str, tare: str, unit: str, kind: CrateKind | None = None, yes: frozenset[str] = frozenset()
) -> Done:
    """Name a new kind of crate, or give one another name or weight.

    Raises
    ------
    Refused, NeedsYes
        If it has no name, the name is taken, or the weight cannot be read.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        called = " ".join(name.split())
        if not called:
            raise Refused(_("Give the crate a name: blue crate, black tub."), field="name")
        weighing = weight_of(tare, unit, field="tare", yes=yes)
        taken = CrateKind.objects.filter(name__iexact=called)
        if any(other != kind for other in taken):
            raise Refused(_("There is a crate of that name already."), field="name")
        words = {"name": called, "tare": weight_in_words(weighing.net_ng, weighing.unit)}
        if kind is None:
            fresh = CrateKind(name=called, tare_ng=weighing.net_ng)
            save(fresh)
            return _("New crate: %(name)s weighs %(tare)s empty") % words, {"crate": fresh.pk}
        fresh = CrateKind.objects.select_for_update(no_key=True).get(pk=kind.pk)
        words["old"] = weight_in_words(fresh.tare_ng, weighing.unit)
        change(entry, fresh, name=called, tare_ng=weighing.net_ng)
        said = _("%(name)s weighs %(tare)s empty from now on, before %(old)s; picks noted before keep theirs")
        return said % words, {"crate": fresh.pk}

    return do_once(saying, Job.SET, write)
