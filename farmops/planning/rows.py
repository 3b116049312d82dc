"""A farm's rows as planning reads them: one class for each sheet, typed, names already joined.

Fields are named as the columns are (`from` and `to` are `from_day` and `to_day`). Shares are 0 to 1, times minutes
after midnight, a week its Monday, weekdays 0 for Monday. `row` is the line in the sheet, for messages.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from farmops.core.calendar import MonthDay

DaysByDate = tuple[tuple[MonthDay, Decimal], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What every row has: its line in the sheet, and the key that tells apart rows that are alike.

    Neither is part of what it says: two rows are equal when they say the same.
    """

    row: int = field(default=0, compare=False)
    key: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Farm(Row):
    name: str = ""
    latitude: Decimal = Decimal(42)
    time_zone: str = "America/New_York"
    units: str = "lb"
    currency: str = "USD"
    paper: str = "letter"
    harvest_days: tuple[int, ...] = ()
    season_first_day: date | None = None
    season_last_day: date | None = None
    dark_first_day: MonthDay | None = None
    dark_end_day: MonthDay | None = None
    dark_pace: Decimal = Decimal("0.5")


@dataclass(frozen=True, slots=True, kw_only=True)
class Variety(Row):
    variety: str
    crop: str
    category: str = ""
    part: str = "tray"
    part_plants: int = 72
    part_cost: Decimal = Decimal(0)
    sow_first_day: MonthDay | None = None
    sow_last_day: MonthDay | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleStage(Row):
    variety: str
    valid_from: date | None = None
    stage: int
    stage_name: str
    kind: str
    days: Decimal
    days_at: MonthDay = (3, 20)
    days_by_date: DaysByDate = ()
    light_response: Decimal | None = None
    plants_per_place: Decimal
    survive: Decimal
    harvest: str = ""
    unit: str = ""
    units_per_plant: Decimal | None = None
    packed: Decimal = Decimal(1)
    cuttings: tuple[Decimal, ...] = ()
    days_between: Decimal | None = None
    pick_weeks: int | None = None
    stands_good_days: int = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Space(Row):
    space: str
    kind: str
    places: int
    from_day: date | None = None
    to_day: date | None = None
    walk_order: int | None = None  # of its kind, as all that follows
    shade: DaysByDate = ()  # percent kept out, from each date on
    lamp_hours: DaysByDate = ()
    lamp_light: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedLot(Row):
    seed_lot: str
    variety: str
    supplier: str = ""
    their_lot: str = ""
    received: date | None = None
    seeds: int | None = None
    germination: Decimal | None = None
    tested: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Planting(Row):
    planting: str
    variety: str
    sown: date
    plants: int
    seed_lot: str = ""
    state: str = "done"
    cleared: date | None = None
    note: str = ""
    planned: date | None = None  # what was planned before it was sown
    planned_plants: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay(Row):
    planting: str
    space: str
    plants: int
    from_day: date
    to_day: date | None = None
    stage: int | None = None
    places: Decimal | None = None
    moved_from: str = ""
    state: str = "done"
    over_full_because: str = ""
    cleared: bool = False  # what was left was taken out on the last day


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss(Row):
    planting: str
    day: date
    plants: int
    space: str = ""
    cause: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk(Row):
    planting: str
    day: date
    by: str = ""
    ready: Decimal | None = None
    days_late: Decimal | None = None
    finished: str = ""
    space: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick(Row):
    """`also` is the other figure of a pick that was counted and weighed; weights in grams are exact to the nanogram."""

    planting: str
    day: date
    amount: Decimal
    unit: str
    space: str = ""
    cutting: int | None = None
    time: int | None = None
    by: str = ""
    typed: str = ""
    also: Decimal | None = None
    also_unit: str = ""
    gross_g: Decimal | None = None
    crates: int | None = None
    tare_g: Decimal | None = None  # of one crate, that day
    culled: int | None = None
    culled_g: Decimal | None = None
    before_ready: str = ""
    lot: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item(Row):
    item: str
    unit: str
    step: Decimal = Decimal(1)
    category: str = ""
    keeps_days: int
    contains: Decimal | None = None
    contains_unit: str = ""
    cutting_cost: Decimal = Decimal(0)
    leftover_value: Decimal = Decimal(0)
    keep_loss: Decimal = Decimal("0.1")


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemPart(Row):
    item: str
    variety: str
    share: Decimal
    at_least: Decimal | None = None
    at_most: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet(Row):
    outlet: str
    kind: str
    weekday: int
    opens: int = 480
    closes: int = 780
    first_day: date | None = None
    last_day: date | None = None
    turn: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Price(Row):
    item: str
    outlet: str = ""
    from_day: date | None = None
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketDay(Row):
    """`unit_cost` is (figure, whether it is a share of the price)."""

    date: date
    market: str
    opens: int
    closes: int
    item: str
    unit: str
    price: Decimal | None = None
    brought: Decimal | None = None
    left_over: Decimal | None = None
    restocked: Decimal | None = None
    restocked_at: int | None = None
    sold_out_at: tuple[int, ...] = ()
    sold: Decimal | None = None
    carried_in: Decimal | None = None
    unit_cost: tuple[Decimal, bool] | None = None
    leftover_value: Decimal | None = None
    step: Decimal | None = None
    guess: Decimal | None = None
    weather: str = ""
    status: str = "took place"
    left_at: int | None = None  # went home early
    restocks: tuple[tuple[int, Decimal], ...] = ()  # where there were several: minute and how much
    back_at: tuple[int, ...] = ()  # on the table again, nothing said of how much
    sold_out: str = ""  # yes: at a time that was not noted
    taken_home: Decimal | None = None  # parts of `left_over`
    given_away: Decimal | None = None
    composted: Decimal | None = None
    counted: tuple[tuple[int, Decimal], ...] = ()  # parts of `sold`, with their time
    price_changes: tuple[tuple[int, int, Decimal], ...] = ()  # minute, for how many, price
    advised: Decimal | None = None
    own_number: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingOrder(Row):
    buyer: str
    item: str
    weekday: int
    amount: Decimal
    first_day: date | None = None
    last_day: date | None = None
    every_weeks: int = 1
    failing_costs: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleWant(Row):
    """Wanted once, beside what is standing; `instead`: in place of it, and 0 is "not this time". The last one wins."""

    outlet: str
    item: str
    day: date
    amount: Decimal
    instead: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxCount(Row):
    box: str
    week: date
    last_week: date | None = None
    size: str = ""
    boxes: int
    item: str
    amount: Decimal
    value: Decimal | None = None
    failing_costs: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedDay(Row):
    first_day: date
    last_day: date | None = None
    outlet: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting(Row):
    ended: date
    product: str = ""
    planting: str = ""
    space: str = ""
    ended_at: int | None = None
    job: str = ""
    harvest_days: int | None = None
    entry_hours: Decimal | None = None
    by: str = ""
    not_before: date | None = None  # the grower's own "do not cut before", with its hour; `product` is its reason
    not_before_at: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class KindLight:
    """Shade and lamps of a kind of space."""

    kind: str
    shade: DaysByDate = ()
    lamp_hours: DaysByDate = ()
    lamp_light: int | None = None


