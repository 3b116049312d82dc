"""Learn from sell-out times when the customers of each market come.

The logarithm of a market's arrival rate over the opening hours has a Gaussian prior around the default: a part all
markets share and a part of its own, both smooth in time. Sell-out times tell the means and the profile at once, so a
shift of each market's log means moves together with its profile.
"""

from dataclasses import dataclass

import numpy as np

from farmops.core.demand.profile import BINS, DEFAULT_A, DEFAULT_B, DEFAULT_PROFILE, GRID, Profile, kumaraswamy_share
from farmops.core.demand.special import FloatArray

LEAST_TIMED = 8  # timed sell-outs on the farm before profiles are learned
# Priors of the log rate: Kumaraswamy's curve with log a and log b around the default, and a rough part on top.
LOG_A_SD, LOG_B_SD = 0.25, 0.35
ROUGH_SD, ROUGH_LENGTH = 0.15, 0.2
OWN_SHARE = 0.3  # of the variance that is a market's own
SHIFT_SD = 1.0
STEADY_TIMES = 5.0  # times less steady than a fifth of what must be are trusted in full
_LONGEST_STEP = 1.0
_SMALLEST = 1e-9
_SLOPE_STEP = 0.01


def trust_in_times(sold: FloatArray, exposure: FloatArray, group: np.ndarray) -> FloatArray:
    """How far the sell-out times of each item at each market may shape the profile.

    Demand varies from day to day, so true times vary too; times that are nearly always the same are a habit of
    noting, and would otherwise be taken for a crowd that comes all at once.

    Parameters
    ----------
    sold, exposure : (j,) float
        Of sell-outs, exposure by the default profile.
    group : (j,) int
        Item and market.

    Returns
    -------
    (j,) float in [0, 1]
        1 unless the rates sold ÷ exposure of the group vary much less than counts must (1/sold + 1/8).
    """
    rate = np.log(np.maximum(sold, 0.5) / exposure)
    count = np.maximum(np.bincount(group), 1)
    centre = np.bincount(group, weights=rate) / count
    varies = np.bincount(group, weights=(rate - centre[group]) ** 2) / np.maximum(count - 1, 1)
    must = np.bincount(group, weights=1.0 / np.maximum(sold, 0.5) + 1.0 / 8.0) / count
    trust = np.clip(STEADY_TIMES * varies / np.maximum(must, _SMALLEST), 0.0, 1.0)
    return np.asarray(np.where(count > 1, trust, 1.0)[group], dtype=np.float64)


@dataclass(frozen=True, slots=True)
class CrowdEvidence:
    """Days of known time that end before closing or have a gap; arrays of n days and j spells.

    Attributes
    ----------
    market : (n,) int
    sold, mean : (n,) float
    covered : (n, 20) float
        Which part of each twentieth of the day the crop was there.
    trust : (n,) float in [0, 1]
        From `trust_in_times`.
    part_market : (j,) int
    part_covered : (j, 20) float
    part_sold, part_trust : (j,) float
    part_near : (j, 20) float
        Which part of each twentieth is near the time the table was empty; all 0 where it was not.
    other_score, other_information : (markets,) float
        Sums over all other days of the market, in log mean.
    k : float
    """

    market: np.ndarray
    sold: FloatArray
    mean: FloatArray
    covered: FloatArray
    trust: FloatArray
    part_market: np.ndarray
    part_covered: FloatArray
    part_sold: FloatArray
    part_trust: FloatArray
    part_near: FloatArray
    other_score: FloatArray
    other_information: FloatArray
    k: float


@dataclass(frozen=True, slots=True)
class Crowds:
    """Profiles of all markets.

    Attributes
    ----------
    log_rate : (markets, 20) float
        Log of the share of customers in each twentieth, but for a constant.
    is_learned : bool
    """

    log_rate: FloatArray
    is_learned: bool

    def bins(self) -> FloatArray:
        """(markets, 20) shares of customers; each row adds up to 1."""
        rate = np.exp(self.log_rate - self.log_rate.max(axis=1, keepdims=True))
        return np.asarray(rate / rate.sum(axis=1, keepdims=True), dtype=np.float64)

    def profile(self, market: int) -> Profile:
        return Profile(self.bins()[market], self.is_learned)


def default_crowds(markets: int) -> Crowds:
    """The default for each of so many markets."""
    return Crowds(np.tile(np.log(DEFAULT_PROFILE.bins), (markets, 1)), is_learned=False)


