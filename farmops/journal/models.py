"""Entry: one row for every job done. Change: what it altered. RefusedPost: what was not taken, as typed."""

from typing import Self, TypeVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmops.people.models import Person, Phone


class Job(models.TextChoices):
    """What was done. An undo carries no rows of its own: it takes back those of the entry it corrects."""

    SOW = "sow", _("sow")
    MOVE = "move", _("move")
    LOSE = "lose", _("lose")
    CLEAR = "clear", _("clear")
    WALK = "walk", _("walk")
    PICK = "pick", _("pick")
    STOCK = "stock", _("cold room")
    WAIT = "wait", _("do not cut")
    LOAD = "load", _("load")
    STALL = "stall", _("at the stall")
    CAME_BACK = "came back", _("came back")
    PLAN = "plan", _("plan")
    SET = "set", _("set")
    READ = "read", _("read from a sheet")
    UNDO = "undo", _("undo")


READING = "reading "  # how the once-only key of a whole reading of sheets begins; each of its rows has an entry besides


class Source(models.TextChoices):
    PAGE = "page", _("page")
    PHONE = "phone", _("phone")
    STALL = "stall", _("stall")
    SHEET = "sheet", _("sheet")


class EntryQuerySet(models.QuerySet["Entry"]):
    def live(self) -> "EntryQuerySet":
        """Not replaced by a correction and not undone."""
        return self.filter(corrected_by=None)


class Entry(models.Model):
    """One job done, by whom and when, known by its once-only key. Nothing here is ever changed."""

    once_key = models.CharField(max_length=80, unique=True)
    body_hash = models.CharField(max_length=64)
    job = models.CharField(max_length=12, choices=Job.choices)
    source = models.CharField(max_length=8, choices=Source.choices)
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="entries")
    phone = models.ForeignKey(Phone, models.PROTECT, null=True, blank=True, related_name="entries")
    farm_day = models.DateField()
    said_at = models.DateTimeField()
    received_at = models.DateTimeField()
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")
    is_from_memory = models.BooleanField(default=False)
    said = models.CharField(max_length=300, help_text="what was done, in a line, as answered the first time")
    answer = models.JSONField(default=dict, help_text="what the page needs to give the first answer again")

    objects = EntryQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="entry_has_once_key",
                condition=~Q(once_key=""),
                violation_error_message=_("An entry needs its once-only key."),
            ),
            models.CheckConstraint(
                name="entry_corrects_another",
                condition=Q(corrects=None) | ~Q(corrects=F("id")),
                violation_error_message=_("An entry cannot correct itself."),
            ),
            models.CheckConstraint(
                name="entry_undo_names_what",
                condition=~Q(job=Job.UNDO) | Q(corrects__isnull=False),
                violation_error_message=_("An undo must say what it takes back."),
            ),
        )
        indexes = (models.Index(fields=("farm_day", "job"), name="entry_by_day"),)

    def __str__(self) -> str:
        return self.said


class Change(models.Model):
    """One column of one row altered by an entry: old and new, as text."""

    entry = models.ForeignKey(Entry, models.PROTECT, related_name="changes")
    table = models.CharField(max_length=60, help_text="app_label.model")
    row = models.BigIntegerField()
    column = models.CharField(max_length=60)
    old = models.JSONField(null=True)
    new = models.JSONField(null=True)

    class Meta:
        indexes = (models.Index(fields=("table", "row"), name="change_by_row"),)

    def __str__(self) -> str:
        return f"{self.table} {self.row} {self.column}: {self.old} → {self.new}"


class RefusedPost(models.Model):
    """What somebody sent and we could not take: kept as it was typed, with the reason, until it is put right."""

    once_key = models.CharField(max_length=80)
    address = models.CharField(max_length=300)
    typed = models.JSONField()
    why = models.TextField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="refused_posts")
    phone = models.ForeignKey(Phone, models.PROTECT, null=True, blank=True, related_name="refused_posts")
    received_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="refused_post_says_why",
                condition=~Q(why=""),
                violation_error_message=_("A refusal needs its reason."),
            ),
        )

    def __str__(self) -> str:
        return self.why


M = TypeVar("M", bound=models.Model, covariant=True)


class LiveRows(models.QuerySet[M]):
    """Rows that an entry made, and that no later entry took back."""

    def live(self) -> Self:
        return self.filter(entry__corrected_by=None)
