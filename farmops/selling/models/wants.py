"""What is wanted by whom on which day, and the orders and box counts that say so."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Item
from farmops.journal.models import Entry, LiveRows
from farmops.selling.models.outlets import WEEKDAYS, Outlet


class StandingOrder(models.Model):
    """What a regular buyer takes every so many weeks; amounts as amounts of the item's unit are stored."""

    buyer = models.ForeignKey(Outlet, models.PROTECT, related_name="standing_orders")
    item = models.ForeignKey(Item, models.PROTECT, related_name="standing_orders")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    amount = models.BigIntegerField()
    first_on = models.DateField(null=True, blank=True)
    last_on = models.DateField(null=True, blank=True)
    every_weeks = models.PositiveSmallIntegerField(default=1)
    failing_costs_cents = models.PositiveIntegerField(null=True, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="standing_orders")

    objects = LiveRows["StandingOrder"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="standing_order_of_something",
                condition=Q(amount__gt=0),
                violation_error_message=_("An order is for more than 0."),
            ),
            models.CheckConstraint(
                name="standing_order_has_rhythm",
                condition=Q(every_weeks__gt=0) & (Q(every_weeks=1) | Q(first_on__isnull=False)),
                violation_error_message=_("An order of every other week needs the day of its first delivery."),
            ),
            models.CheckConstraint(
                name="standing_order_in_order",
                condition=Q(first_on=None) | Q(last_on=None) | Q(last_on__gte=F("first_on")),
                violation_error_message=_("The order must end after it begins."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.buyer_id} {self.item_id}"


class BoxCount(models.Model):
    """So many boxes of a size with so much of an item in each, from one week to another."""

    box = models.ForeignKey(Outlet, models.PROTECT, related_name="box_counts")
    first_week = models.DateField(help_text="its Monday")
    last_week = models.DateField(null=True, blank=True, help_text="its Monday; empty = that one week")
    size = models.CharField(max_length=20, blank=True)
    boxes = models.PositiveIntegerField()
    item = models.ForeignKey(Item, models.PROTECT, related_name="box_counts")
    amount = models.BigIntegerField(help_text="in each box")
    value_cents = models.PositiveIntegerField(null=True, blank=True)
    failing_costs_cents = models.PositiveIntegerField(null=True, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="box_counts")

    objects = LiveRows["BoxCount"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="box_count_of_something",
                condition=Q(amount__gt=0),
                violation_error_message=_("Each box holds more than 0 of it."),
            ),
            models.CheckConstraint(
                name="box_count_in_order",
                condition=Q(last_week=None) | Q(last_week__gte=F("first_week")),
                violation_error_message=_("The last week must not come before the first."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.box_id} {self.item_id}"


class Want(models.Model):
    """So much of an item wanted on one day by one outlet beyond its standing orders and box counts: a single order.

    An amount of 0 with `replaces_standing` says: not this time.
    """

    outlet = models.ForeignKey(Outlet, models.PROTECT, related_name="wants")
    item = models.ForeignKey(Item, models.PROTECT, related_name="wants")
    wanted_on = models.DateField()
    amount = models.BigIntegerField()
    replaces_standing = models.BooleanField(default=False)
    note = models.CharField(max_length=120, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="wants")

    objects = LiveRows["Want"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="want_of_something",
                condition=Q(amount__gt=0) | (Q(amount=0) & Q(replaces_standing=True)),
                violation_error_message=_("Say how much is wanted."),
            ),
        )
        indexes = (models.Index(fields=("wanted_on",), name="want_by_day"),)

    def __str__(self) -> str:
        return f"{self.outlet_id} {self.item_id} {self.wanted_on}"
