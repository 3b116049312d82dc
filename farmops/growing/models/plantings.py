"""Plantings, where their plants stand, how they leave, and what the grower saw.

Plants balance: what was sown stands in stays, or left them: moved, lost, cleared, cut out, or gone without a note.
"""

from typing import ClassVar, Self

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from farmops.growing.models.spaces import Space
from farmops.growing.models.varieties import Schedule, SeedLot, Variety
from farmops.journal.models import Entry, LiveRows


class PlantingQuerySet(models.QuerySet["Planting"]):
    def sown(self) -> Self:
        return self.filter(state=Planting.State.DONE)

    def planned(self) -> Self:
        return self.filter(state=Planting.State.PLANNED)

    def standing(self) -> Self:
        """Sown and not cleared: what the greenhouse holds today."""
        return self.sown().filter(cleared_on=None)


class Planting(models.Model):
    """Plants of one variety from one sowing. State, day, plants and clearing change only through the journal."""

    class State(models.TextChoices):
        PLANNED = "planned", _("planned")
        DONE = "done", _("done")
        NOT_SOWN = "not sown", _("not sown")  # an undone sowing, or a plan that was given up

    code = models.CharField(max_length=20)
    variety = models.ForeignKey(Variety, models.PROTECT, related_name="plantings")
    schedule = models.ForeignKey(Schedule, models.PROTECT, related_name="plantings", null=True, blank=True)
    state = models.CharField(max_length=8, choices=State.choices)
    sown_on = models.DateField(help_text="done or planned, as the state says")
    plants = models.PositiveIntegerField()
    planned_on = models.DateField(null=True, blank=True)
    planned_plants = models.PositiveIntegerField(null=True, blank=True)
    seed_lot = models.ForeignKey(SeedLot, models.PROTECT, null=True, blank=True, related_name="plantings")
    cleared_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="plantings")

    objects = PlantingQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("code"),
                name="planting_code_once",
                violation_error_message=_("There is a planting of that number already."),
            ),
            models.CheckConstraint(
                name="planting_has_plants",
                condition=Q(plants__gt=0),
                violation_error_message=_("A planting has at least one plant."),
            ),
            models.CheckConstraint(
                name="planting_cleared_after_sown",
                condition=Q(cleared_on=None) | Q(cleared_on__gte=F("sown_on")),
                violation_error_message=_("A planting cannot be cleared before it is sown."),
            ),
        )
        indexes = (
            models.Index(fields=("state", "cleared_on"), name="planting_standing"),
            models.Index(fields=("variety", "sown_on"), name="planting_by_variety"),
        )

    def __str__(self) -> str:
        return self.code


class Stay(models.Model):
    """So many plants of a planting that came into one space on one day; what left it stands in `leavings`."""

    class State(models.TextChoices):
        DONE = "done", _("done")
        PLANNED = "planned", _("planned")

    planting = models.ForeignKey(Planting, models.PROTECT, related_name="stays")
    space = models.ForeignKey(Space, models.PROTECT, related_name="stays")
    stage_number = models.PositiveSmallIntegerField(null=True, blank=True)
    plants = models.PositiveIntegerField(help_text="plants that came in")
    from_on = models.DateField()
    planned_to_on = models.DateField(null=True, blank=True, help_text="when a planned stay would end")
    places = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True, help_text="empty = schedule's")
    came_from = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="went_to")
    state = models.CharField(max_length=8, choices=State.choices, default=State.DONE)
    over_full_because = models.CharField(max_length=200, blank=True)
    is_over = models.BooleanField(default=False, help_text="all plants have left; kept by the workflows, for queries")
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="stays")

    objects = LiveRows["Stay"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="stay_has_plants",
                condition=Q(plants__gt=0),
                violation_error_message=_("At least one plant must come in."),
            ),
            models.CheckConstraint(
                name="stay_comes_from_another",
                condition=Q(came_from=None) | ~Q(came_from=F("id")),
                violation_error_message=_("Plants cannot move to where they are."),
            ),
        )
        indexes = (models.Index(fields=("space", "is_over"), name="stay_in_space"),)

    def __str__(self) -> str:
        return f"{self.planting_id} in {self.space_id}"


class Leaving(models.Model):
    """Plants that left a stay. A loss may be noted without saying where; then `stay` is empty.

    Taken back, they stand in their stay again; not where all that was left of the planting was cleared since.
    """

    ended_by: ClassVar[tuple[tuple[str, str], ...]] = (("planting", "cleared_on"),)
    let_back: ClassVar[str] = "farmops.growing.plants_back"
    opens_again: ClassVar[tuple[tuple[str, str, object], ...]] = (("stay", "is_over", False),)

    class How(models.TextChoices):
        MOVED = "moved", _("moved")
        LOST = "lost", _("lost")
        CLEARED = "cleared", _("cleared")
        CUT = "cut", _("cut out")
        NOT_NOTED = "not noted", _("gone, not noted")

    planting = models.ForeignKey(Planting, models.PROTECT, related_name="leavings")
    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="leavings")
    how = models.CharField(max_length=9, choices=How.choices)
    plants = models.PositiveIntegerField()
    left_on = models.DateField(help_text="not counted in its places any more on this day")
    to_stay = models.OneToOneField(Stay, models.PROTECT, null=True, blank=True, related_name="arrival")
    cause = models.CharField(max_length=120, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="leavings")

    objects = LiveRows["Leaving"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="leaving_has_plants",
                condition=Q(plants__gt=0),
                violation_error_message=_("At least one plant must leave."),
            ),
            models.CheckConstraint(
                name="leaving_names_its_stay",
                condition=Q(stay__isnull=False) | Q(how="lost"),
                violation_error_message=_("Say where the plants stood."),
            ),
            models.CheckConstraint(
                name="leaving_moved_arrives",
                condition=(Q(how="moved") & Q(to_stay__isnull=False)) | (~Q(how="moved") & Q(to_stay=None)),
                violation_error_message=_("A move, and only a move, says where the plants went."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.plants} {self.how}"


class Walk(models.Model):
    """What the grower saw walking past; it overrides every figure."""

    planting = models.ForeignKey(Planting, models.PROTECT, related_name="walks")
    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="walks")
    seen_on = models.DateField()
    by_name = models.CharField(max_length=80, blank=True, help_text="as a sheet names who looked")
    is_as_planned = models.BooleanField(default=False)
    ready = models.DecimalField(
        max_digits=12, decimal_places=4, null=True, blank=True, help_text="schedule's unit, as cut"
    )
    days_late = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    is_finished = models.BooleanField(default=False)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="walks")

    objects = LiveRows["Walk"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="walk_says_something",
                condition=Q(is_as_planned=True)
                | Q(ready__isnull=False)
                | Q(days_late__isnull=False)
                | Q(is_finished=True),
                violation_error_message=_("Say what you saw: as planned, so much ready, days late, or finished."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.planting_id} {self.seen_on}"
