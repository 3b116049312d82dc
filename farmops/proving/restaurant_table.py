"""The answer of `try_restaurant`, as JSON and as a table for the README."""

from collections.abc import Mapping, Sequence

from farmops.proving.habits import HABITS
from farmops.proving.restaurant import Noted, cut_off
from farmops.proving.restaurant_walk import FIRST_DAY, Guess, Json, as_served, compare, earned, walk
from farmops.proving.seasons import PRODUCT
from farmops.proving.worlds.notebook import Policy

SHARES = (0.3, 0.5, 0.7, 0.9)
TOLD = "product_told_the_truth"
NEAR_TRUTH = 0.985  # profit of the product as a share of its own, told the truth
COMMAND = "python3 manage.py try_restaurant --markdown"
NAMES = {
    PRODUCT: "the product",
    TOLD: "the product, told the true demand",
    "average_of_last_four": "average of the last four sales",
    "up_when_sold_out": "sold out +20 %, else sold +5 %",
}


def one_share(share: float, seed: int, product: Policy, habits: Mapping[str, Policy] = HABITS) -> Json:
    """All policies on the notebook in which about `share` of the days run out."""
    noted = cut_off(share, seed)
    walks = {PRODUCT: walk(noted, product), TOLD: walk(noted, product, as_served)}
    walks |= {name: walk(noted, habit) for name, habit in habits.items()}
    ratio = earned(walks[PRODUCT]) / earned(walks[TOLD])
    return {
        "share": share,
        "ran_out_share": round(_ran_out(noted), 4),
        "profit_against_truth_told": round(ratio, 5),
        "reached": ratio >= NEAR_TRUTH,
        "policies": [{"policy": name, **compare(guesses)} for name, guesses in walks.items()],
        "items": _items(walks),
    }


def _ran_out(noted: Sequence[Noted]) -> float:
    later = sorted({one.record["date"] for one in noted})[FIRST_DAY:]
    lines = [one for one in noted if one.record["date"] in later]
    return sum(one.record["sold_out"] for one in lines) / len(lines)


def _items(walks: Mapping[str, Sequence[Guess]]) -> list[Json]:
    """The product's rows item by item, with its profit against its own when told the truth."""
    rows = []
    for item in sorted({one.item for one in walks[PRODUCT]}):
        demand = [one.demand for one in walks[PRODUCT] if one.item == item]
        against = earned(walks[PRODUCT], item) / earned(walks[TOLD], item)
        row = compare(walks[PRODUCT], item)
        rows.append(
            {
                "item": item,
                "mean_demand": round(sum(demand) / len(demand), 2),
                "profit_against_truth_told": round(against, 5),
                **row,
            }
        )
    return rows


def report(shares: Sequence[Json], seed: int) -> Json:
    """The whole answer of the command."""
    return {
        "format": 1,
        "asked": {"shares": [one["share"] for one in shares], "seed": seed},
        "first_day": FIRST_DAY + 1,
        "goal": {"profit_against_truth_told": NEAR_TRUTH, "reached": all(one["reached"] is True for one in shares)},
        "shares": list(shares),
    }


def _percent(value: object, *, sign: bool = False) -> str:
    if not isinstance(value, float):
        return ""
    return f"{100 * value:+.1f} %" if sign else f"{100 * value:.1f} %"


def _rows(value: object) -> list[Json]:
    return [row for row in value if isinstance(row, dict)] if isinstance(value, list) else []


def markdown(answer: Json) -> str:
    """Two tables: policies by share of days that run out, and the items where the product does worst."""
    lines = [
        "| days that run out | who decides | mean forecast against true demand | mean absolute error of one day | "
        "profit, share of the best fixed quantity in hindsight |",
        "|---|---|---|---|---|",
    ]
    for share in _rows(answer["shares"]):
        for row in _rows(share["policies"]):
            error = row["mean_absolute_error"]
            shown = f"{error:.2f}" if isinstance(error, float) else ""
            lines.append(
                f"| {_percent(share['ran_out_share'])} | {NAMES[str(row['policy'])]} | "
                f"{_percent(row['bias'], sign=True)} | {shown} | {_percent(row['profit_share'])} |"
            )
    lines += ["", *_worst(answer), "", f"Made by `{COMMAND}`; figures of single items with `--json`."]
    return "\n".join(lines)


def _worst(answer: Json) -> list[str]:
    """Where it does badly: the item with the largest bias, and the one that loses most, at each share."""
    lines = [
        "| days that run out | profit against itself told the truth | furthest off: item, forecast against truth | "
        "loses most: item, profit against itself told the truth |",
        "|---|---|---|---|",
    ]
    for share in _rows(answer["shares"]):
        items = _rows(share["items"])
        biased = max(items, key=lambda row: abs(_number(row["bias"])))
        losing = min(items, key=lambda row: _number(row["profit_against_truth_told"]))
        lines.append(
            f"| {_percent(share['ran_out_share'])} | {_percent(share['profit_against_truth_told'])} | "
            f"{biased['item']}, {_percent(biased['bias'], sign=True)} | "
            f"{losing['item']}, {_percent(losing['profit_against_truth_told'])} |"
        )
    return lines


def _number(value: object) -> float:
    return value if isinstance(value, float) else 0.0
