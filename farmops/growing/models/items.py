"""What is sold, and which varieties it is made of."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from farmops.growing.models.varieties import Variety


class Item(models.Model):
    """A head, a bunch, a 150 g bag: what customers buy."""

    name = models.CharField(max_length=60)
    unit = models.CharField(max_length=20)
    step = models.BigIntegerField(default=1, help_text="smallest amount counted; stored as amounts of this unit are")
    category = models.CharField(max_length=60, blank=True)
    keeps_days = models.PositiveSmallIntegerField()
    contains = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    contains_unit = models.CharField(max_length=20, blank=True)
    cutting_cost_cents = models.PositiveIntegerField(default=0)
    leftover_value_cents = models.PositiveIntegerField(default=0)
    keep_loss_percent = models.DecimalField(max_digits=7, decimal_places=4, default=10)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="item_name_once",
                violation_error_message=_("There is an item of that name already."),
            ),
            models.CheckConstraint(
                name="item_step_counts",
                condition=Q(step__gt=0),
                violation_error_message=_("The smallest amount counted is more than 0."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class ItemPart(models.Model):
    """A variety's share of an item, and how far a mix may go from it."""

    item = models.ForeignKey(Item, models.CASCADE, related_name="parts")
    variety = models.ForeignKey(Variety, models.PROTECT, related_name="item_parts")
    share_percent = models.DecimalField(max_digits=7, decimal_places=4)
    at_least_percent = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    at_most_percent = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("item", "variety"),
                name="item_part_once",
                violation_error_message=_("This variety is in the item already."),
            ),
            models.CheckConstraint(
                name="item_part_is_a_share",
                condition=Q(share_percent__gt=0) & Q(share_percent__lte=100),
                violation_error_message=_("A share lies between 0 and 100 %."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.item_id}/{self.variety_id}"
