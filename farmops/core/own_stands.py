"""What a farm's own plantings say about the share of plants that leave a stage: pooled towards the schedule."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

# Spreads of shares: of what a grower wrote down about the variety's own, and of plantings about their variety beyond
# the luck of single plants. The second as the sizing method's trials assume; the first is our assumption.
SCHEDULE_SPREAD = 0.08
PLANTING_SPREAD = 0.05
LEAST = 0.05  # a stage that nothing leaves cannot be planned with


@dataclass(frozen=True, slots=True)
class Counted:
    """Plants of one planting that entered a stage and that left it to go on.

    Attributes
    ----------
    variety : str
    stage : int
        From 0.
    said : float in (0, 1]
        Share by the schedule. [-]
    entered, left : float
        [plants]
    """

    variety: str
    stage: int
    said: float
    entered: float
    left: float

    def __post_init__(self) -> None:
        if not 0.0 < self.said <= 1.0:
            raise ValueError(f"a share that survives must be above 0 and at most 1, got {self.said}")
        if not (self.entered > 0.0 and 0.0 <= self.left <= self.entered):
            raise ValueError(f"of those that entered, some leave, got {self.entered} and {self.left}")


@dataclass(frozen=True, slots=True)
class OwnStand:
    """How much more or less of a variety leaves a stage than its schedule says.

    Attributes
    ----------
    more : float
        Added to the schedule's share. [-]
    spread : float
        What is not known of it. [-]
    plantings : int
    """

    more: float
    spread: float
    plantings: int

    def share(self, said: float) -> float:
        """The share to count on, where a version of the schedule says so much."""
        return min(1.0, max(LEAST, said + self.more))


def learn_stands(counted: Sequence[Counted]) -> dict[tuple[str, int], OwnStand]:
    """Pool the schedule's shares with the farm's own counts.

    Parameters
    ----------
    counted : sequence of Counted

    Returns
    -------
    dict of (variety, stage) to OwnStand

    Notes
    -----
    Normal prior about the schedule, normal likelihood of each planting's share, with the variance of plantings and
    that of single plants, said × (1 - said) ÷ entered: the mean is weighted by what each tells [1]_.

    References
    ----------
    .. [1] A. Gelman et al., "Bayesian Data Analysis", 3rd ed., 2013, section 2.5 (normal mean, known variances).
    """
    told: dict[tuple[str, int], list[tuple[float, float]]] = defaultdict(list)
    for one in counted:
        luck = max(one.said * (1.0 - one.said), 0.01) / one.entered
        told[one.variety, one.stage].append((one.left / one.entered - one.said, 1.0 / (PLANTING_SPREAD**2 + luck)))
    found = {}
    for key, of_stage in told.items():
        precision = SCHEDULE_SPREAD**-2 + math.fsum(weight for _more, weight in of_stage)
        more = math.fsum(more * weight for more, weight in of_stage) / precision
        found[key] = OwnStand(more, precision**-0.5, len(of_stage))
    return found
