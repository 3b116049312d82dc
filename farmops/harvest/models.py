"""Crates, picks, lots and their parents, stock, and the lines of a day's pick list.

Amounts are whole numbers: nanograms where the unit is one of mass, else counts.
"""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from farmops.growing.models import Item, Planting, Stay, Variety
from farmops.journal.models import Entry, LiveRows


class CrateKind(models.Model):
    """A kind of crate and what it weighs empty today; picks keep the tare of their day."""

    name = models.CharField(max_length=40)
    tare_ng = models.BigIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="crate_kind_name_once",
                violation_error_message=_("There is a crate of that name already."),
            ),
            models.CheckConstraint(
                name="crate_kind_weighs_something",
                condition=Q(tare_ng__gt=0),
                violation_error_message=_("An empty crate weighs more than 0."),
            ),
        )

    def __str__(self) -> str:
        return self.name


class Lot(models.Model):
    """What was cut of one planting on one day, a mix of lots, a re-bagging, or goods received.

    It stays when the pick that made it is taken back: other picks join it, and crates out of the house carry its code.
    """

    outlives_its_entry: ClassVar[bool] = True

    class Kind(models.TextChoices):
        HARVEST = "harvest", _("harvest")
        MIX = "mix", _("mix")
        RECEIVED = "received", _("received")

    code = models.CharField(max_length=24)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    planting = models.ForeignKey(Planting, models.PROTECT, null=True, blank=True, related_name="lots")
    made_on = models.DateField()
    supplier = models.CharField(max_length=80, blank=True)
    their_lot = models.CharField(max_length=60, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)
    stopped_because = models.CharField(max_length=200, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="lots")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("code"), name="lot_code_once", violation_error_message=_("There is a lot of that code already.")
            ),
            models.UniqueConstraint(
                fields=("planting", "made_on"),
                name="lot_one_per_planting_and_day",
                condition=Q(kind="harvest"),
                violation_error_message=_("This planting has its lot of that day already."),
            ),
            models.CheckConstraint(
                name="lot_harvest_names_planting",
                condition=~Q(kind="harvest") | Q(planting__isnull=False),
                violation_error_message=_("A harvest lot names its planting."),
            ),
        )

    def __str__(self) -> str:
        return self.code


