"""Whether wear readings and failures are of the same thing, under an assumption that is stated.

The readings of each bearing speak for or against a curve of lives, see
`wear_contribution`. Before a part is judged by both, they are held against each other.
"""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp
from scipy.stats import binom

from analytics.ageing.clocks import CENSORED
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.straight_lines import PER
from analytics.ageing.wear.wear_contribution import log_contribution
from analytics.ageing.wear.wear_paths import belief_of

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

ASSUMPTION = (
    "Readings and failures together suppose that a bearing fails by wear when its clearance "
    "passes the renew limit of its size, and at no other time."
)

MATERIAL = 1.2
"""By what failures and limit must part, surely, before it is told (planning default): limits that
practices use differ by more."""

_BELIEVED = 0.5
"""Spread of the log of what had worn away when failed, before anything is known of it."""
_LOOKED_AT = 400

_SURELY = 0.05


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
                                shift, stretch)  # fmt: skip
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
