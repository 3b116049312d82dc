"""The sheets a farm can be written in: their columns, what may stand in them, and what each means.

Days are written 2026-09-11 and times 09:30. A sheet is one CSV file, `<name>.csv`, with these names in its first
row, in any order. Every sheet may have a column `key` besides, to tell apart rows that are alike.
"""

from django.utils.translation import gettext_lazy as _

from farmops.exchange.sheets.column import KEY, Kind, Sheet, may, must
from farmops.exchange.sheets.sales_columns import (
    BOX_COUNTS,
    CLOSED_DAYS,
    ITEM_PARTS,
    ITEMS,
    MARKET_DAYS,
    OUTLETS,
    PRICES,
    SINGLE_WANTS,
    STANDING_ORDERS,
)

__all__ = ["KEY", "SHEETS"]


FARM = Sheet(
    "farm",
    _("the farm itself: one row"),
    (
        must("name", Kind.TEXT, _("the farm's name")),
        must("latitude", Kind.NUMBER, _("degrees north, south negative; sets the light through the year")),
        may("time_zone", Kind.TIME_ZONE, _("e.g. America/New_York; empty = America/New_York")),
        may("units", Kind.CHOICE, _("how weights are shown; empty = lb (noted, not used yet)"), "lb", "kg"),
        may("currency", Kind.TEXT, _("money of every sheet, e.g. USD; empty = USD (noted, not used yet)")),
        may("paper", Kind.CHOICE, _("paper in the printer; empty = letter (noted, not used yet)"), "letter", "a4"),
        may("harvest_days", Kind.WEEKDAYS, _("days of the big harvests, e.g. tue;fri; empty = any day")),
        may("season_first_day", Kind.DAY, _("first day anything is sold; empty = no limit")),
        may("season_last_day", Kind.DAY, _("last day anything is sold; empty = no limit")),
        may("dark_first_day", Kind.MONTH_DAY, _("first day of the dark weeks; empty = where days are under 10 hours")),
        may("dark_end_day", Kind.MONTH_DAY, _("first day after the dark weeks; empty = where days reach 10 hours")),
        may("dark_pace", Kind.PERCENT, _("growth in the dark weeks, of the usual; 100 = lit or heated; empty = 50")),
    ),
    needed=True,
)
VARIETIES = Sheet(
    "varieties",
    _("what is grown: one row for each variety"),
    (
        must("variety", Kind.NAME, _("its name, e.g. green butterhead")),
        must("crop", Kind.NAME, _("the crop it belongs to, e.g. lettuce")),
        may("category", Kind.NAME, _("similar crops share it, e.g. herbs")),
        may("part", Kind.TEXT, _("what is sown at once, e.g. half tray; empty = tray")),
        may("part_plants", Kind.INT, _("plants (cells, seeds that count as one) in one such part; empty = 72")),
        may("part_cost", Kind.MONEY, _("what sowing one part costs: seed and medium; empty = 0")),
        may("sow_first_day", Kind.MONTH_DAY, _("first day of the year it may be sown; empty = any")),
        may("sow_last_day", Kind.MONTH_DAY, _("last day of the year it may be sown; empty = any")),
    ),
    needed=True,
)
SCHEDULES = Sheet(
    "schedules",
    _("how a variety grows: one row for each stage, harvest facts on its last stage"),
    (
        must("variety", Kind.NAME, _("as in the sheet varieties")),
        may("valid_from", Kind.DAY, _("sowings from this day on follow it; empty = from the beginning")),
        must("stage", Kind.INT, _("1 for the first stage after sowing, then 2, 3 ...")),
        must("stage_name", Kind.TEXT, _("e.g. shelf, nursery, finishing")),
        must("kind", Kind.NAME, _("kind of space it stands in, as in the sheet spaces")),
        must("days", Kind.AMOUNT, _("days from entering the stage to leaving it; last stage: to the first harvest")),
        may("days_at", Kind.MONTH_DAY, _("the date of entering for which `days` was noted; empty = 20 March")),
        may("days_by_date", Kind.DAYS_BY_DATE, _("the farm's own table, 03-30=60;06-29=38; used instead of `days`")),
        may(
            "light_response",
            Kind.PERCENT,
            _("how far light sets the pace; 0 = not, 100 = half light, twice the days; empty = 0 in stage 1, then 50"),
        ),
        must("plants_per_place", Kind.AMOUNT, _("plants on one place: 1 a hole, 72 a tray, 4 a foot of bed")),
        must(
            "survive", Kind.PERCENT, _("of the plants entering the stage, how many leave it (last stage: are saleable)")
        ),
        may(
            "harvest",
            Kind.CHOICE,
            _("last stage: whole heads, cut and regrown, or picked for weeks"),
            "head",
            "cut",
            "picked",
        ),
        may("unit", Kind.TEXT, _("last stage: what `units_per_plant` counts: head, bunch, lb, oz, kg, g")),
        may(
            "units_per_plant",
            Kind.AMOUNT,
            _("last stage: as cut: a head 1; a cut crop its first cutting; a picked crop a week"),
        ),
        may(
            "packed",
            Kind.PERCENT,
            _("last stage: of what is cut, how much is left to sell after washing and sorting; empty = 100"),
        ),
        may("cuttings", Kind.PERCENTS, _("cut crops: each cutting against the first, e.g. 100;80;60; empty = 100")),
        may("days_between", Kind.AMOUNT, _("cut crops: days from one cutting to the next, noted as for `days`")),
        may("pick_weeks", Kind.INT, _("picked crops: weeks from the first pick until it is expected to be cleared")),
        may("stands_good_days", Kind.INT, _("days it stays good uncut once ready; empty = 7")),
    ),
    needed=True,
)
SPACES = Sheet(
    "spaces",
    _("numbered channels, shelves, benches, beds: one row for each, again when its places change"),
    (
        must("space", Kind.NAME, _("its number or name, e.g. F-07")),
        must("kind", Kind.NAME, _("e.g. shelf, nursery channel, finishing channel, bed")),
        must("places", Kind.INT, _("holes, tray places or feet")),
        may("from", Kind.DAY, _("first day it can be used; empty = always")),
        may("to", Kind.DAY, _("first day it cannot be used any more; empty = no end")),
        may("walk_order", Kind.INT, _("where its kind comes on a walk, 0 first; empty = in the order of this sheet")),
        may(
            "shade",
            Kind.DAYS_BY_DATE,
            _("percent of the light that roof and cloth keep out of its kind, by date of change: 05-15=40;09-01=0"),
        ),
        may(
            "lamp_hours",
            Kind.DAYS_BY_DATE,
            _("hours a day that lamps burn over its kind, by date of change: 11-01=6;02-15=0"),
        ),
        may("lamp_light", Kind.INT, _("light of these lamps where the leaves are, in µmol/m²s, e.g. 80")),
    ),
    needed=True,
)
SEED_LOTS = Sheet(
    "seed_lots",
    _("seed in hand: one row for each lot"),
    (
        must("seed_lot", Kind.NAME, _("its number, e.g. S-2291")),
        must("variety", Kind.NAME, _("as in the sheet varieties")),
        may("supplier", Kind.TEXT, _("who sold it")),
        may("their_lot", Kind.TEXT, _("the supplier's lot number")),
        may("received", Kind.DAY, _("day it came")),
        may("seeds", Kind.INT, _("seeds in hand")),
        may("germination", Kind.PERCENT, _("share that came up in the last test (noted, not used yet)")),
        may("tested", Kind.DAY, _("day of that test")),
    ),
)
PLANTINGS = Sheet(
    "plantings",
    _("plants of one variety from one sowing: one row for each"),
    (
        must("planting", Kind.NAME, _("its number, e.g. P-201")),
        must("variety", Kind.NAME, _("as in the sheet varieties")),
        must("sown", Kind.DAY, _("day of sowing, done or planned")),
        must("plants", Kind.INT, _("plants (cells) sown")),
        may("seed_lot", Kind.NAME, _("as in the sheet seed_lots")),
        may("state", Kind.CHOICE, _("empty = done"), "done", "planned"),
        may("cleared", Kind.DAY, _("day the last of it was cleared; empty = still growing")),
        may("note", Kind.TEXT, _("anything worth remembering")),
        may("planned", Kind.DAY, _("the day it was planned for, where it was sown on another")),
        may("planned_plants", Kind.INT, _("plants that were planned, where others were sown")),
    ),
)
STAYS = Sheet(
    "stays",
    _("so many plants of a planting in one space, from one day to another"),
    (
        must("planting", Kind.NAME, _("as in the sheet plantings")),
        must("space", Kind.NAME, _("as in the sheet spaces")),
        must("plants", Kind.INT, _("plants that came in")),
        must("from", Kind.DAY, _("day they came in; counted as taken")),
        may("to", Kind.DAY, _("day they went out; not counted as taken; empty = still there")),
        may("stage", Kind.INT, _("stage of the schedule; empty = the stage that stands in this kind of space")),
        may("places", Kind.AMOUNT, _("places they take; empty = by the schedule")),
        may("moved_from", Kind.NAME, _("the space they came from; empty = sown here")),
        may("state", Kind.CHOICE, _("empty = done"), "done", "planned"),
        may("cleared", Kind.YES, _("yes = what was left of them was taken out on the day in `to`")),
        may("over_full_because", Kind.TEXT, _("why more stands than there are places (noted, not used yet)")),
    ),
)
LOSSES = Sheet(
    "losses",
    _("plants that died or were thrown away"),
    (
        must("planting", Kind.NAME, _("as in the sheet plantings")),
        may("space", Kind.NAME, _("where they stood; empty = not noted")),
        must("day", Kind.DAY, _("day it was noted")),
        must("plants", Kind.INT, _("plants lost")),
        may("cause", Kind.TEXT, _("e.g. aphids, frost, thinned")),
    ),
)
WALKS = Sheet(
    "walks",
    _("what the grower saw walking past; it overrides every figure"),
    (
        must("planting", Kind.NAME, _("as in the sheet plantings")),
        must("day", Kind.DAY, _("day of the walk")),
        may("by", Kind.TEXT, _("who looked")),
        may("ready", Kind.AMOUNT, _("so much is ready now, in the unit of the schedule, as cut")),
        may("days_late", Kind.NUMBER, _("days later than planned; negative = earlier")),
        may("finished", Kind.CHOICE, _("yes = nothing more will come"), "yes"),
        may("space", Kind.NAME, _("where it stood; empty = all of the planting")),
    ),
)
PICKS = Sheet(
    "picks",
    _("what was cut: one row for each time"),
    (
        must("planting", Kind.NAME, _("as in the sheet plantings")),
        must("day", Kind.DAY, _("day it was cut")),
        must("amount", Kind.AMOUNT, _("how much, as cut")),
        must("unit", Kind.TEXT, _("head, bunch, lb, oz, kg, g")),
        may("space", Kind.NAME, _("where it stood; empty = not noted")),
        may("cutting", Kind.INT, _("1 for the first cutting, then 2, 3; empty = not noted")),
        may("time", Kind.TIME, _("when")),
        may("by", Kind.TEXT, _("who cut it")),
        may("typed", Kind.TEXT, _("the amount as it was typed; empty = amount and unit")),
        may("also", Kind.AMOUNT, _("the weight of what `amount` counts, or the count of what it weighs")),
        may("also_unit", Kind.TEXT, _("unit of `also`")),
        may("gross_g", Kind.AMOUNT, _("weight with the crates, in grams")),
        may("crates", Kind.INT, _("crates that were weighed with it")),
        may("tare_g", Kind.AMOUNT, _("what one empty crate weighed, in grams")),
        may("culled", Kind.INT, _("so many were thrown out while cutting, not in `amount`")),
        may("culled_g", Kind.AMOUNT, _("weight of what was thrown out while cutting, in grams, not in `amount`")),
        may("before_ready", Kind.CHOICE, _("yes = cut before it was ready"), "yes"),
        may("lot", Kind.TEXT, _("the lot it went into; empty = the planting's lot of that day")),
    ),
)
WAITING = Sheet(
    "waiting",
    _("what may not be cut and where nobody may enter, until when: dips, sprays, drenches, waits of one's own"),
    (
        may("planting", Kind.NAME, _("treated planting; empty = everything in the space that day")),
        may("space", Kind.NAME, _("treated space; empty = the planting wherever it stood")),
        must("ended", Kind.DAY, _("day the job ended")),
        may("ended_at", Kind.TIME, _("when; empty = counted as the end of that day")),
        must("product", Kind.TEXT, _("what was used; empty only beside a `reason`"), may_be_empty=True),
        may("job", Kind.CHOICE, _("how"), "dip", "spray", "drench"),
        may(
            "harvest_days",
            Kind.INT,
            _("days to wait before harvest, from the label; 0 = when dry; empty = not known, so do not cut"),
        ),
        may("entry_hours", Kind.AMOUNT, _("hours before anybody may enter, from the label")),
        may("by", Kind.TEXT, _("who did it")),
        may("reason", Kind.TEXT, _("the grower's own “do not cut” instead of a product, and why; from `ended` on")),
        may("not_before", Kind.DAY, _("beside a reason: day before which it must not be cut; empty = until lifted")),
        may("not_before_at", Kind.TIME, _("when on that day; empty = 00:00")),
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
    SINGLE_WANTS,
    CLOSED_DAYS,
    WAITING,
)
