"""Seed lots set on a page: what came from whom, how many seeds are in hand, how many came up in the last test."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from farmops.farm.row_moves import bring_in
from farmops.farm.typed_figures import name_of, percent_of, whole_number
from farmops.growing.models import SeedLot, Variety
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

MOST_SEEDS = 100_000_000


def add_seed_lot(
    *,
    saying: Saying,
    name: str,
    variety: Variety,
    supplier: str = "",
    their_lot: str = "",
    received_on: date | None = None,
    seeds: str = "",
    germination: str = "",
    tested_on: date | None = None,
) -> Done:
    """Seed of a variety that came; what is left empty is not known.

    Raises
    ------
    Refused
        If there is a lot of that name, or a figure cannot be.
    """
    called = name_of(name)
    if not called:
        raise Refused(_("Type the number or name you give it, e.g. S26-07."), field="name")
    facts = _facts(supplier, their_lot, received_on, seeds, germination, tested_on)

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        if SeedLot.objects.filter(name__iexact=called).exists():
            raise Refused(_("There is a seed lot %(name)s already.") % {"name": called}, field="name")
        lot = SeedLot(name=called, variety=variety, **facts)
        bring_in(entry, lot)
        return _("Seed lot %(name)s of %(variety)s") % {"name": called, "variety": variety.name}, {"seed_lot": lot.pk}

    return do_once(saying, Job.SET, write)


def change_seed_lot(
    *,
    saying: Saying,
    seed_lot: SeedLot,
    supplier: str = "",
    their_lot: str = "",
    received_on: date | None = None,
    seeds: str = "",
    germination: str = "",
    tested_on: date | None = None,
) -> Done:
    """Counted or tested anew, or put right; whose seed it is stays.

    Raises
    ------
    Refused
        If a figure cannot be.
    """
    facts = _facts(supplier, their_lot, received_on, seeds, germination, tested_on)

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = SeedLot.objects.select_for_update(no_key=True).get(pk=seed_lot.pk)
        change(entry, fresh, **facts)
        return _("Seed lot %(name)s changed") % {"name": fresh.name}, {"seed_lot": fresh.pk}

    return do_once(saying, Job.SET, write)


def _facts(
    supplier: str, their_lot: str, received_on: date | None, seeds: str, germination: str, tested_on: date | None
) -> dict[str, object]:
    return {
        "supplier": name_of(supplier),
        "their_lot": name_of(their_lot),
        "received_on": received_on,
        "seeds": whole_number(seeds, field="seeds", most=MOST_SEEDS, may_be_zero=True) if seeds.strip() else None,
        "germination_percent": percent_of(germination, field="germination", may_be_zero=True)
        if germination.strip()
        else None,
        "tested_on": tested_on,
    }
