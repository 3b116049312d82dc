"""Answers that were worked out from the records, kept so that a page need not work them out again."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Variety
from farmops.journal.models import Entry, LiveRows


class StoredAnswer(models.Model):
    """What the arithmetic said on a day, from the records up to one entry; a later entry makes it old, not wrong."""

    class Kind(models.TextChoices):
        BRING = "bring", _("what to bring")
        SOWING = "sowing", _("what to sow")
        LOOK_BACK = "look back", _("what running out cost")
        ROOM = "room", _("what one more space would earn")
        WHAT_IF = "what if", _("what would be if")
        YEAR = "year", _("what the year sows")

    kind = models.CharField(max_length=10, choices=Kind.choices)
    about = models.CharField(max_length=120, blank=True, help_text="which market day, which season; empty = the farm")
    as_of = models.DateField()
    made_at = models.DateTimeField()
    last_entry = models.BigIntegerField(help_text="newest entry the answer knows of; 0 = none")
    answer = models.JSONField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("kind", "about"),
                name="stored_answer_one_of_a_kind",
                violation_error_message=_("There is an answer to that already."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.about}".strip()


class SowingChoice(models.Model):
    """What the grower said to a line of the sowing list: so much instead, or not now. Starting it makes a planting."""

    variety = models.ForeignKey(Variety, models.PROTECT, related_name="sowing_choices")
    week = models.DateField(help_text="its Monday")
    parts = models.PositiveIntegerField(
        null=True, blank=True, help_text="trays instead of the proposed; empty = not now"
    )
    reason = models.CharField(max_length=200, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="sowing_choices")

    objects = LiveRows["SowingChoice"].as_manager()

    def __str__(self) -> str:
        return f"{self.variety_id} {self.week}"
