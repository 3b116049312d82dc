"""What an item sells for, costs and is worth when it comes back: the farm's own figures, or shown first guesses."""

from dataclasses import dataclass, replace

# What many growers reckon with before they have counted: a starting guess, shown as one and changed on the page.
COST_SHARE = 0.30
LEFTOVER_VALUE = 0.0
STARTING_PRICE = 1.0  # the price of an item without one: quantities do not depend on it, money is then not shown


@dataclass(frozen=True, slots=True)
class Economics:
    """One item, for one unit.

    Attributes
    ----------
    price : float or None
        None is not known. [money per unit]
    unit_cost : float or None
        To grow and pick one; None takes 30 % of the price. [money per unit]
    leftover_value : float or None
        What one that came back is worth; None takes 0. [money per unit]
    unit : str
        What is counted: bunch, lb.
    step : float, > 0
        The smallest amount that is counted. [units]
    """

    price: float | None = None
    unit_cost: float | None = None
    leftover_value: float | None = None
    unit: str = ""
    step: float = 1.0

    @property
    def assumed(self) -> frozenset[str]:
        """Which figures are starting guesses and not the farm's own."""
        return frozenset(name for name in ("price", "unit_cost", "leftover_value") if getattr(self, name) is None)

    def filled(self) -> "Economics":
        """The same with starting guesses in the place of what is not known."""
        price = STARTING_PRICE if self.price is None else self.price
        return replace(
            self,
            price=price,
            unit_cost=COST_SHARE * price if self.unit_cost is None else self.unit_cost,
            leftover_value=LEFTOVER_VALUE if self.leftover_value is None else self.leftover_value,
        )

    def per_step(self) -> tuple[float, float, float]:
        """Price, cost and leftover worth of one step, starting guesses filled in."""
        full = self.filled()
        return (
            (full.price or 0.0) * self.step,
            (full.unit_cost or 0.0) * self.step,
            (full.leftover_value or 0.0) * self.step,
        )
