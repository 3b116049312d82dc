"""Notebooks that somebody asked to keep; which rows a reading of sheets added, and those that were taken back."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmops.journal.models import Entry


class KeptNotebookQuerySet(models.QuerySet["KeptNotebook"]):
    def newest_first(self) -> "KeptNotebookQuerySet":
        return self.order_by("-kept_at", "-pk")


class KeptNotebook(models.Model):
    """One market notebook, kept as it came with the answers given about it."""

    key = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=200)
    content = models.BinaryField()
    is_text = models.BooleanField(help_text="pasted rows, not the bytes of a file")
    answers = models.TextField(blank=True, help_text="as they stand in the address of the page")
    kept_at = models.DateTimeField()

    objects = KeptNotebookQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="kept_notebook_has_key",
                condition=~Q(key=""),
                violation_error_message=_("A kept notebook needs its address."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class ReadRows(models.Model):
    """Rows of one table that a reading of sheets added: those with keys from `first` to `last`."""

    reading = models.ForeignKey(
        Entry, models.PROTECT, related_name="rows_read", help_text="the entry of the whole reading"
    )
    table = models.CharField(max_length=60, help_text="app_label.model")
    first = models.BigIntegerField()
    last = models.BigIntegerField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="read_rows_from_first_to_last",
                condition=Q(last__gte=F("first")),
                violation_error_message=_("The last row of a run does not come before its first."),
            ),
            models.UniqueConstraint(
                fields=("reading", "table", "first"),
                name="read_rows_noted_once",
                violation_error_message=_("A reading adds a row once."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.table} {self.first}-{self.last}"


class RowTakenBack(models.Model):
    """A row that a reading had added, as it was when the reading was taken back: no table counts it any more."""

    taken_back_by = models.ForeignKey(Entry, models.PROTECT, related_name="rows_taken_back")
    table = models.CharField(max_length=60, help_text="app_label.model")
    row = models.BigIntegerField(help_text="its key; only that of the farm is ever given again")
    was = models.JSONField(help_text="what stood in each column")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("taken_back_by", "table", "row"),
                name="row_taken_back_once",
                violation_error_message=_("That row was taken back already."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.table} {self.row}"
