"""One farm, the days on which all of it is closed, and rows without an entry of their own that an entry moved."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmops.journal.models import Entry


class Farm(models.Model):
    """The farm: one row. Places and shares as in its sheet; month-days as MM-DD."""

    class Units(models.TextChoices):
        LB = "lb", _("pounds and ounces")
        KG = "kg", _("kilograms")

    class Paper(models.TextChoices):
        LETTER = "letter", _("Letter")
        A4 = "a4", _("A4")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=120)
    latitude = models.DecimalField(max_digits=8, decimal_places=5)
    time_zone = models.CharField(max_length=60, default="America/New_York")
    units = models.CharField(max_length=2, choices=Units.choices, default=Units.LB)
    currency = models.CharField(max_length=3, default="USD")
    paper = models.CharField(max_length=6, choices=Paper.choices, default=Paper.LETTER)
    harvest_days = models.CharField(max_length=30, blank=True, help_text="tue;fri; empty = any day")
    season_first_on = models.DateField(null=True, blank=True)
    season_last_on = models.DateField(null=True, blank=True)
    dark_first = models.CharField(max_length=5, blank=True, help_text="MM-DD")
    dark_end = models.CharField(max_length=5, blank=True, help_text="MM-DD")
    dark_pace_percent = models.DecimalField(max_digits=7, decimal_places=4, default=50)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="farm_is_one", condition=Q(id=1), violation_error_message=_("There is one farm here already.")
            ),
            models.CheckConstraint(
                name="farm_latitude_on_earth",
                condition=Q(latitude__gte=-90) & Q(latitude__lte=90),
                violation_error_message=_("Latitude lies between −90 and 90 degrees."),
            ),
            models.CheckConstraint(
                name="farm_season_in_order",
                condition=Q(season_first_on=None)
                | Q(season_last_on=None)
                | Q(season_last_on__gte=F("season_first_on")),
                violation_error_message=_("The season must end after it begins."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class ClosedDays(models.Model):
    """Days without market, delivery or harvest, for the whole farm."""

    first_on = models.DateField()
    last_on = models.DateField()
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="closed_days_in_order",
                condition=Q(last_on__gte=F("first_on")),
                violation_error_message=_("The last closed day must not come before the first."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.first_on}–{self.last_on}"


class RowMoved(models.Model):
    """A row that names no entry, moved into its table by an entry, or out of it and kept here as it was.

    Taken back, it moves the other way.
    """

    let_back: ClassVar[str] = "farmops.farm.row_moves"

    entry = models.ForeignKey(Entry, models.PROTECT, related_name="rows_moved")
    table = models.CharField(max_length=60, help_text="app_label.model")
    row = models.BigIntegerField(help_text="its key")
    was = models.JSONField(null=True, help_text="what stood in each column, where it moved out; empty where it came in")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("entry", "table", "row"),
                name="row_moved_once_by_entry",
                violation_error_message=_("An entry moves a row once."),
            ),
        )
        indexes = (models.Index(fields=("table", "row"), name="row_moved_by_row"),)

    def __str__(self) -> str:
        return f"{self.table} {self.row}"
