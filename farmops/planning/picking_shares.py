"""What is there on a harvest day, shared out by the programme that plans the weeks: so both say the same of a mix."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from farmops.core.sizing import Block, Cuts, Item, Plan, Problem, Promise, Settings, Standing
from farmops.planning.horizon import Products, products_of
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver
from farmops.planning.wants import Want

ZERO = Decimal(0)
MAKING = 1e-4  # of the money: a tiny cost, so that nothing is made that nobody wants
SAFELY = Decimal("0.000001")
FIRST = 1000.0  # times the dearest: what is given already is not taken back for any money


@dataclass(frozen=True, slots=True)
class Shared:
    """What each want gets, in order [units of the item], and what of each variety is packed for it [its unit].

    mixed: for mixes reckoned anew, how much of each variety goes into one [its unit]; others follow their recipes.
    """

    got: tuple[Decimal, ...]
    packed: Mapping[str, Decimal]
    mixed: Mapping[str, Mapping[str, Decimal]]


def by_recipe(products: Products, wants: Sequence[Want]) -> Shared:
    """Everything wanted, by the exact recipes."""
    return _packed(products, wants, [want.amount for want in wants], {})


def share_out(
    rows: FarmRows, wants: Sequence[Want], there: Mapping[str, Decimal], solver: Solver = solve_apart
) -> Shared:
    """Share what is there among what is wanted: by the recipes if that is enough, else in the farm's order.

    Promises come first, outlet by outlet in the farm's order, each as far as those before it leave something; markets
    share the rest for the most money. Mixes are changed inside their limits only where that serves somebody more.
    Amounts are whole steps of the item.

    Parameters
    ----------
    rows : FarmRows
    wants : sequence of Want
    there : mapping of variety to Decimal
        Packed amounts. [unit of the variety]
    solver : callable

    Raises
    ------
    SolverFailed
        If the solver hung or fell over.
    """
    products = products_of(rows)
    steps = {item.item: item.step for item in rows.items}
    got: dict[int, Decimal] = {}
    mixed: Mapping[str, Mapping[str, Decimal]] = {}
    for turn in _in_turn(rows, wants):
        asked = [*got, *turn]
        now = [wants[number] for number in asked]
        everything = by_recipe(products, now).packed
        if all(amount <= there.get(variety, ZERO) + SAFELY for variety, amount in everything.items()):
            got |= {number: wants[number].amount for number in turn}
            continue
        plan = solver(_problem(products, now, there, got.values()), Settings(gap=0.0, explain=False, stay_worth=0.0))
        mixed = _mixed(products, plan)
        for number, outcome in list(zip(asked, plan.promises, strict=True))[len(got) :]:
            step = steps[wants[number].item]
            met = (Decimal(str(outcome.met)) + SAFELY) / step
            got[number] = met.to_integral_value(ROUND_FLOOR) * step
    return _packed(products, wants, [got[number] for number in range(len(wants))], mixed)


def _in_turn(rows: FarmRows, wants: Sequence[Want]) -> list[list[int]]:
    """Numbers of the wants that are served together, one group after the other: promises by turn, then markets."""
    turns = {outlet.outlet: outlet.turn for outlet in rows.outlets}
    groups: dict[tuple[bool, int], list[int]] = defaultdict(list)
    for number, want in enumerate(wants):
        is_market = want.kind == "market"
        groups[is_market, 0 if is_market else turns.get(want.outlet, 0)].append(number)
    return [groups[turn] for turn in sorted(groups)]


def _problem(
    products: Products, wants: Sequence[Want], there: Mapping[str, Decimal], held: Collection[Decimal]
) -> Problem:
    """One week without limits of room: what is there, and every want as a promise; the first get what they have."""
    keys = {*products.items, *(target.key for target in products.targets.values()), *(want.item for want in wants)}
    standing = []
    for variety, target in products.targets.items():
        # A unit packed of a variety is 1 / amount of its item, or of the part of mixes itself.
        amount = float(there.get(variety, ZERO)) / _packed_in_one(products, variety)
        if amount > 0:
            standing.append(Standing(variety, target.key, Cuts((Block(((0, amount),)),))))
    first = FIRST * max(float(want.price + want.failing_costs) + 1.0 for want in wants)
    promises = (
        *(
            Promise(str(n), want.item, 0, float(had), first, 0.0)
            for n, (want, had) in enumerate(zip(wants, held, strict=False))
        ),
        *(
            Promise(str(n), want.item, 0, float(want.amount), float(want.price) or 1.0, float(want.failing_costs))
            for n, want in enumerate(wants[len(held) :], len(held))
        ),
    )
    items = tuple(Item(key, cutting=MAKING) for key in sorted(keys))
    return Problem(1, (), items, standing=tuple(standing), promises=promises, mixes=products.mixes)


def _packed_in_one(products: Products, variety: str) -> float:
    key = products.targets[variety].key
    return products.parts[key][0][1] if key in products.parts else 1.0


def _mixed(products: Products, plan: Plan) -> dict[str, dict[str, Decimal]]:
    """Packed amount of each variety in one of each mix, as the plan makes it."""
    varieties = {target.key: variety for variety, target in products.targets.items()}
    return {
        mix.item: {varieties[part]: Decimal(str(round(amount / mix.made, 9))) for part, amount in mix.parts}
        for mix in plan.mixed
    }


def _packed(
    products: Products, wants: Sequence[Want], got: Sequence[Decimal], mixed: Mapping[str, Mapping[str, Decimal]]
) -> Shared:
    packed: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for want, amount in zip(wants, got, strict=True):
        recipe = {variety: Decimal(str(round(part, 9))) for variety, part in products.parts.get(want.item, ())}
        in_one = mixed.get(want.item, recipe)
        for variety, part in in_one.items():
            packed[variety] += amount * part
    return Shared(tuple(got), dict(packed), mixed)
