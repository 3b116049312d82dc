"""Numbered channels, shelves, benches, beds, and how many places each has from when to when."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _


class SpaceKind(models.Model):
    """A kind of space; its places are holes, tray places or feet. What is kept out of the light there, and lamps."""

    name = models.CharField(max_length=60, unique=True)
    walk_order = models.PositiveSmallIntegerField(default=0, help_text="kinds are walked in this order, then by name")
    shade_by_date = models.CharField(max_length=300, blank=True, help_text="percent kept out: 05-15=40;09-01=0")
    lamp_hours_by_date = models.CharField(max_length=300, blank=True, help_text="hours a day: 11-01=6;02-15=0")
    lamp_light = models.PositiveSmallIntegerField(null=True, blank=True, help_text="µmol m⁻² s⁻¹ at the leaves")

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="kind_lamps_give_light",
                condition=Q(lamp_hours_by_date="") | Q(lamp_light__isnull=False, lamp_light__gt=0),
                violation_error_message=_("Say how much light the lamps give where the leaves are."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class Space(models.Model):
    """One channel, shelf, bench or bed."""

    name = models.CharField(max_length=40)
    kind = models.ForeignKey(SpaceKind, models.PROTECT, related_name="spaces")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="space_name_once",
                violation_error_message=_("There is a space of that name already."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class SpaceSpell(models.Model):
    """From when to when a space has so many places: in use from the first day, not any more on `to_on`."""

    space = models.ForeignKey(Space, models.PROTECT, related_name="spells")
    places = models.PositiveIntegerField()
    from_on = models.DateField(null=True, blank=True)
    to_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("space", "from_on"),
                name="space_spell_begins_once",
                violation_error_message=_("Two figures for the places of one space begin on the same day."),
            ),
            models.UniqueConstraint(
                fields=("space",),
                name="space_spell_begins_once_at_first",
                condition=Q(from_on=None),
                violation_error_message=_("Two figures for the places of one space begin on the same day."),
            ),
            models.CheckConstraint(
                name="space_spell_in_order",
                condition=Q(from_on=None) | Q(to_on=None) | Q(to_on__gt=F("from_on")),
                violation_error_message=_("A space cannot go out of use before it is in use."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.space_id}: {self.places}"
