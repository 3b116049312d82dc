"""When customers come: the share of a day's customers up to a time of the opening hours."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farmops.core.demand.special import FloatArray


@dataclass(frozen=True, slots=True)
class Profile:
    """Share of the day's customers by the share u of the opening hours: 1 - (1 - u^a)^b (Kumaraswamy).

    Attributes
    ----------
    a, b : float, > 0
    is_learned : bool
        From the farm's own sell-out times; else the default.
    """

    a: float
    b: float
    is_learned: bool = False


DEFAULT_PROFILE = Profile(1.2, 1.5)  # mornings somewhat busier; the centre of the priors


def share_by(u: npt.ArrayLike, profile: Profile) -> FloatArray:
    """Share of the day's customers who have come by u.

    Parameters
    ----------
    u : array of float in [0, 1]
        Share of the opening hours. [-]
    profile : Profile

    Returns
    -------
    array of float in [0, 1]
    """
    at = np.clip(np.asarray(u, dtype=np.float64), 0.0, 1.0)
    return np.asarray(1.0 - (1.0 - at**profile.a) ** profile.b, dtype=np.float64)


LOG_A_MEAN, LOG_A_SD = float(np.log(DEFAULT_PROFILE.a)), 0.25
LOG_B_MEAN, LOG_B_SD = float(np.log(DEFAULT_PROFILE.b)), 0.35
LEAST_TIMED = 8  # timed sell-outs before the profile is learned
NOTED_WITHIN = 0.0125  # half width, in shares of the opening hours, of what a noted time means (about 4 minutes of 5 h)
SHIFT_SD = 2.0
_STEP = 0.02
_LONGEST_STEP = 0.4
_SMALLEST = 1e-12


@dataclass(frozen=True, slots=True)
class ProfileEvidence:
    """What the learning of the profile needs of the days with known times; arrays of n days, j spells.

    Attributes
    ----------
    sold, mean : (n,) float
    start, stop : (m,) float
    owner : (m,) int
        Spells on the table and their days.
    part_start, part_stop, part_sold : (j,) float
    part_is_emptied : (j,) bool
        Spells that show when customers come.
    untimed_score, untimed_information : float
        Sums over the days of unknown time, in log mean.
    k : float
    """

    sold: FloatArray
    mean: FloatArray
    start: FloatArray
    stop: FloatArray
    owner: npt.NDArray[np.int64]
    part_start: FloatArray
    part_stop: FloatArray
    part_sold: FloatArray
    part_is_emptied: npt.NDArray[np.bool_]
    untimed_score: float
    untimed_information: float
    k: float


def _log_posterior(at: FloatArray, evidence: ProfileEvidence, least_exposure: float) -> float:
    """At (log a, log b, shift of all log means)."""
    profile = Profile(float(np.exp(at[0])), float(np.exp(at[1])))
    shares = share_by(evidence.stop, profile) - share_by(evidence.start, profile)
    exposure = np.clip(np.bincount(evidence.owner, weights=shares, minlength=evidence.sold.size), least_exposure, 1.0)
    k = evidence.k
    total = -np.sum((k + evidence.sold) * np.log(k * np.exp(-at[2]) / evidence.mean + exposure))
    total -= k * at[2] * evidence.sold.size
    within = share_by(evidence.part_stop, profile) - share_by(evidence.part_start, profile)
    counted = evidence.part_sold - evidence.part_is_emptied
    total += np.sum(counted * np.log(np.maximum(within, _SMALLEST)))
    ends = evidence.part_stop[evidence.part_is_emptied]
    near = share_by(ends + NOTED_WITHIN, profile) - share_by(ends - NOTED_WITHIN, profile)
    total += np.sum(np.log(np.maximum(near, _SMALLEST)))
    total += evidence.untimed_score * at[2] - 0.5 * evidence.untimed_information * at[2] ** 2
    total -= 0.5 * ((at[0] - LOG_A_MEAN) / LOG_A_SD) ** 2 + 0.5 * ((at[1] - LOG_B_MEAN) / LOG_B_SD) ** 2
    return float(total - 0.5 * (at[2] / SHIFT_SD) ** 2)


@dataclass(frozen=True, slots=True)
class ProfileStep:
    """A better profile, the shift of all log means that goes with it, and how unsure that shift is.

    Attributes
    ----------
    profile : Profile
    shift : float
        Added to all log means.
    change : float
        Longest change of log a, log b or the shift.
    shift_variance : float, >= 0
        What not knowing the profile adds to the variance of all log means.
    """

    profile: Profile
    shift: float
    change: float
    shift_variance: float


def improve_profile(profile: Profile, evidence: ProfileEvidence, least_exposure: float) -> ProfileStep:
    """One step of Newton's method in log a, log b and the common shift of the means.

    Sell-out times tell the means and the profile at once, so the two move together.

    Parameters
    ----------
    profile : Profile
    evidence : ProfileEvidence
    least_exposure : float
        Floor of a day's exposure. [-]

    Returns
    -------
    ProfileStep
    """
    here = np.array([np.log(profile.a), np.log(profile.b), 0.0])

    def value(*moves: tuple[int, float]) -> float:
        at = here.copy()
        for axis, steps in moves:
            at[axis] += steps * _STEP
        return _log_posterior(at, evidence, least_exposure)

    centre = value()
    up = [value((axis, 1.0)) for axis in range(3)]
    down = [value((axis, -1.0)) for axis in range(3)]
    gradient = np.array([(up[axis] - down[axis]) / (2 * _STEP) for axis in range(3)])
    bend = np.zeros((3, 3))
    for axis in range(3):
        bend[axis, axis] = (up[axis] - 2 * centre + down[axis]) / _STEP**2
        for other in range(axis):
            both = value((axis, 1.0), (other, 1.0)) + value((axis, -1.0), (other, -1.0))
            mixed = (both - up[axis] - down[axis] - up[other] - down[other] + 2 * centre) / (2 * _STEP**2)
            bend[axis, other] = bend[other, axis] = mixed
    lengths, directions = np.linalg.eigh(-bend)
    lengths = np.maximum(np.abs(lengths), 1e-3)
    step = directions @ ((directions.T @ gradient) / lengths)
    step *= min(1.0, _LONGEST_STEP / max(float(np.max(np.abs(step))), 1e-12))
    for _ in range(6):
        if _log_posterior(here + step, evidence, least_exposure) >= centre - 1e-9:
            break
        step = step / 2
    moved = here + step
    covariance = (directions / lengths) @ directions.T
    extra = max(float(covariance[2, 2]) - 1.0 / max(-float(bend[2, 2]), 1e-3), 0.0)
    return ProfileStep(
        Profile(float(np.exp(moved[0])), float(np.exp(moved[1])), is_learned=True),
        float(step[2]),
        float(np.max(np.abs(step))),
        extra,
    )
