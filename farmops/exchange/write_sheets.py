"""The farm written as a folder of sheets that reading takes in whole; what sheets cannot say is said, never dropped."""

import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.follow_plants import Followed
from farmops.exchange.models import KeptNotebook, RowTakenBack
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.exchange.sheets.written import sheet_bytes
from farmops.exchange.sheets_of_farm import follow_all, sheets_of_farm
from farmops.farm.models import RowMoved
from farmops.growing.models import Leaving, Planting
from farmops.harvest.models import CrateKind, Lot, StockMove
from farmops.people.models import Person
from farmops.planning.models import SowingChoice
from farmops.planning.rows import FarmRows, FaultsFound
from farmops.selling.models import MarketDay, MarketFact
from farmops.waiting.models import Lifted

Way = tuple[str, str, str]  # planting, how, day


@dataclass(frozen=True, slots=True)
class Written:
    """The files, and what they do not carry, each in a line.

    Attributes
    ----------
    left_out : list of str
        Kept in the tables alone: for these a copy of the records is needed.
    will_not_read : list of str
        Faults that reading these sheets into an empty farm would find.
    """

    files: list[Path]
    left_out: list[str]
    will_not_read: list[str]


def write_sheets(folder: Path) -> Written:
    """Write every sheet of the farm into a folder; files of the same names are replaced, each at once.

    The sheets are read back before anything is said: what would be refused is listed.
    """
    rows = sheets_of_farm()
    folder.mkdir(parents=True, exist_ok=True)
    files = []
    for sheet in SHEETS:
        path = folder / f"{sheet.name}.csv"
        _replace(path, sheet_bytes(sheet, getattr(rows, sheet.name)))
        files.append(path)
    return Written(files, list(_left_out(rows)), _would_not_read(folder))


def _replace(path: Path, content: bytes) -> None:
    """A file that is there whole, or as it was before."""
    with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".", delete=False) as file:
        file.write(content)
    Path(file.name).replace(path)


def _would_not_read(folder: Path) -> list[str]:
    try:
        rows = read_folder(folder)
    except FaultsFound as found:
        return [str(fault) for fault in found.faults]
    return [str(fault) for one in follow_all(rows) for fault in one.faults]


def _left_out(rows: FarmRows) -> Iterator[str]:
    """What stands in the tables and in no sheet."""
    counts = (
        (StockMove.objects.live().count(), _("moves into and out of the cold room")),
        (Lot.objects.exclude(kind=Lot.Kind.HARVEST).count(), _("lots that were mixed or received")),
        (Lot.objects.exclude(stopped_at=None).count(), _("stops of lots")),
        (CrateKind.objects.count(), _("kinds of crates")),
        (Lifted.objects.live().count(), _("waits that were lifted")),
        (SowingChoice.objects.live().count(), _("choices on the sowing list")),
        (_loaded().count(), _("loads of market days that have not begun")),
        (MarketDay.objects.filter(is_from_memory=True).count(), _("market days noted from memory")),
        (KeptNotebook.objects.count(), _("kept notebooks")),
        (RowTakenBack.objects.count(), _("rows of readings that were taken back")),
        (RowMoved.objects.exclude(was__isnull=True).count(), _("rows set on pages that were taken out again")),
        (Person.objects.count(), _("people, with who said what and when")),
        (_of_another_version(), _("plantings that follow another version of their schedule than that of their day")),
        (_ways_untold(rows), _("plantings of which the sheets tell less than the tables how plants left")),
    )
    for count, what in counts:
        if count:
            yield f"{count:,} {what}"


def _loaded() -> QuerySet[MarketFact]:
    planned = MarketDay.Status.PLANNED
    return MarketFact.objects.live().filter(kind=MarketFact.Kind.BROUGHT, line__market_day__status=planned)


def _of_another_version() -> int:
    """Reading takes the version of the sowing's day."""
    later = Q(schedule__valid_from__gt=F("sown_on"))
    return Planting.objects.exclude(state=Planting.State.NOT_SOWN).filter(later).count()


def _ways_untold(rows: FarmRows) -> int:
    """Plantings whose plants would be read back as having left in another way or on another day."""
    told: Counter[Way] = Counter()
    for one in follow_all(rows):
        told += _ways_of(one)
    known: Counter[Way] = Counter()
    for leaving in Leaving.objects.live().exclude(how=Leaving.How.MOVED).select_related("planting"):
        known[leaving.planting.code, leaving.how, leaving.left_on.isoformat()] += leaving.plants
    return len({way[0] for way in told.keys() | known.keys() if told[way] != known[way]})


def _ways_of(one: Followed) -> Counter[Way]:
    found: Counter[Way] = Counter()
    for stay in one.stays:
        for gone in stay.gone:
            if gone.how != Leaving.How.MOVED:
                found[one.planting.planting, gone.how, gone.day.isoformat()] += gone.plants
    for loss, plants in one.nowhere:
        found[one.planting.planting, Leaving.How.LOST, loss.day.isoformat()] += plants
    return found


def said_of(written: Written, folder: Path) -> str:
    """How many files, and where."""
    count = len(written.files)
    return ngettext("%(count)d sheet written into %(folder)s", "%(count)d sheets written into %(folder)s", count) % {
        "count": count,
        "folder": folder,
    }