def _leans() -> tuple[FloatArray, FloatArray]:
    """(20,), (20,) slopes of the default's log bins in log a and in log b."""

    def log_bins(a: float, b: float) -> FloatArray:
        return np.log(np.diff(kumaraswamy_share(GRID, a, b)))

    up = np.exp(_SLOPE_STEP)
    lean_a = log_bins(DEFAULT_A * up, DEFAULT_B) - log_bins(DEFAULT_A / up, DEFAULT_B)
    lean_b = log_bins(DEFAULT_A, DEFAULT_B * up) - log_bins(DEFAULT_A, DEFAULT_B / up)
    return lean_a / (2 * _SLOPE_STEP), lean_b / (2 * _SLOPE_STEP)


def prior_precision(markets: int) -> FloatArray:
    """(20 markets, 20 markets) inverse covariance of the log rates of all markets, one after the other."""
    among, kernel = _prior_parts(markets)
    inverse: FloatArray = np.kron(np.linalg.inv(among), np.linalg.inv(kernel))
    return inverse


def unlearned_covariance(markets: int) -> FloatArray:
    """(21 markets, 21 markets) prior covariance of the log rates; nothing for the shifts."""
    among, kernel = _prior_parts(markets)
    covariance = np.zeros((markets * (BINS + 1), markets * (BINS + 1)))
    covariance[: markets * BINS, : markets * BINS] = np.kron(among, kernel)
    return covariance


def _prior_parts(markets: int) -> tuple[FloatArray, FloatArray]:
    """Covariance among markets, and of the log rates over the opening hours."""
    at = (np.arange(BINS) + 0.5) / BINS
    gap = np.abs(at[:, None] - at[None, :])
    lean_a, lean_b = _leans()
    kernel = LOG_A_SD**2 * np.outer(lean_a, lean_a) + LOG_B_SD**2 * np.outer(lean_b, lean_b)
    kernel += ROUGH_SD**2 * np.exp(-gap / ROUGH_LENGTH) + 1e-6 * np.eye(BINS)
    among = (1.0 - OWN_SHARE) * np.ones((markets, markets)) + OWN_SHARE * np.eye(markets)
    return among, kernel


@dataclass(frozen=True, slots=True)
class CrowdStep:
    """Better profiles, the shifts of the markets' log means that go with them, and how unsure those are.

    Attributes
    ----------
    crowds : Crowds
    shift, shift_variance : (markets,) float
        Added to the log means; what not knowing the profile adds to their variance.
    change : float
        Longest change of a log rate or shift.
    covariance : (21 markets, 21 markets) float
        Of all log rates, one market after the other, then of the shifts; what the shifts owe to the means alone,
        with the profiles known, is left out.
    """

    crowds: Crowds
    shift: FloatArray
    shift_variance: FloatArray
    change: float
    covariance: FloatArray


def _log_posterior(crowds: Crowds, shift: FloatArray, evidence: CrowdEvidence, precision: FloatArray) -> float:
    bins = crowds.bins()
    exposure = np.sum(evidence.covered * bins[evidence.market], axis=1)
    own = shift[evidence.market]
    k, sold = evidence.k, evidence.sold
    total = -float(
        np.sum(evidence.trust * ((k + sold) * np.log(k * np.exp(-own) / evidence.mean + exposure) + k * own))
    )
    within = np.sum(evidence.part_covered * bins[evidence.part_market], axis=1)
    near = np.sum(evidence.part_near * bins[evidence.part_market], axis=1)
    is_emptied = near > 0
    counted = evidence.part_trust * (evidence.part_sold - is_emptied)
    total += float(np.sum(counted * np.log(np.maximum(within, _SMALLEST))))
    total += float(np.sum(evidence.part_trust[is_emptied] * np.log(near[is_emptied])))
    total += float(evidence.other_score @ shift - 0.5 * evidence.other_information @ shift**2)
    away = (crowds.log_rate - np.log(DEFAULT_PROFILE.bins)).ravel()
    return total - 0.5 * float(away @ precision @ away) - 0.5 * float(np.sum((shift / SHIFT_SD) ** 2))


def improve_crowds(crowds: Crowds, evidence: CrowdEvidence, precision: FloatArray) -> CrowdStep:
    """One guarded step of Newton's method in all log rates and shifts.

    Parameters
    ----------
    crowds : Crowds
    evidence : CrowdEvidence
        Means as they are without any shift.
    precision : (20 markets, 20 markets) float
        From `prior_precision`.

    Returns
    -------
    CrowdStep
    """
    markets = crowds.log_rate.shape[0]
    matrix, bend, gradient = _normal_equations(crowds, evidence, precision)
    step = np.asarray(np.linalg.solve(bend if _is_positive(bend) else matrix, gradient), dtype=np.float64)
    step *= min(1.0, _LONGEST_STEP / max(float(np.max(np.abs(step))), 1e-12))
    here = _log_posterior(crowds, np.zeros(markets), evidence, precision)
    moved, shift = crowds, np.asarray(np.zeros(markets), dtype=np.float64)
    for _ in range(8):
        shift = step[markets * BINS :]
        moved = Crowds(crowds.log_rate + step[: markets * BINS].reshape(markets, BINS), is_learned=True)
        if _log_posterior(moved, shift, evidence, precision) >= here - 1e-9:
            break
        step = step / 2
    covariance: FloatArray = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    shifts = np.arange(markets * BINS, matrix.shape[0])
    covariance[shifts, shifts] = np.maximum(covariance[shifts, shifts] - 1.0 / matrix[shifts, shifts], 0.0)
    return CrowdStep(moved, shift, covariance[shifts, shifts], float(np.max(np.abs(step))), covariance)


