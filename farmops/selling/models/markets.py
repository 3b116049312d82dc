"""Market days: what was planned, loaded, put on the table, ran out, came back and where it went.

Three states are kept apart for what came back: unknown (nothing was said), none (a fact of 0), so much (a fact).
"""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Item
from farmops.journal.models import Entry, LiveRows
from farmops.selling.models.outlets import Outlet


class MarketDay(models.Model):
    """One market on one day. Its columns change only through the journal."""

    class Status(models.TextChoices):
        PLANNED = "planned", _("planned")
        TOOK_PLACE = "took place", _("took place")
        CALLED_OFF = "called off", _("called off")

    class Weather(models.TextChoices):
        DRY = "dry", _("dry")
        RAIN = "rain", _("rain")

    outlet = models.ForeignKey(Outlet, models.PROTECT, related_name="market_days")
    held_on = models.DateField()
    opens_minute = models.PositiveSmallIntegerField()
    closes_minute = models.PositiveSmallIntegerField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED)
    weather = models.CharField(max_length=4, choices=Weather.choices, blank=True)
    left_minute = models.PositiveSmallIntegerField(null=True, blank=True, help_text="went home early; not a sell-out")
    is_from_memory = models.BooleanField(default=False)
    closed_entry = models.ForeignKey(
        Entry, models.PROTECT, null=True, blank=True, related_name="market_days_closed", help_text="the evening is done"
    )
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="market_days")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("outlet", "held_on"),
                name="market_day_once",
                violation_error_message=_("That market day is here already."),
            ),
            models.CheckConstraint(
                name="market_day_closes_after_it_opens",
                condition=Q(closes_minute__gt=F("opens_minute")) & Q(closes_minute__lte=1440),
                violation_error_message=_("A market closes after it opens."),
            ),
        )
        indexes = (models.Index(fields=("held_on",), name="market_day_by_day"),)

    def __str__(self) -> str:
        return f"{self.outlet_id} {self.held_on}"


class MarketLine(models.Model):
    """One item of one market day, with the price, costs and step of that day."""

    market_day = models.ForeignKey(MarketDay, models.PROTECT, related_name="lines")
    item = models.ForeignKey(Item, models.PROTECT, related_name="market_lines")
    unit = models.CharField(max_length=20)
    step = models.BigIntegerField(null=True, blank=True, help_text="what was counted that day; empty = the item's")
    price_cents = models.PositiveIntegerField(null=True, blank=True)
    unit_cost_cents = models.PositiveIntegerField(null=True, blank=True)
    unit_cost_percent = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    leftover_value_cents = models.PositiveIntegerField(null=True, blank=True)
    advised = models.BigIntegerField(null=True, blank=True)
    own_number = models.BigIntegerField(null=True, blank=True)
    guess = models.BigIntegerField(null=True, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="market_lines")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("market_day", "item"),
                name="market_line_once",
                violation_error_message=_("That item is on the list of this market day already."),
            ),
            models.CheckConstraint(
                name="market_line_cost_one_way",
                condition=Q(unit_cost_cents=None) | Q(unit_cost_percent=None),
                violation_error_message=_("Give the cost as money or as a share of the price, not both."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.market_day_id}/{self.item_id}"


class MarketFact(models.Model):
    """One thing known about a line: loaded, out, back on, restocked, price from now, tallied, came back."""

    class Kind(models.TextChoices):
        BROUGHT = "brought", _("brought, fresh, restocked part included")
        CARRIED_IN = "carried in", _("left from an earlier market")
        RESTOCKED = "restocked", _("put on the table later")
        SOLD_OUT = "sold out", _("sold out")
        BACK = "back", _("back on the table")
        PRICE = "price", _("price from now")
        TALLIED = "tallied", _("sold, as counted")
        HOME = "home", _("taken home")
        DONATED = "donated", _("given away")
        COMPOST = "compost", _("compost")
        LEFT = "left", _("came back, where it went not noted")

    line = models.ForeignKey(MarketLine, models.PROTECT, related_name="facts")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    amount = models.BigIntegerField(null=True, blank=True)
    minute = models.PositiveSmallIntegerField(null=True, blank=True, help_text="empty = time not known")
    price_cents = models.PositiveIntegerField(null=True, blank=True)
    price_for = models.PositiveSmallIntegerField(null=True, blank=True, help_text="2 of '2 for 5'")
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="market_facts")

    objects = LiveRows["MarketFact"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="market_fact_amount_where_it_counts",
                condition=(Q(kind__in=("sold out", "back", "price")) & Q(amount=None))
                | (~Q(kind__in=("sold out", "back", "price")) & Q(amount__isnull=False) & Q(amount__gte=0)),
                violation_error_message=_("Say how much: 0 or more."),
            ),
            models.CheckConstraint(
                name="market_fact_price_where_it_changes",
                condition=(Q(kind="price") & Q(price_cents__isnull=False)) | (~Q(kind="price") & Q(price_cents=None)),
                violation_error_message=_("Say the price from now on."),
            ),
        )
        indexes = (models.Index(fields=("line", "kind"), name="market_fact_by_line"),)

    def __str__(self) -> str:
        return f"{self.line_id} {self.kind}"
