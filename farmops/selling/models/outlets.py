"""Where it is sold, when that is closed, and what it costs there."""

from datetime import date

from django.db import models
from django.db.models import F, Q, Value
from django.db.models.functions import Coalesce, Lower
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Item

WEEKDAYS = (
    (0, _("Monday")),
    (1, _("Tuesday")),
    (2, _("Wednesday")),
    (3, _("Thursday")),
    (4, _("Friday")),
    (5, _("Saturday")),
    (6, _("Sunday")),
)


class OutletQuerySet(models.QuerySet["Outlet"]):
    def markets(self) -> "OutletQuerySet":
        return self.filter(kind=Outlet.Kind.MARKET)


class Outlet(models.Model):
    """A market, a regular buyer, or the weekly box."""

    class Kind(models.TextChoices):
        MARKET = "market", _("market")
        BUYER = "buyer", _("regular buyer")
        BOX = "box", _("weekly box")

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    opens_minute = models.PositiveSmallIntegerField(default=480)
    closes_minute = models.PositiveSmallIntegerField(default=780)
    first_on = models.DateField(null=True, blank=True)
    last_on = models.DateField(null=True, blank=True)
    turn = models.PositiveSmallIntegerField(default=0, help_text="the farm's order when a crop is short; lower first")

    objects = OutletQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="outlet_name_once",
                violation_error_message=_("There is an outlet of that name already."),
            ),
            models.CheckConstraint(
                name="outlet_weekday_of_seven",
                condition=Q(weekday__lte=6),
                violation_error_message=_("Choose a day of the week."),
            ),
            models.CheckConstraint(
                name="outlet_closes_after_it_opens",
                condition=Q(closes_minute__gt=F("opens_minute")) & Q(closes_minute__lte=1440),
                violation_error_message=_("A market closes after it opens."),
            ),
            models.CheckConstraint(
                name="outlet_season_in_order",
                condition=Q(first_on=None) | Q(last_on=None) | Q(last_on__gte=F("first_on")),
                violation_error_message=_("Its season must end after it begins."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class OutletClosedDays(models.Model):
    """Days on which one outlet is closed."""

    outlet = models.ForeignKey(Outlet, models.PROTECT, related_name="closed_days")
    first_on = models.DateField()
    last_on = models.DateField()
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="outlet_closed_days_in_order",
                condition=Q(last_on__gte=F("first_on")),
                violation_error_message=_("The last closed day must not come before the first."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.outlet_id} {self.first_on}–{self.last_on}"


class Price(models.Model):
    """What one unit of an item costs from a day on, at one outlet or at all without their own."""

    item = models.ForeignKey(Item, models.PROTECT, related_name="prices")
    outlet = models.ForeignKey(Outlet, models.PROTECT, null=True, blank=True, related_name="prices")
    from_on = models.DateField(null=True, blank=True)
    price_cents = models.PositiveIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                "item",
                Coalesce("outlet", 0),
                Coalesce("from_on", Value(date.min, models.DateField())),
                name="price_begins_once",
                violation_error_message=_("There is a price from that day already."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.item_id} {self.price_cents}"
