"""Dips, sprays and drenches with the waits of their labels, and the grower's own "do not cut before"."""

from typing import Self

from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Planting, Space, Stay
from farmops.journal.models import Entry, LiveRows


class Treatment(models.Model):
    """A dip, spray or drench; the label, local rules and licensed practice decide how long to wait."""

    class How(models.TextChoices):
        DIP = "dip", _("dip")
        SPRAY = "spray", _("spray")
        DRENCH = "drench", _("drench")

    planting = models.ForeignKey(Planting, models.PROTECT, null=True, blank=True, related_name="treatments")
    space = models.ForeignKey(Space, models.PROTECT, null=True, blank=True, related_name="treatments")
    ended_on = models.DateField()
    ended_minute = models.PositiveSmallIntegerField(null=True, blank=True, help_text="empty = the end of the day")
    product = models.CharField(max_length=120)
    how = models.CharField(max_length=6, choices=How.choices, blank=True)
    harvest_days = models.PositiveSmallIntegerField(null=True, blank=True, help_text="empty = not known: do not cut")
    entry_hours = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    by_name = models.CharField(max_length=80, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="treatments")

    objects = LiveRows["Treatment"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="treatment_names_what",
                condition=Q(planting__isnull=False) | Q(space__isnull=False),
                violation_error_message=_("Name the planting or the space that was treated."),
            ),
            models.CheckConstraint(
                name="treatment_names_product",
                condition=~Q(product=""),
                violation_error_message=_("Name what was used."),
            ),
        )

    def __str__(self) -> str:
        return self.product


class DoNotCutQuerySet(LiveRows["DoNotCut"]):
    def in_force(self) -> Self:
        """Not lifted; whether its moment has passed is for the reader, who knows the hour."""
        lifted = Lifted.objects.live().filter(wait=OuterRef("pk"))
        return self.live().filter(~Exists(lifted))


class DoNotCut(models.Model):
    """A planting, or a stay and all its plants move to, must not be cut before a moment; without one: until lifted."""

    planting = models.ForeignKey(Planting, models.PROTECT, related_name="waits")
    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="waits")
    before = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=200)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="waits")

    objects = DoNotCutQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="do_not_cut_says_why",
                condition=~Q(reason=""),
                violation_error_message=_("Say why it must not be cut."),
            ),
        )

    def __str__(self) -> str:
        return self.reason


class Lifted(models.Model):
    """A wait taken off before its time, by somebody who says why."""

    wait = models.ForeignKey(DoNotCut, models.PROTECT, related_name="liftings")
    reason = models.CharField(max_length=200)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="liftings")

    objects = LiveRows["Lifted"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="lifted_says_why",
                condition=~Q(reason=""),
                violation_error_message=_("Say why it may be cut after all."),
            ),
        )

    def __str__(self) -> str:
        return self.reason
