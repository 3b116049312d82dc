"""One thing that does not hold: the row, and what is wrong with it."""

from dataclasses import dataclass

from django.db.models import Model


@dataclass(frozen=True, slots=True)
class Wrong:
    """Where (table, key of the row, what it is called) and what; without a row it is of the whole table."""

    table: str
    row: int | None
    words: str
    called: str = ""

    @classmethod
    def of(cls, row: Model, words: str, called: str = "") -> "Wrong":
        return cls(row._meta.label_lower, row.pk, words, called)

    def __str__(self) -> str:
        where = self.table if self.row is None else f"{self.table} {self.row}"
        return f"{where} ({self.called}): {self.words}" if self.called else f"{where}: {self.words}"
