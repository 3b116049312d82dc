"""What to sow, from a farm's rows: the plan, the sum behind each sowing, what is promised and expected to sell."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from farmops.core.demand import Learned
from farmops.core.growth import Place
from farmops.core.schedule import Way
from farmops.core.sizing import Plan, Problem, Settings
from farmops.core.sizing.reserve import roomy_kinds
from farmops.planning.after_waits import after_waits
from farmops.planning.day_check import OverFull, over_full_days
from farmops.planning.day_range import check_day
from farmops.planning.growing_words import notes_on_growing
from farmops.planning.horizon import WEEKS, Horizon, Products, horizon_from, products_of
from farmops.planning.lateness import Lateness
from farmops.planning.needs import Needs, needs_of
from farmops.planning.own_stands import with_own_stands
from farmops.planning.picking_stock import Stock
from farmops.planning.plan_words import in_reserve
from farmops.planning.programme import Programme, programme_of
from farmops.planning.refused import fault_of
from farmops.planning.rows import FarmRows, FaultsFound, Variety
from farmops.planning.solver import solve_apart
from farmops.planning.standing import Growing, growing_of, schedule_on, schedules_of
from farmops.planning.stock_by_week import stock_by_week
from farmops.planning.wants import Want
from farmops.planning.why import Reasons, Why

SHOWN = 0.005  # parts below this are rounding, in weeks that are not yet whole
Solver = Callable[[Problem, Settings], Plan]


@dataclass(frozen=True, slots=True)
class SowingLine:
    """So many parts of a variety on a day. `item` is what it becomes, "" where it goes into mixes."""

    variety: Variety
    item: str
    week: int
    day: date
    parts: float
    is_whole: bool
    plants: float
    why: Why


@dataclass(frozen=True, slots=True)
class Promised:
    """A want and how much of it the plan meets; `cause` says why not all ("" where all is met): see `Lateness` for
    "too_late", "season", "days_short", and the outcome of the programme for the others."""

    want: Want
    met: float
    cause: str


@dataclass(frozen=True, slots=True)
class Sale:
    """One item on one market day to come. [units of the item]"""

    day: date
    outlet: str
    item: str
    taken: float
    expected: float
    mean_demand: float
    price: float


@dataclass(frozen=True, slots=True)
class Basis:
    """What a plan was reckoned from: what varieties become, what is wanted, what grows, and the weekly programme."""

    products: Products
    needs: Needs
    growing: Growing
    programme: Programme


@dataclass(frozen=True, slots=True)
class SowingPlan:
    """A plan in the farm's words.

    Attributes
    ----------
    horizon : Horizon
    plan : Plan
        As the solver gave it.
    lines : tuple of SowingLine
        In order of days and varieties.
    promised : tuple of Promised
    sales : tuple of Sale
    over_full : tuple of OverFull
        Days on which a second count, by day, finds too much: none, if all is right.
    notes : tuple of str
        What was left out or changed, and what is known of the plantings that stand, in words.
    basis : Basis
        What it was reckoned from.
    """

    horizon: Horizon
    plan: Plan
    lines: tuple[SowingLine, ...]
    promised: tuple[Promised, ...]
    sales: tuple[Sale, ...]
    over_full: tuple[OverFull, ...]
    notes: tuple[str, ...]
    basis: Basis

    @property
    def expected_sales(self) -> float:
        """Money expected from market days and from promises met, over all weeks looked at."""
        markets = math.fsum(sale.expected * sale.price for sale in self.sales)
        return markets + math.fsum(promise.met * float(promise.want.price) for promise in self.promised)


def plan_sowings(
    rows: FarmRows,
    as_of: date,
    settings: Settings | None = None,
    solver: Solver = solve_apart,
    *,
    weeks: int = WEEKS,
    learned: Learned | None = None,
    stock: Sequence[Stock] = (),
) -> SowingPlan:
    """Plan from a day's records.

    Parameters
    ----------
    rows : FarmRows
    as_of : date
        Later records are left out.
    settings : Settings, optional
    solver : callable
        In a child process unless told otherwise.
    weeks : int
        How far it looks.
    learned : Learned, optional
        What is known of the customers, where the market days of these rows were learned from already.
    stock : sequence of Stock
        What lies in the cold room.

    Raises
    ------
    FaultsFound
        If the rows lack what only a plan needs, such as a price, or hold a figure that cannot be planned with.
    ValueError
        If such a figure cannot be told from the words of the programme.
    SolverFailed
        If the solver hung or fell over.
    """
    check_day(as_of)
    stands = with_own_stands(rows, as_of)
    rows = stands.rows
    horizon, products = horizon_from(as_of, weeks), products_of(rows)
    growing = after_waits(rows, growing_of(rows, as_of), as_of)
    needs = needs_of(rows, products, horizon, learned, stock_by_week(stock, products, horizon))
    try:
        programme = programme_of(rows, growing, products, needs, horizon)
        plan = solver(programme.problem, settings or Settings())
        roomy = roomy_kinds(plan) if weeks <= WEEKS else ()
        unhurried = programme_of(rows, growing, products, needs, horizon, roomy)
        has_reserve = unhurried.problem.sowings != programme.problem.sowings
        if has_reserve:
            programme, plan = unhurried, solver(unhurried.problem, settings or Settings())
    except ValueError as refused:
        if fault := fault_of(refused, rows):
            raise FaultsFound([fault]) from refused
        raise
    solved = plan.objective is not None
    lines = _lines(rows, products, needs, programme, plan, horizon) if solved else []
    return SowingPlan(
        horizon,
        plan,
        tuple(lines),
        tuple(_promised(needs, plan, Lateness(rows, growing, products, programme.problem, horizon))),
        tuple(_sales(needs, plan)),
        tuple(over_full_days(rows, programme, plan, horizon)) if solved else (),
        (
            *needs.notes,
            *stands.notes,
            *([in_reserve()] if has_reserve else []),
            *notes_on_growing(growing, _sown_for_the_dark(rows, lines, growing.place, horizon)),
        ),
        Basis(products, needs, growing, programme),
    )


def _lines(
    rows: FarmRows, products: Products, needs: Needs, programme: Programme, plan: Plan, horizon: Horizon
) -> list[SowingLine]:
    varieties = {variety.variety: variety for variety in rows.varieties}
    versions = schedules_of(rows)
    reasons = Reasons(products, needs, programme, plan, horizon)
    lines = []
    for sown in plan.sowings:
        if sown.parts < SHOWN:
            continue
        variety, day = varieties[sown.way], horizon.sowing_day(sown.week)
        lines.append(
            SowingLine(
                variety=variety,
                item=sown.item if sown.item in products.items else "",
                week=sown.week,
                day=day,
                parts=sown.parts,
                is_whole=sown.whole,
                plants=sown.parts * variety.part_plants,
                why=reasons.why(sown, schedule_on(versions[sown.way], day), variety),
            )
        )
    return sorted(lines, key=lambda line: (line.week, line.variety.variety))


def _sown_for_the_dark(
    rows: FarmRows, lines: Sequence[SowingLine], place: Place, horizon: Horizon
) -> list[tuple[str, date]]:
    """Sowings of which a cutting after the first is needed in the dark weeks."""
    if place.dark_pace >= 1.0:
        return []
    versions = schedules_of(rows)
    return [
        (line.variety.variety, line.day)
        for line in lines
        if schedule_on(versions[line.variety.variety], line.day).way is Way.CUT
        and any(cut.number > 1 and place.is_dark(horizon.monday(cut.week)) for cut in line.why.harvests)
    ]


def _promised(needs: Needs, plan: Plan, lateness: Lateness) -> Iterable[Promised]:
    for outcome in plan.promises:
        want = needs.wants[outcome.key]
        is_late = outcome.cause == "too_late"
        yield Promised(want, outcome.met, lateness.cause(want) if is_late else outcome.cause)


def _sales(needs: Needs, plan: Plan) -> list[Sale]:
    prices = {market.key: market.price for market in needs.markets}
    return [
        Sale(
            needs.market_days[outcome.key].day,
            needs.market_days[outcome.key].outlet.outlet,
            outcome.item,
            outcome.taken,
            outcome.expected_sales,
            outcome.mean_demand,
            prices[outcome.key],
        )
        for outcome in plan.markets
    ]
