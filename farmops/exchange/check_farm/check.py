"""All checks, one after the other."""

from collections.abc import Iterator
from datetime import date

from farmops.exchange.check_farm.harvests import wrong_harvests
from farmops.exchange.check_farm.journal import wrong_journal
from farmops.exchange.check_farm.plants import wrong_places, wrong_plants
from farmops.exchange.check_farm.sales import wrong_sales
from farmops.exchange.check_farm.tables import wrong_tables
from farmops.exchange.check_farm.waits import wrong_waits
from farmops.exchange.check_farm.wrong import Wrong


def check_farm(today: date) -> Iterator[Wrong]:
    """Everything that does not hold on the records as they are; nothing is put right."""
    yield from wrong_tables()
    yield from wrong_journal()
    yield from wrong_plants()
    yield from wrong_places(today)
    yield from wrong_harvests()
    yield from wrong_sales()
    yield from wrong_waits()
