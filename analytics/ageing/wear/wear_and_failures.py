"""Wear readings and failures together: one curve from both, under an assumption that is stated.

The readings of each bearing speak for or against a curve of lives, see
`wear_contribution`; the draws of the curve are weighed by what they say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp
from scipy.stats import binom

from analytics.ageing.clocks import CENSORED
from analytics.ageing.posterior import Posterior
from analytics.ageing.tails import pareto_k
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.straight_lines import PER
from analytics.ageing.wear.wear_contribution import log_contribution
from analytics.ageing.wear.wear_paths import belief_of, resampled

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

ASSUMPTION = (
    "Readings and failures together suppose that a bearing fails by wear when its clearance "
    "passes the renew limit of its size, and at no other time."
)

TOO_FAR = (
    "Readings and failures lie too far apart to be joined: no curve is drawn from both. Clear up "
    "what was called a failure, and at which clearance, first."
)

TOO_MANY = (
    "The readings leave too few draws of the life factors of groups: no curve is drawn from both. "
    "Join them with the curve of all lives taken as alike."
)

MATERIAL = 1.2
"""By what failures and limit must part, surely, before it is told (planning default): limits that
practices use differ by more."""

_BELIEVED = 0.5
"""Spread of the log of what had worn away when failed, before anything is known of it."""
_LOOKED_AT = 400

_ENOUGH = 200.0
_SURELY = 0.05
_STAGES = 6
"""Steps after which the two are given up as too far apart to be joined."""


@dataclass(frozen=True)
class Joined:
    """A kind's posterior with the readings in it.

    Attributes
    ----------
    posterior : Posterior or None
        Draws of equal weight; None where the two lie too far apart, or too few
        draws of life factors would remain.
    weights : ndarray, shape (n_draws,)
        Of the draws that were given, by the readings alone; they add up to 1.
    effective : float
        Effective number of those draws. Where it is low the readings say more
        than the failures do, and the draws were moved in `stages` steps.
    stages : int
        0 where the weights alone did.
    used, corrected, without_limit : int
        Paths that count; those among them that were read past the limit and
        went on by their record, where the reading is believed; paths that do
        not count, because their size has no limit.
    said : tuple of str
        The assumption first; then what parts the two, if anything does.
    """

    posterior: Posterior | None
    weights: Floats
    effective: float
    stages: int
    used: int
    corrected: int
    without_limit: int
    said: tuple[str, ...]


def with_readings(posterior: Posterior, wear: Wear, seed: int = 0) -> Joined:
    """A kind's posterior with the readings joined to it.

    Weights of the draws by importance. Where few draws would remain they are
    moved towards the readings in steps, each a resample and a small move that
    keeps mean and covariance (Liu & West 2001, from memory); then the result is
    approximate in so far as the posterior is not normal in the logs. Draws of
    life factors are many and cannot be moved so: where few would remain, join
    the readings with a curve of all lives taken as alike.

    Parameters
    ----------
    posterior : Posterior
        Of the kind of `wear`, on the clock of shaft hours.
    wear : Wear
    seed : int

    Raises
    ------
    ValueError
        If the kind is not the same, or does not age by shaft hours.
    """
    if posterior.kind.name != wear.kind or posterior.kind.clock != "hours":
        raise ValueError("readings of wear join a kind of the same name that ages by shaft hours")
    renew = np.array([limit.renew_mm if limit else np.nan for limit in wear.limits])
    counts = np.isfinite(renew)
    corrected = counts & _went_on(wear, renew)
    numbers = int(counts.sum()), int(corrected.sum()), int((~counts).sum())
    apart = (failed_within_limit(wear), disagreement(posterior, wear))
    said = (ASSUMPTION, *_corrected(numbers[1]), *(one for one in apart if one))
    n = len(posterior)
    if not counts.any():
        return Joined(posterior, np.full(n, 1.0 / n), float(n), 0, *numbers, said)
    rng = np.random.default_rng([seed, crc32(f"both|{wear.kind}".encode())])
    beside, log_extra = _error_and_offset(wear, n, rng)
    theta = posterior.parameters
    state = np.column_stack([theta.log_shape, theta.log_scale, beside])

    factors = posterior.factors
    shift = None if factors is None else factors.of(wear.table, seed)

    def gain(state: Floats, carried: Ints) -> Floats:
        moved = replace(theta.part(carried), log_shape=state[:, 0], log_scale=state[:, 1])
        by_path = None if shift is None else shift[carried]
        beside = state[:, 2], state[:, 3]
        read = log_contribution(posterior, moved, wear, *beside, counts, corrected, by_path)
        return read + log_extra(state[:, 2:])

    carried = np.arange(n, dtype=np.int64)
    logs = gain(state, carried)
    weights = np.exp(logs - logsumexp(logs))
    effective = float(1.0 / (weights**2).sum())
    if effective >= _ENOUGH:
        carried, stages = resampled(weights, n, rng), 0
        state = state[carried]
    else:
        moved = None if factors else _moved(state, logs, gain, rng)
        if moved is None:
            why, stages = (TOO_MANY, 0) if factors else (TOO_FAR, _STAGES)
            return Joined(None, weights, effective, stages, *numbers, (*said, why))
        state, carried, stages = moved
    chosen = posterior.of_draws(carried)
    parameters = replace(chosen.parameters, log_shape=state[:, 0], log_scale=state[:, 1])
    together = replace(chosen, parameters=parameters, effective=effective, tail=pareto_k(logs))
    return Joined(together, weights, effective, stages, *numbers, said)


def disagreement(posterior: Posterior, wear: Wear, seed: int = 0) -> str | None:
    """A sentence where bearings are not called failed about their limit.

    Parameters
    ----------
    posterior : Posterior
        Of the failures, without the readings.
    wear : Wear
    seed : int

    Returns
    -------
    str or None
        None where failures and limit agree to within `MATERIAL`, where that cannot
        be told, or where no size has a limit.
    """
    found = worn_when_failed(posterior, wear, seed)
    if found is None:
        return None
    low, middle, high = found
    if low <= MATERIAL and high >= 1 / MATERIAL:
        return None
    why = (
        "bearings may be kept past their limit, or be lasting until somebody looks"
        if middle > 1
        else "bearings may be called failed before their limit, or fail by something other than "
        "wear"
    )
    return (
        "Readings and failures disagree: by both, what had worn away of a bearing when it was "
        f"called failed was {100 * low:.0f} to {100 * high:.0f} % of what its limit allows. "
        f"{why[0].upper()}{why[1:]}; the limit may also not be the one that is used. Look at both "
        "before using them together."
    )


def worn_when_failed(
    posterior: Posterior, wear: Wear, seed: int = 0
) -> tuple[float, float, float] | None:
    """What had worn away when bearings were called failed, over what the limit allows.

    Given the record of each bearing that was read, so that it does not matter
    which bearings are read: those that fail soon are read less often. By
    importance, with a second round about the first.

    Returns
    -------
    tuple of float or None
        2.5 % point, median and 97.5 % point; None where no size has a limit.
    """
    limited = np.array([limit is not None for limit in wear.limits])
    if not limited.any():
        return None
    rng = np.random.default_rng([seed, crc32(f"limit in use|{wear.kind}".encode())])
    n = min(len(posterior), _LOOKED_AT)
    some = posterior.of_draws(np.arange(n, dtype=np.int64))
    beside, log_extra = _error_and_offset(wear, n, rng)
    shift = None if some.factors is None else some.factors.of(wear.table, seed)
    middle, spread = 0.0, _BELIEVED
    for _ in range(2):
        normal = rng.standard_normal(n)
        stretch = middle + spread * normal
        logs = log_contribution(some, some.parameters, wear, beside[:, 0], beside[:, 1], limited,
                                np.zeros_like(limited), shift, stretch)  # fmt: skip
        logs += log_extra(beside) - 0.5 * (stretch / _BELIEVED) ** 2 + 0.5 * normal**2
        weight = np.exp(logs - logsumexp(logs))
        order = np.argsort(stretch)
        points = np.interp((0.025, 0.5, 0.975), np.cumsum(weight[order]), stretch[order])
        middle = float(weight @ stretch)
        # Wider than found: few draws may stand behind it.
        spread = 1.5 * max(float(np.sqrt(weight @ (stretch - middle) ** 2)), 0.03)
    low, centre, high = np.exp(points)
    return float(low), float(centre), float(high)


def failed_within_limit(wear: Wear) -> str | None:
    """A sentence where bearings failed that by their readings were still within the limit.

    Returns
    -------
    str or None
        None where there are none, or fewer than would be by chance.
    """
    renew = np.array([limit.renew_mm if limit else np.nan for limit in wear.limits])
    failed = (wear.nodes.outcome != CENSORED) & np.isfinite(renew)
    if not failed.any():
        return None
    ended = wear.nodes.upper[wear.draws.row[:, failed]]
    clearance = wear.draws.at_fitting[:, failed] + wear.draws.rate[:, failed] * ended / PER
    within = int(((clearance >= renew[failed]).mean(axis=0) < _SURELY).sum())
    # Of n that were past it, as many as this would look to be within it once in twenty times.
    by_chance = binom.ppf(0.95, int(failed.sum()), _SURELY)
    if within <= by_chance:
        return None
    return (
        f"{within} of {int(failed.sum())} bearings with readings that are said to have failed were "
        "by those readings most likely still within the limit when they came out. What was called "
        "a failure may not be wear, or another limit was used."
    )


def _went_on(wear: Wear, renew: Floats) -> Bools:
    """Paths with a reading past the limit, by more than its error, before they were last sound."""
    number = {life: i for i, life in enumerate(wear.table["life"])}
    path = np.array([number[life] for life in wear.readings["life"]], dtype=np.int64)
    error = float(np.median(np.exp(wear.shared.log_error)))
    mm = wear.readings["mm"].to_numpy()
    past = mm > renew[path] + 2 * error * wear.readings["error_factor"].to_numpy()
    # The last known sound day, against the day of the reading.
    sound = wear.table["end_lo"].to_numpy()[path]
    went_on = np.zeros(len(renew), dtype=bool)
    np.logical_or.at(went_on, path, past & (wear.readings["read_lo"].to_numpy() <= sound))
    return np.asarray(went_on & (wear.nodes.outcome == CENSORED))


def _corrected(n: int) -> list[str]:
    if not n:
        return []
    return [
        f"{n} {'bearing was' if n == 1 else 'bearings were'} read past the limit and went on by "
        "the record: there the reading is believed, and not that it had not yet failed."
    ]


def _error_and_offset(
    wear: Wear, n: int, rng: np.random.Generator
) -> tuple[Floats, Callable[[Floats], Floats]]:
    """Proposals of (log error, offset), normal about what the paths say; belief over proposal."""
    rows = wear.shared.rows[:, 2:]
    middle, root = rows.mean(axis=0), np.linalg.cholesky(np.cov(rows, rowvar=False) * 1.3)
    believed, spread = (values[2:] for values in belief_of(wear.belief))

    def log_ratio(rows: Floats) -> Floats:
        away = np.linalg.solve(root, (rows - middle).T)
        belief = (((rows - believed) / spread) ** 2).sum(axis=1)
        return np.asarray(0.5 * (away**2).sum(axis=0) - 0.5 * belief)

    return middle + rng.standard_normal((n, 2)) @ root.T, log_ratio


def _moved(
    state: Floats, logs: Floats, gain: Callable[[Floats, Ints], Floats], rng: np.random.Generator
) -> tuple[Floats, Ints, int] | None:
    """Draws moved to where the readings put them, in steps that each keep half of them.

    None where that takes too many steps: the moves know the failures only by
    the draws' mean and covariance, which far from the draws says nothing.
    """
    n, done, stages = len(state), 0.0, 0
    carried = np.arange(n, dtype=np.int64)
    keep = 0.97
    while done < 1.0:
        if stages == _STAGES:
            return None
        step = _step(logs, 1.0 - done)
        weight = np.exp(step * logs - logsumexp(step * logs))
        middle = weight @ state
        covariance = (state - middle).T @ ((state - middle) * weight[:, None])
        chosen = resampled(weight, n, rng)
        root = np.linalg.cholesky(covariance + 1e-12 * np.eye(len(middle)))
        away = rng.standard_normal(state.shape) @ root.T
        state = middle + keep * (state[chosen] - middle) + np.sqrt(1 - keep**2) * away
        carried, done, stages = carried[chosen], done + step, stages + 1
        if done < 1.0:
            logs = gain(state, carried)
    return state, carried, stages


def _step(logs: Floats, most: float) -> float:
    """How much of the readings may be added so that half of the draws remain effective."""

    def effective(step: float) -> float:
        weight = np.exp(step * logs - logsumexp(step * logs))
        return float(1.0 / (weight**2).sum()) / len(logs)

    if effective(most) >= 0.5:
        return most
    low, high = 0.0, most
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if effective(middle) >= 0.5 else (low, middle)
    return max(low, 1e-6)
