"""Small reference formulas that the product does not need, to hold published figures against its own kernels."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats


def normal_newsvendor(holding: float, shortage: float, mean: float, sd: float) -> tuple[float, float]:
    """Best stock and its expected cost for normal demand."""
    z = stats.norm.ppf(shortage / (holding + shortage))
    return mean + z * sd, (holding + shortage) * sd * stats.norm.pdf(z)


def normal_newsvendor_cost(stock: float, holding: float, shortage: float, mean: float, sd: float) -> float:
    """Expected cost of a given stock for normal demand."""
    short, left = normal_loss(stock, mean, sd)
    return holding * left + shortage * short


def normal_loss(stock: float, mean: float, sd: float) -> tuple[float, float]:
    """Expected shortage and expected leftovers for normal demand."""
    z = (stock - mean) / sd
    short = sd * (stats.norm.pdf(z) - z * stats.norm.sf(z))
    return short, short + stock - mean


def even_rate(events: int, exposure: float) -> float:
    """Events per unit of exposure: what constant arrivals make of censored times."""
    return events / exposure


@dataclass(frozen=True)
class TwoMarkets:
    """Two markets in turn; what is left of the fresh stock is sold first at the next one, less a rounded loss.

    Attributes
    ----------
    demand : two arrays of P(D = d)
    price, cost, scrap : float
        A piece carried once that does not sell is worth `scrap`.
    loss : float
    """

    demand: tuple[np.ndarray, np.ndarray]
    price: float
    cost: float
    scrap: float
    loss: float
    most_carried: int = 45
    most_fresh: int = 55

    def outcomes(self) -> tuple[np.ndarray, np.ndarray]:
        """Money and carried stock by (carried in, fresh, demand)."""
        carried = np.arange(self.most_carried + 1)[:, None, None]
        fresh = np.arange(self.most_fresh + 1)[None, :, None]
        wanted = np.arange(self.demand[0].size)[None, None, :]
        sold = np.minimum(wanted, carried + fresh)
        old_left = np.maximum(carried - sold, 0)
        fresh_left = np.minimum(fresh, carried + fresh - sold)
        money = self.price * sold + self.scrap * old_left - self.cost * fresh
        kept = np.round(fresh_left * (1 - self.loss)).astype(int)
        return money, np.minimum(kept, self.most_carried)

    def play(self, policy: Sequence[np.ndarray] | None = None, rounds: int = 40) -> tuple[list[np.ndarray], float]:
        """Best fresh stock by market and carried stock (or the policy given), and its profit per market."""
        money, kept = self.outcomes()
        now = [money @ demand for demand in self.demand]
        value = [np.zeros(self.most_carried + 1), np.zeros(self.most_carried + 1)]
        chosen, gain = [np.zeros(0)] * 2, 0.0
        for _ in range(rounds):
            before = [part.copy() for part in value]
            for market in (0, 1):
                total = now[market] + before[1 - market][kept] @ self.demand[market]
                chosen[market] = total.argmax(axis=1) if policy is None else policy[market]
                value[market] = total[np.arange(total.shape[0]), chosen[market]]
            gain = float(value[0][0] - before[0][0] + value[1][0] - before[1][0]) / 2
        return chosen, gain