@dataclass(frozen=True, slots=True)
class FarmRows:
    """All sheets of one farm."""

    farm: tuple[Farm, ...] = ()
    varieties: tuple[Variety, ...] = ()
    schedules: tuple[ScheduleStage, ...] = ()
    spaces: tuple[Space, ...] = ()
    seed_lots: tuple[SeedLot, ...] = ()
    plantings: tuple[Planting, ...] = ()
    stays: tuple[Stay, ...] = ()
    losses: tuple[Loss, ...] = ()
    walks: tuple[Walk, ...] = ()
    picks: tuple[Pick, ...] = ()
    items: tuple[Item, ...] = ()
    item_parts: tuple[ItemPart, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    prices: tuple[Price, ...] = ()
    market_days: tuple[MarketDay, ...] = ()
    standing_orders: tuple[StandingOrder, ...] = ()
    box_counts: tuple[BoxCount, ...] = ()
    single_wants: tuple[SingleWant, ...] = ()
    closed_days: tuple[ClosedDay, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    lights: tuple[KindLight, ...] = ()  # where no spaces are at hand; else it stands with them
    missing: tuple[str, ...] = field(default=())  # names of sheets that were not there

    @property
    def the_farm(self) -> Farm:
        return self.farm[0] if self.farm else Farm()


@dataclass(frozen=True, slots=True)
class Fault:
    """Something a person must put right: where it stands, what is wrong, what to do."""

    sheet: str
    row: int | None
    column: str
    problem: str
    remedy: str

    def __str__(self) -> str:
        where = [self.sheet]
        if self.row is not None:
            where.append(f"row {self.row}")
        if self.column:
            where.append(self.column)
        return f"{', '.join(where)}: {self.problem} {self.remedy}"


class FaultsFound(Exception):
    """The input cannot be used as it is; carries every fault that was found, not only the first."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
