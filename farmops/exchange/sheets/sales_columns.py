"""The sheets of what is sold: items, outlets, prices, market days, orders, boxes, closed days."""

from django.utils.translation import gettext_lazy as _

from farmops.exchange.sheets.column import Kind, Sheet, may, must

ITEMS = Sheet(
    "items",
    _("what is sold: one row for each item"),
    (
        must("item", Kind.NAME, _("its name, e.g. salad mix")),
        must("unit", Kind.TEXT, _("what it is sold by: head, bunch, bag, lb ...")),
        may("step", Kind.AMOUNT, _("smallest amount that is counted, in units, e.g. 0.25; empty = 1")),
        may("category", Kind.NAME, _("similar items share it")),
        must("keeps_days", Kind.INT, _("days it stays good after cutting; 0 = the same day only")),
        may("contains", Kind.AMOUNT, _("what one unit contains, e.g. 150 for a 150 g bag; empty = 1")),
        may("contains_unit", Kind.TEXT, _("unit of `contains`: g, oz, head ...; empty = the unit itself")),
        may("cutting_cost", Kind.MONEY, _("what cutting and packing one unit costs; empty = 0")),
        may("leftover_value", Kind.MONEY, _("what a unit that came back is worth; empty = 0")),
        may("keep_loss", Kind.PERCENT, _("lost in a week in the cold room; empty = 10")),
    ),
    needed=True,
)
ITEM_PARTS = Sheet(
    "item_parts",
    _("which varieties an item is made of; its shares add up to 100"),
    (
        must("item", Kind.NAME, _("as in the sheet items")),
        must("variety", Kind.NAME, _("as in the sheet varieties")),
        must("share", Kind.PERCENT, _("part of it; 100 for an item of one variety")),
        may("at_least", Kind.PERCENT, _("the mix may go down to this; empty = not changed")),
        may("at_most", Kind.PERCENT, _("the mix may go up to this; empty = not changed")),
    ),
    needed=True,
)
OUTLETS = Sheet(
    "outlets",
    _("where it is sold: market days, regular buyers, boxes"),
    (
        must("outlet", Kind.NAME, _("its name")),
        must("kind", Kind.CHOICE, _("market, buyer or box"), "market", "buyer", "box"),
        must("weekday", Kind.WEEKDAY, _("the day it sells or is delivered")),
        may("opens", Kind.TIME, _("markets: when customers come; empty = 08:00")),
        may("closes", Kind.TIME, _("markets: when they are gone; empty = 13:00")),
        may("first_day", Kind.DAY, _("first day of its season; empty = no limit")),
        may("last_day", Kind.DAY, _("last day of its season; empty = no limit")),
        may("turn", Kind.INT, _("who is served first when a crop is short, 0 first; empty = 0")),
    ),
    needed=True,
)
PRICES = Sheet(
    "prices",
    _("what one unit of an item costs a customer, from a day on"),
    (
        must("item", Kind.NAME, _("as in the sheet items")),
        may("outlet", Kind.NAME, _("as in the sheet outlets; empty = every outlet without its own")),
        may("from", Kind.DAY, _("first day of this price; empty = from the beginning")),
        must("price", Kind.MONEY, _("for one unit")),
    ),
    needed=True,
)
MARKET_DAYS = Sheet(
    "market_days",
    _("what was brought to a market day and came back: one row for each item and day"),
    (
        must("date", Kind.DAY, _("the market day")),
        must("market", Kind.NAME, _("as in the sheet outlets")),
        must("opens", Kind.TIME, _("when customers come")),
        must("closes", Kind.TIME, _("when they are gone")),
        must("item", Kind.NAME, _("as in the sheet items")),
        must("unit", Kind.TEXT, _("what the numbers of this row count: bunch, lb ...")),
        must("price", Kind.MONEY, _("for one unit"), may_be_empty=True),
        must("brought", Kind.AMOUNT, _("fresh, all of it"), may_be_empty=True),
        must("left_over", Kind.AMOUNT, _("came back; empty = unknown; 0 and no time = sold out"), may_be_empty=True),
        may("restocked", Kind.AMOUNT, _("the part of `brought` that was put on the table later")),
        may("restocked_at", Kind.TIME, _("when")),
        may("sold_out_at", Kind.TIMES, _("when the table was empty, e.g. 11:40 or 09:30;12:10")),
        may("sold", Kind.AMOUNT, _("as counted; empty = brought less left over")),
        may("carried_in", Kind.AMOUNT, _("left from an earlier market, sold first")),
        may("unit_cost", Kind.MONEY_OR_PERCENT, _("to grow and pick one unit, 1.20, or a share of the price, 30%")),
        may("leftover_value", Kind.MONEY, _("what one unit that came back is worth")),
        may("step", Kind.AMOUNT, _("what is counted, e.g. 0.25")),
        may("guess", Kind.AMOUNT, _("the grower's own guess of what could be sold")),
        may("weather", Kind.CHOICE, _("empty = not noted"), "dry", "rain"),
        may(
            "status",
            Kind.CHOICE,
            _("empty = took place; planned = not yet, `brought` is meant"),
            "took place",
            "called off",
            "planned",
        ),
        may("left_at", Kind.TIME, _("when the stall was packed up early; not a selling out")),
        may("restocks", Kind.AMOUNTS_BY_TIME, _("where there were several: 10:15=30;11:00=20, parts of `restocked`")),
        may("back_at", Kind.TIMES, _("when more of it was on the table again, nothing said of how much")),
        may("sold_out", Kind.CHOICE, _("yes = it ran out at a time that was not noted"), "yes"),
        may("taken_home", Kind.AMOUNT, _("part of `left_over` that was kept")),
        may("given_away", Kind.AMOUNT, _("part of `left_over` that was given away")),
        may("composted", Kind.AMOUNT, _("part of `left_over` that was composted")),
        may("counted", Kind.AMOUNTS_BY_TIME, _("parts of `sold` as counted through the day: 11:00=14;13:00=6")),
        may("price_changes", Kind.PRICES_BY_TIME, _("12:00=4.00, or 2 for so much from then on: 12:30=2 for 5.00")),
        may("advised", Kind.AMOUNT, _("what was proposed to bring")),
        may("own_number", Kind.AMOUNT, _("the grower's own figure instead of what was proposed")),
    ),
)
STANDING_ORDERS = Sheet(
    "standing_orders",
    _("what a regular buyer takes every week"),
    (
        must("buyer", Kind.NAME, _("as in the sheet outlets")),
        must("item", Kind.NAME, _("as in the sheet items")),
        must("weekday", Kind.WEEKDAY, _("day of delivery")),
        must("amount", Kind.AMOUNT, _("units each time")),
        may("first_day", Kind.DAY, _("first day of the order; empty = always")),
        may("last_day", Kind.DAY, _("last day of the order; empty = no end")),
        may("every_weeks", Kind.INT, _("2 = every other week from `first_day` on; empty = 1")),
        may(
            "failing_costs",
            Kind.MONEY,
            _("what one unit not delivered costs besides its price; empty = half the price"),
        ),
    ),
)
BOX_COUNTS = Sheet(
    "box_counts",
    _("what goes into the boxes of a week"),
    (
        must("box", Kind.NAME, _("as in the sheet outlets")),
        must("week", Kind.WEEK, _("first week it holds for, e.g. 2026-W37")),
        may("last_week", Kind.WEEK, _("last week it holds for; empty = that one week")),
        may("size", Kind.TEXT, _("e.g. full, half; empty = one size")),
        must("boxes", Kind.INT, _("boxes of this size, skipped weeks taken off")),
        must("item", Kind.NAME, _("as in the sheet items")),
        must("amount", Kind.AMOUNT, _("units in each box")),
        may("value", Kind.MONEY, _("what one unit is worth in the box; empty = its price")),
        may("failing_costs", Kind.MONEY, _("what one unit missing costs besides; empty = half the price")),
    ),
)
SINGLE_WANTS = Sheet(
    "single_wants",
    _("what somebody wants once, beside standing orders and boxes"),
    (
        must("outlet", Kind.NAME, _("as in the sheet outlets")),
        must("item", Kind.NAME, _("as in the sheet items")),
        must("day", Kind.DAY, _("day of delivery")),
        must("amount", Kind.AMOUNT, _("units; 0 beside `instead` = not this time")),
        may("instead", Kind.YES, _("yes = in place of what stands for that day")),
        may("note", Kind.TEXT, _("anything worth remembering")),
    ),
)
CLOSED_DAYS = Sheet(
    "closed_days",
    _("days without a market, a delivery or a harvest"),
    (
        must("first_day", Kind.DAY, _("first day closed")),
        may("last_day", Kind.DAY, _("last day closed; empty = that one day")),
        may("outlet", Kind.NAME, _("as in the sheet outlets; empty = the whole farm")),
        may("reason", Kind.TEXT, _("e.g. holidays")),
    ),
)
