"""What is grown, how it grows, and the seed in hand."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from farmops.growing.models.spaces import SpaceKind


class Variety(models.Model):
    """One variety of a crop, and what is sown of it at once."""

    name = models.CharField(max_length=60)
    crop = models.CharField(max_length=60)
    category = models.CharField(max_length=60, blank=True)
    part = models.CharField(max_length=40, default="tray")
    part_plants = models.PositiveIntegerField(default=72)
    part_cost_cents = models.PositiveIntegerField(default=0)
    sow_first = models.CharField(max_length=5, blank=True, help_text="MM-DD")
    sow_last = models.CharField(max_length=5, blank=True, help_text="MM-DD")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="variety_name_once",
                violation_error_message=_("There is a variety of that name already."),
            ),
            models.CheckConstraint(
                name="variety_part_has_plants",
                condition=Q(part_plants__gt=0),
                violation_error_message=_("A tray or part of a bed holds at least one plant."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class Schedule(models.Model):
    """One version of how a variety grows; plantings keep the version of their day."""

    class Way(models.TextChoices):
        HEAD = "head", _("whole heads")
        CUT = "cut", _("cut and regrown")
        PICKED = "picked", _("picked for weeks")

    variety = models.ForeignKey(Variety, models.PROTECT, related_name="schedules")
    valid_from = models.DateField(null=True, blank=True)
    way = models.CharField(max_length=6, choices=Way.choices)
    unit = models.CharField(max_length=20, help_text="what units_per_plant counts, as cut")
    units_per_plant = models.DecimalField(max_digits=12, decimal_places=6)
    packed_percent = models.DecimalField(max_digits=7, decimal_places=4, default=100)
    cuttings = models.CharField(max_length=60, blank=True, help_text="100;80;60")
    days_between = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    pick_weeks = models.PositiveSmallIntegerField(null=True, blank=True)
    stands_good_days = models.PositiveSmallIntegerField(default=7)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("variety", "valid_from"),
                name="schedule_version_begins_once",
                violation_error_message=_("Two versions of this schedule begin on the same day."),
            ),
            models.UniqueConstraint(
                fields=("variety",),
                name="schedule_version_begins_once_at_first",
                condition=Q(valid_from=None),
                violation_error_message=_("Two versions of this schedule begin on the same day."),
            ),
            models.CheckConstraint(
                name="schedule_gives_something",
                condition=Q(units_per_plant__gt=0),
                violation_error_message=_("A plant must give something: more than 0."),
            ),
            models.CheckConstraint(
                name="schedule_packed_is_a_share",
                condition=Q(packed_percent__gt=0) & Q(packed_percent__lte=100),
                violation_error_message=_("What is left after washing lies between 0 and 100 %."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.variety_id} {self.valid_from or ''}".strip()


class Stage(models.Model):
    """One stage of a schedule: where, how long, how dense, how many leave it."""

    schedule = models.ForeignKey(Schedule, models.CASCADE, related_name="stages")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=40)
    kind = models.ForeignKey(SpaceKind, models.PROTECT, related_name="stages")
    days = models.DecimalField(max_digits=8, decimal_places=3)
    days_at = models.CharField(max_length=5, default="03-20", help_text="MM-DD")
    days_by_date = models.CharField(max_length=300, blank=True, help_text="03-30=60;06-29=38")
    light_response_percent = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    plants_per_place = models.DecimalField(max_digits=10, decimal_places=4)
    survive_percent = models.DecimalField(max_digits=7, decimal_places=4)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("schedule", "number"),
                name="stage_number_once",
                violation_error_message=_("Two stages of one schedule have the same number."),
            ),
            models.CheckConstraint(
                name="stage_has_room_for_plants",
                condition=Q(plants_per_place__gt=0),
                violation_error_message=_("A place holds more than 0 plants."),
            ),
            models.CheckConstraint(
                name="stage_survive_is_a_share",
                condition=Q(survive_percent__gt=0) & Q(survive_percent__lte=100),
                violation_error_message=_("What survives lies between 0 and 100 %."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class SeedLot(models.Model):
    """Seed of one variety from one supplier's lot."""

    name = models.CharField(max_length=40)
    variety = models.ForeignKey(Variety, models.PROTECT, related_name="seed_lots")
    supplier = models.CharField(max_length=80, blank=True)
    their_lot = models.CharField(max_length=60, blank=True)
    received_on = models.DateField(null=True, blank=True)
    seeds = models.PositiveIntegerField(null=True, blank=True, help_text="in hand when last counted")
    germination_percent = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    tested_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="seed_lot_name_once",
                violation_error_message=_("There is a seed lot of that number already."),
            ),
            models.CheckConstraint(
                name="seed_lot_germination_is_a_share",
                condition=Q(germination_percent=None)
                | (Q(germination_percent__gte=0) & Q(germination_percent__lte=100)),
                violation_error_message=_("Germination lies between 0 and 100 %."),
            ),
        )

    def __str__(self) -> str:
        return self.name