class LotParent(models.Model):
    """A lot that went into another."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="parents")
    parent = models.ForeignKey(Lot, models.PROTECT, related_name="children")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("lot", "parent"),
                name="lot_parent_once",
                violation_error_message=_("That lot is among the parents already."),
            ),
            models.CheckConstraint(
                name="lot_not_its_own_parent",
                condition=~Q(lot=F("parent")),
                violation_error_message=_("A lot cannot be its own parent."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.parent_id} → {self.lot_id}"


class Pick(models.Model):
    """What was cut of one planting at once: counted, weighed, or both. What was typed stays beside it."""

    planting = models.ForeignKey(Planting, models.PROTECT, related_name="picks")
    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="picks")
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="picks")
    picked_on = models.DateField()
    minute = models.PositiveSmallIntegerField(null=True, blank=True)
    cutting = models.PositiveSmallIntegerField(null=True, blank=True)
    count = models.PositiveIntegerField(null=True, blank=True)
    count_unit = models.CharField(max_length=20, blank=True)
    mass_ng = models.BigIntegerField(null=True, blank=True, help_text="net, as cut")
    typed = models.CharField(max_length=60, help_text="exactly as typed, unit included")
    typed_unit = models.CharField(max_length=20)
    gross_ng = models.BigIntegerField(null=True, blank=True)
    crates = models.PositiveSmallIntegerField(null=True, blank=True)
    crate_tare_ng = models.BigIntegerField(null=True, blank=True, help_text="of one crate, on that day")
    culled_count = models.PositiveIntegerField(null=True, blank=True)
    culled_ng = models.BigIntegerField(null=True, blank=True)
    was_before_ready = models.BooleanField(default=False)
    by_name = models.CharField(max_length=80, blank=True, help_text="as a sheet names who cut it")
    cut_for = models.ForeignKey(
        "PickSheet",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="picks",
        help_text="the list it was cut for, where that is of another day; its newest version just then",
    )
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="picks")

    objects = LiveRows["Pick"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="pick_counted_or_weighed",
                condition=Q(count__isnull=False) | Q(mass_ng__isnull=False),
                violation_error_message=_("Say how much was cut: a count or a weight."),
            ),
            models.CheckConstraint(
                name="pick_more_than_nothing",
                condition=(Q(count=None) | Q(count__gt=0)) & (Q(mass_ng=None) | Q(mass_ng__gt=0)),
                violation_error_message=_("A pick is more than 0; leave out what was not cut."),
            ),
            models.CheckConstraint(
                name="pick_count_has_unit",
                condition=Q(count=None) | ~Q(count_unit=""),
                violation_error_message=_("Say what was counted: heads, bunches."),
            ),
            models.CheckConstraint(
                name="pick_gross_keeps_tare",
                condition=Q(gross_ng=None)
                | (Q(crates__isnull=False) & Q(crate_tare_ng__isnull=False) & Q(mass_ng__isnull=False)),
                violation_error_message=_("A gross weight needs the number of crates and what one weighs."),
            ),
        )
        indexes = (models.Index(fields=("planting", "picked_on"), name="pick_by_planting"),)

    def __str__(self) -> str:
        return self.typed


class StockMove(models.Model):
    """Into or out of the cold room: a variety as cut or an item as packed, with its lot where that is known."""

    class Why(models.TextChoices):
        PICKED = "picked", _("picked")
        PACKED = "packed", _("packed")
        LOADED = "loaded", _("loaded for market")
        CAME_BACK = "came back", _("came back")
        DELIVERED = "delivered", _("delivered")
        BOXED = "boxed", _("into boxes")
        DONATED = "donated", _("given away")
        COMPOST = "compost", _("compost")
        EATEN = "eaten", _("eaten at home")
        COUNTED = "counted", _("counted")

    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="moves")
    variety = models.ForeignKey(Variety, models.PROTECT, null=True, blank=True, related_name="stock_moves")
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="stock_moves")
    moved_on = models.DateField()
    amount = models.BigIntegerField(help_text="in above 0, out below 0")
    unit = models.CharField(max_length=20)
    why = models.CharField(max_length=10, choices=Why.choices)
    where_to = models.CharField(max_length=80, blank=True)
    cut_on = models.DateField(null=True, blank=True, help_text="from when its age counts")
    returns = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="returned_by", help_text="what went out comes back"
    )
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="stock_moves")

    objects = LiveRows["StockMove"].as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="stock_move_moves_something",
                condition=~Q(amount=0),
                violation_error_message=_("A stock move is not 0."),
            ),
            models.CheckConstraint(
                name="stock_move_names_what",
                condition=Q(variety__isnull=False) | Q(item__isnull=False),
                violation_error_message=_("Say what it is: a variety as cut, or an item as packed."),
            ),
        )
        indexes = (
            models.Index(fields=("item", "moved_on"), name="stock_move_by_item"),
            models.Index(fields=("moved_on",), name="stock_move_by_day"),
        )

    def __str__(self) -> str:
        return f"{self.amount} {self.unit} {self.why}"


class PickSheet(models.Model):
    """One version of a day's pick list, as it was printed or sent to the phones."""

    pick_on = models.DateField()
    version = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()
    printed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("pick_on", "version"),
                name="pick_sheet_version_once",
                violation_error_message=_("That version of the pick list exists already."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.pick_on} v{self.version}"


class PickLine(models.Model):
    """A line of a pick list: how much of which planting to cut where, and who it is for."""

    sheet = models.ForeignKey(PickSheet, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField(help_text="walking order")
    planting = models.ForeignKey(Planting, models.PROTECT, null=True, blank=True, related_name="pick_lines")
    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="pick_lines")
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="pick_lines")
    is_stock = models.BooleanField(default=False, help_text="taken from the cold room, not cut")
    amount = models.BigIntegerField(help_text="to cut; nanograms where the unit is one of mass")
    unit = models.CharField(max_length=20)
    packed = models.BigIntegerField(help_text="what it packs to, in the item's unit")
    packed_unit = models.CharField(max_length=20)
    short = models.BigIntegerField(default=0)
    for_whom = models.JSONField(
        default=list, help_text="[[outlet, packed amount, short amount], ...] in the farm's order"
    )
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("sheet", "position"),
                name="pick_line_position_once",
                violation_error_message=_("Two lines stand at one place of the list."),
            ),
            models.CheckConstraint(
                name="pick_line_not_below_nothing",
                condition=Q(amount__gte=0) & Q(packed__gte=0) & Q(short__gte=0),
                violation_error_message=_("Amounts of a pick list are 0 or more."),
            ),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}/{self.position}"
