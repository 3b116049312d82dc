"""The sheets a farm can be written in: their columns, what may stand in them, and what each means.

Days are written 2026-09-11 and times 09:30. A sheet is one CSV file, `<name>.csv`, with these names in its first
row, in any order. Every sheet may have a column `key` besides, to tell apart rows that are alike.
"""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from farmops.exchange.sheets.column import Column, Kind, Sheet


def _must(name: str, kind: Kind, meaning: Promise, *choices: str, may_be_empty: bool = False) -> Column:
    return Column(name, kind, True, meaning, choices, may_be_empty)


def _may(name: str, kind: Kind, meaning: Promise, *choices: str) -> Column:
    return Column(name, kind, False, meaning, choices)


KEY = _may("key", Kind.TEXT, _("tells apart rows that are alike; the same key is the same row"))

FARM = Sheet(
    "farm",
    _("the farm itself: one row"),
    (
        _must("name", Kind.TEXT, _("the farm's name")),
        _must("latitude", Kind.NUMBER, _("degrees north, south negative; sets the light through the year")),
        _may("time_zone", Kind.TIME_ZONE, _("e.g. America/New_York; empty = America/New_York")),
        _may("units", Kind.CHOICE, _("how weights are shown; empty = lb (noted, not used yet)"), "lb", "kg"),
        _may("currency", Kind.TEXT, _("money of every sheet, e.g. USD; empty = USD (noted, not used yet)")),
        _may("paper", Kind.CHOICE, _("paper in the printer; empty = letter (noted, not used yet)"), "letter", "a4"),
        _may("harvest_days", Kind.WEEKDAYS, _("days of the big harvests, e.g. tue;fri; empty = any day")),
        _may("season_first_day", Kind.DAY, _("first day anything is sold; empty = no limit")),
        _may("season_last_day", Kind.DAY, _("last day anything is sold; empty = no limit")),
        _may("dark_first_day", Kind.MONTH_DAY, _("first day of the dark weeks; empty = where days are under 10 hours")),
        _may("dark_end_day", Kind.MONTH_DAY, _("first day after the dark weeks; empty = where days reach 10 hours")),
        _may("dark_pace", Kind.PERCENT, _("growth in the dark weeks, of the usual; 100 = lit or heated; empty = 50")),
    ),
    needed=True,
)
VARIETIES = Sheet(
    "varieties",
    _("what is grown: one row for each variety"),
    (
        _must("variety", Kind.NAME, _("its name, e.g. green butterhead")),
        _must("crop", Kind.NAME, _("the crop it belongs to, e.g. lettuce")),
        _may("category", Kind.NAME, _("similar crops share it, e.g. herbs")),
        _may("part", Kind.TEXT, _("what is sown at once, e.g. half tray; empty = tray")),
        _may("part_plants", Kind.INT, _("plants (cells, seeds that count as one) in one such part; empty = 72")),
        _may("part_cost", Kind.MONEY, _("what sowing one part costs: seed and medium; empty = 0")),
        _may("sow_first_day", Kind.MONTH_DAY, _("first day of the year it may be sown; empty = any")),
        _may("sow_last_day", Kind.MONTH_DAY, _("last day of the year it may be sown; empty = any")),
    ),
    needed=True,
)
SCHEDULES = Sheet(
    "schedules",
    _("how a variety grows: one row for each stage, harvest facts on its last stage"),
    (
        _must("variety", Kind.NAME, _("as in the sheet varieties")),
        _may("valid_from", Kind.DAY, _("sowings from this day on follow it; empty = from the beginning")),
        _must("stage", Kind.INT, _("1 for the first stage after sowing, then 2, 3 ...")),
        _must("stage_name", Kind.TEXT, _("e.g. shelf, nursery, finishing")),
        _must("kind", Kind.NAME, _("kind of space it stands in, as in the sheet spaces")),
        _must("days", Kind.AMOUNT, _("days from entering the stage to leaving it; last stage: to the first harvest")),
        _may("days_at", Kind.MONTH_DAY, _("the date of entering for which `days` was noted; empty = 20 March")),
        _may("days_by_date", Kind.DAYS_BY_DATE, _("the farm's own table, 03-30=60;06-29=38; used instead of `days`")),
        _may(
            "light_response",
            Kind.PERCENT,
            _("how far light sets the pace; 0 = not, 100 = half light, twice the days; empty = 0 in stage 1, then 50"),
        ),
        _must("plants_per_place", Kind.AMOUNT, _("plants on one place: 1 a hole, 72 a tray, 4 a foot of bed")),
        _must(
            "survive", Kind.PERCENT, _("of the plants entering the stage, how many leave it (last stage: are saleable)")
        ),
        _may(
            "harvest",
            Kind.CHOICE,
            _("last stage: whole heads, cut and regrown, or picked for weeks"),
            "head",
            "cut",
            "picked",
        ),
        _may("unit", Kind.TEXT, _("last stage: what `units_per_plant` counts: head, bunch, lb, oz, kg, g")),
        _may(
            "units_per_plant",
            Kind.AMOUNT,
            _("last stage: as cut: a head 1; a cut crop its first cutting; a picked crop a week"),
        ),
        _may(
            "packed",
            Kind.PERCENT,
            _("last stage: of what is cut, how much is left to sell after washing and sorting; empty = 100"),
        ),
        _may("cuttings", Kind.PERCENTS, _("cut crops: each cutting against the first, e.g. 100;80;60; empty = 100")),
        _may("days_between", Kind.AMOUNT, _("cut crops: days from one cutting to the next, noted as for `days`")),
        _may("pick_weeks", Kind.INT, _("picked crops: weeks from the first pick until it is expected to be cleared")),
        _may("stands_good_days", Kind.INT, _("days it stays good uncut once ready; empty = 7")),
    ),
    needed=True,
)
SPACES = Sheet(
    "spaces",
    _("numbered channels, shelves, benches, beds: one row for each, again when its places change"),
    (
        _must("space", Kind.NAME, _("its number or name, e.g. F-07")),
        _must("kind", Kind.NAME, _("e.g. shelf, nursery channel, finishing channel, bed")),
        _must("places", Kind.INT, _("holes, tray places or feet")),
        _may("from", Kind.DAY, _("first day it can be used; empty = always")),
        _may("to", Kind.DAY, _("first day it cannot be used any more; empty = no end")),
    ),
    needed=True,
)
SEED_LOTS = Sheet(
    "seed_lots",
    _("seed in hand: one row for each lot"),
    (
        _must("seed_lot", Kind.NAME, _("its number, e.g. S-2291")),
        _must("variety", Kind.NAME, _("as in the sheet varieties")),
        _may("supplier", Kind.TEXT, _("who sold it")),
        _may("their_lot", Kind.TEXT, _("the supplier's lot number")),
        _may("received", Kind.DAY, _("day it came")),
        _may("seeds", Kind.INT, _("seeds in hand")),
        _may("germination", Kind.PERCENT, _("share that came up in the last test (noted, not used yet)")),
        _may("tested", Kind.DAY, _("day of that test")),
    ),
)
PLANTINGS = Sheet(
    "plantings",
    _("plants of one variety from one sowing: one row for each"),
    (
        _must("planting", Kind.NAME, _("its number, e.g. P-201")),
        _must("variety", Kind.NAME, _("as in the sheet varieties")),
        _must("sown", Kind.DAY, _("day of sowing, done or planned")),
        _must("plants", Kind.INT, _("plants (cells) sown")),
        _may("seed_lot", Kind.NAME, _("as in the sheet seed_lots")),
        _may("state", Kind.CHOICE, _("empty = done"), "done", "planned"),
        _may("cleared", Kind.DAY, _("day the last of it was cleared; empty = still growing")),
        _may("note", Kind.TEXT, _("anything worth remembering")),
    ),
)
STAYS = Sheet(
    "stays",
    _("so many plants of a planting in one space, from one day to another"),
    (
        _must("planting", Kind.NAME, _("as in the sheet plantings")),
        _must("space", Kind.NAME, _("as in the sheet spaces")),
        _must("plants", Kind.INT, _("plants that came in")),
        _must("from", Kind.DAY, _("day they came in; counted as taken")),
        _may("to", Kind.DAY, _("day they went out; not counted as taken; empty = still there")),
        _may("stage", Kind.INT, _("stage of the schedule; empty = the stage that stands in this kind of space")),
        _may("places", Kind.AMOUNT, _("places they take; empty = by the schedule")),
        _may("moved_from", Kind.NAME, _("the space they came from; empty = sown here")),
        _may("state", Kind.CHOICE, _("empty = done"), "done", "planned"),
        _may("over_full_because", Kind.TEXT, _("why more stands than there are places (noted, not used yet)")),
    ),
)
LOSSES = Sheet(
    "losses",
    _("plants that died or were thrown away"),
    (
        _must("planting", Kind.NAME, _("as in the sheet plantings")),
        _may("space", Kind.NAME, _("where they stood; empty = not noted")),
        _must("day", Kind.DAY, _("day it was noted")),
        _must("plants", Kind.INT, _("plants lost")),
        _may("cause", Kind.TEXT, _("e.g. aphids, frost, thinned")),
    ),
)
WALKS = Sheet(
    "walks",
    _("what the grower saw walking past; it overrides every figure"),
    (
        _must("planting", Kind.NAME, _("as in the sheet plantings")),
        _must("day", Kind.DAY, _("day of the walk")),
        _may("by", Kind.TEXT, _("who looked")),
        _may("ready", Kind.AMOUNT, _("so much is ready now, in the unit of the schedule, as cut")),
        _may("days_late", Kind.NUMBER, _("days later than planned; negative = earlier")),
        _may("finished", Kind.CHOICE, _("yes = nothing more will come"), "yes"),
    ),
)
PICKS = Sheet(
    "picks",
    _("what was cut: one row for each time"),
    (
        _must("planting", Kind.NAME, _("as in the sheet plantings")),
        _must("day", Kind.DAY, _("day it was cut")),
        _must("amount", Kind.AMOUNT, _("how much, as cut")),
        _must("unit", Kind.TEXT, _("head, bunch, lb, oz, kg, g")),
        _may("space", Kind.NAME, _("where it stood; empty = not noted")),
        _may("cutting", Kind.INT, _("1 for the first cutting, then 2, 3; empty = not noted")),
        _may("time", Kind.TIME, _("when")),
        _may("by", Kind.TEXT, _("who cut it")),
    ),
)
ITEMS = Sheet(
    "items",
    _("what is sold: one row for each item"),
    (
        _must("item", Kind.NAME, _("its name, e.g. salad mix")),
        _must("unit", Kind.TEXT, _("what it is sold by: head, bunch, bag, lb ...")),
        _may("step", Kind.AMOUNT, _("smallest amount that is counted, in units, e.g. 0.25; empty = 1")),
        _may("category", Kind.NAME, _("similar items share it")),
        _must("keeps_days", Kind.INT, _("days it stays good after cutting; 0 = the same day only")),
        _may("contains", Kind.AMOUNT, _("what one unit contains, e.g. 150 for a 150 g bag; empty = 1")),
        _may("contains_unit", Kind.TEXT, _("unit of `contains`: g, oz, head ...; empty = the unit itself")),
        _may("cutting_cost", Kind.MONEY, _("what cutting and packing one unit costs; empty = 0")),
        _may("leftover_value", Kind.MONEY, _("what a unit that came back is worth; empty = 0")),
        _may("keep_loss", Kind.PERCENT, _("lost in a week in the cold room; empty = 10")),
    ),
    needed=True,
)
ITEM_PARTS = Sheet(
    "item_parts",
    _("which varieties an item is made of; its shares add up to 100"),
    (
        _must("item", Kind.NAME, _("as in the sheet items")),
        _must("variety", Kind.NAME, _("as in the sheet varieties")),
        _must("share", Kind.PERCENT, _("part of it; 100 for an item of one variety")),
        _may("at_least", Kind.PERCENT, _("the mix may go down to this; empty = not changed")),
        _may("at_most", Kind.PERCENT, _("the mix may go up to this; empty = not changed")),
    ),
    needed=True,
)
OUTLETS = Sheet(
    "outlets",
    _("where it is sold: market days, regular buyers, boxes"),
    (
        _must("outlet", Kind.NAME, _("its name")),
        _must("kind", Kind.CHOICE, _("market, buyer or box"), "market", "buyer", "box"),
        _must("weekday", Kind.WEEKDAY, _("the day it sells or is delivered")),
        _may("opens", Kind.TIME, _("markets: when customers come; empty = 08:00")),
        _may("closes", Kind.TIME, _("markets: when they are gone; empty = 13:00")),
        _may("first_day", Kind.DAY, _("first day of its season; empty = no limit")),
        _may("last_day", Kind.DAY, _("last day of its season; empty = no limit")),
    ),
    needed=True,
)
PRICES = Sheet(
    "prices",
    _("what one unit of an item costs a customer, from a day on"),
    (
        _must("item", Kind.NAME, _("as in the sheet items")),
        _may("outlet", Kind.NAME, _("as in the sheet outlets; empty = every outlet without its own")),
        _may("from", Kind.DAY, _("first day of this price; empty = from the beginning")),
        _must("price", Kind.MONEY, _("for one unit")),
    ),
    needed=True,
)
MARKET_DAYS = Sheet(
    "market_days",
    _("what was brought to a market day and came back: one row for each item and day"),
    (
        _must("date", Kind.DAY, _("the market day")),
        _must("market", Kind.NAME, _("as in the sheet outlets")),
        _must("opens", Kind.TIME, _("when customers come")),
        _must("closes", Kind.TIME, _("when they are gone")),
        _must("item", Kind.NAME, _("as in the sheet items")),
        _must("unit", Kind.TEXT, _("what the numbers of this row count: bunch, lb ...")),
        _must("price", Kind.MONEY, _("for one unit"), may_be_empty=True),
        _must("brought", Kind.AMOUNT, _("fresh, all of it"), may_be_empty=True),
        _must("left_over", Kind.AMOUNT, _("came back; empty = unknown; 0 and no time = sold out"), may_be_empty=True),
        _may("restocked", Kind.AMOUNT, _("the part of `brought` that was put on the table later")),
        _may("restocked_at", Kind.TIME, _("when")),
        _may("sold_out_at", Kind.TIMES, _("when the table was empty, e.g. 11:40 or 09:30;12:10")),
        _may("sold", Kind.AMOUNT, _("as counted; empty = brought less left over")),
        _may("carried_in", Kind.AMOUNT, _("left from an earlier market, sold first")),
        _may("unit_cost", Kind.MONEY_OR_PERCENT, _("to grow and pick one unit, 1.20, or a share of the price, 30%")),
        _may("leftover_value", Kind.MONEY, _("what one unit that came back is worth")),
        _may("step", Kind.AMOUNT, _("what is counted, e.g. 0.25")),
        _may("guess", Kind.AMOUNT, _("the grower's own guess of what could be sold")),
        _may("weather", Kind.CHOICE, _("empty = not noted"), "dry", "rain"),
        _may(
            "status",
            Kind.CHOICE,
            _("empty = took place; planned = not yet, `brought` is meant"),
            "took place",
            "called off",
            "planned",
        ),
    ),
)
STANDING_ORDERS = Sheet(
    "standing_orders",
    _("what a regular buyer takes every week"),
    (
        _must("buyer", Kind.NAME, _("as in the sheet outlets")),
        _must("item", Kind.NAME, _("as in the sheet items")),
        _must("weekday", Kind.WEEKDAY, _("day of delivery")),
        _must("amount", Kind.AMOUNT, _("units each time")),
        _may("first_day", Kind.DAY, _("first day of the order; empty = always")),
        _may("last_day", Kind.DAY, _("last day of the order; empty = no end")),
        _may("every_weeks", Kind.INT, _("2 = every other week from `first_day` on; empty = 1")),
        _may(
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
        _must("box", Kind.NAME, _("as in the sheet outlets")),
        _must("week", Kind.WEEK, _("first week it holds for, e.g. 2026-W37")),
        _may("last_week", Kind.WEEK, _("last week it holds for; empty = that one week")),
        _may("size", Kind.TEXT, _("e.g. full, half; empty = one size")),
        _must("boxes", Kind.INT, _("boxes of this size, skipped weeks taken off")),
        _must("item", Kind.NAME, _("as in the sheet items")),
        _must("amount", Kind.AMOUNT, _("units in each box")),
        _may("value", Kind.MONEY, _("what one unit is worth in the box; empty = its price")),
        _may("failing_costs", Kind.MONEY, _("what one unit missing costs besides; empty = half the price")),
    ),
)
CLOSED_DAYS = Sheet(
    "closed_days",
    _("days without a market, a delivery or a harvest"),
    (
        _must("first_day", Kind.DAY, _("first day closed")),
        _may("last_day", Kind.DAY, _("last day closed; empty = that one day")),
        _may("outlet", Kind.NAME, _("as in the sheet outlets; empty = the whole farm")),
        _may("reason", Kind.TEXT, _("e.g. holidays")),
    ),
)
WAITING = Sheet(
    "waiting",
    _("dips, sprays and drenches: what may not be cut, and where nobody may enter, until when"),
    (
        _may("planting", Kind.NAME, _("treated planting; empty = everything in the space that day")),
        _may("space", Kind.NAME, _("treated space; empty = the planting wherever it stood")),
        _must("ended", Kind.DAY, _("day the job ended")),
        _may("ended_at", Kind.TIME, _("when; empty = counted as the end of that day")),
        _must("product", Kind.TEXT, _("what was used")),
        _may("job", Kind.CHOICE, _("how"), "dip", "spray", "drench"),
        _may(
            "harvest_days",
            Kind.INT,
            _("days to wait before harvest, from the label; 0 = when dry; empty = not known, so do not cut"),
        ),
        _may("entry_hours", Kind.AMOUNT, _("hours before anybody may enter, from the label")),
        _may("by", Kind.TEXT, _("who did it")),
    ),
)

SHEETS = (
    FARM,
    VARIETIES,
    SCHEDULES,
    SPACES,
    SEED_LOTS,
    PLANTINGS,
    STAYS,
    LOSSES,
    WALKS,
    PICKS,
    ITEMS,
    ITEM_PARTS,
    OUTLETS,
    PRICES,
    MARKET_DAYS,
    STANDING_ORDERS,
    BOX_COUNTS,
    CLOSED_DAYS,
    WAITING,
)
