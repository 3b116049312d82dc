"""The tables emptied, as another farm's would be."""

from farmops.exchange.models import ReadRows, RowTakenBack
from farmops.exchange.read_sheets.to_write import IN_ORDER
from farmops.farm.models import RowMoved
from farmops.harvest.models import StockMove
from farmops.journal.models import Change


def emptied() -> None:
    """Delete every row that reading sheets writes."""
    for model in (RowTakenBack, ReadRows, RowMoved, Change, StockMove, *reversed(IN_ORDER)):
        rows = model._default_manager.all()
        rows._raw_delete(rows.db)