def _is_positive(matrix: FloatArray) -> bool:
    try:
        np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError:
        return False
    return True


def _normal_equations(
    crowds: Crowds, evidence: CrowdEvidence, precision: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Expected information, curvature as it is, and gradient over the log rates of all markets, then their shifts.

    Where nearly all days ran out, sell-outs fall late and expectation and curvature are far apart: steps by the
    expected information then swing around the summit for dozens of rounds. What is not known is told by it all the
    same, for it is always positive.
    """
    markets = crowds.log_rate.shape[0]
    bins = crowds.bins()
    rates = markets * BINS
    matrix = np.zeros((rates + markets, rates + markets))
    gradient = np.zeros(rates + markets)
    matrix[:rates, :rates] = precision
    gradient[:rates] = -precision @ (crowds.log_rate - np.log(DEFAULT_PROFILE.bins)).ravel()
    bend = matrix.copy()
    for at in range(markets):
        here, shift = slice(at * BINS, (at + 1) * BINS), rates + at
        told = _day_terms(at, bins[at], evidence)
        emptied = _spell_terms(at, bins[at], evidence)
        pull = told.pull + emptied.pull
        matrix[here, here] += told.expected + emptied.expected
        # the curvature of the shares themselves
        turn = np.outer(pull, bins[at])
        bend[here, here] += told.bend + emptied.bend - np.diag(pull) + turn + turn.T
        for one in (matrix, bend):
            one[here, shift] = one[shift, here] = told.link
            one[shift, shift] = told.shift_information + evidence.other_information[at] + 1.0 / SHIFT_SD**2
        gradient[here] += pull
        gradient[shift] = told.shift_score + evidence.other_score[at]
    return matrix, bend, gradient


@dataclass(frozen=True, slots=True)
class _Terms:
    """One market's share of the equations: (20, 20), (20, 20), (20,); for days also what concerns the shift."""

    expected: FloatArray
    bend: FloatArray
    pull: FloatArray
    link: FloatArray
    shift_information: float = 0.0
    shift_score: float = 0.0


def _day_terms(at: int, own: FloatArray, evidence: CrowdEvidence) -> _Terms:
    rows = evidence.market == at
    trust, covered = evidence.trust[rows], evidence.covered[rows]
    counted, floor = trust * (evidence.k + evidence.sold[rows]), evidence.k / evidence.mean[rows]
    exposure = np.maximum(covered @ own, _SMALLEST)
    lean = own * (covered / exposure[:, None] - 1.0)  # slope of log exposure in the log rates
    part = exposure / (floor + exposure)
    weight = counted * part * (1.0 - part)
    return _Terms(
        expected=(lean * weight[:, None]).T @ lean,
        bend=-(lean * (counted * part**2)[:, None]).T @ lean,
        pull=-(counted * part) @ lean,
        link=weight @ lean,
        shift_information=float(weight.sum()),
        shift_score=float(np.sum(counted * (1.0 - part) - trust * evidence.k)),
    )


def _spell_terms(at: int, own: FloatArray, evidence: CrowdEvidence) -> _Terms:
    parts = evidence.part_market == at
    trust, covered = evidence.part_trust[parts], evidence.part_covered[parts]
    near = evidence.part_near[parts] @ own
    is_emptied = near > 0
    within = np.maximum(covered @ own, _SMALLEST)
    counted = trust * (evidence.part_sold[parts] - is_emptied)
    lean = own * (covered / within[:, None] - 1.0)
    emptied = trust[is_emptied]
    told = own * (evidence.part_near[parts][is_emptied] / near[is_emptied, None] - 1.0)
    return _Terms(
        expected=float(emptied.sum()) * (np.diag(own) - np.outer(own, own)),
        bend=(lean * counted[:, None]).T @ lean + (told * emptied[:, None]).T @ told,
        pull=counted @ lean + emptied @ told,
        link=np.zeros(BINS),
    )
