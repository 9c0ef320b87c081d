"""How many of several parts fail, when each has a chance of its own."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

Floats = npt.NDArray[np.float64]

_WORK = 60_000_000
"""Multiplications up to which the convolution is exact; beyond, counts are large."""


def poisson_binomial(chances: Floats) -> Floats:
    """Distribution of the number of events among independent ones.

    Parameters
    ----------
    chances : ndarray, shape (n,) or (n_draws, n)
        Chance of each event, in [0, 1].

    Returns
    -------
    ndarray, shape (n + 1,) or (n_draws, n + 1)
        Probability of 0 to n events, by exact convolution.
    """
    rows = np.atleast_2d(chances)
    pmf = _convolved(rows, rows.shape[1])
    return pmf if chances.ndim == 2 else pmf[0]


def count_distribution(chances: Floats) -> Floats:
    """Distribution of the number of events when the chances themselves are uncertain.

    Parameters
    ----------
    chances : ndarray, shape (n_draws, n)
        A row of chances per draw of the parameters; draws weigh the same.

    Returns
    -------
    ndarray, shape (m,)
        Probability of 0 to m - 1 events, averaged over the draws; what lies
        beyond m - 1 is less than one in a billion and is folded into the last.
        Every draw counts; exact by convolution where that is affordable.
    """
    means = chances.sum(axis=1)
    most = float(means.max(initial=0.0))
    n = chances.shape[1]
    top = min(n, int(np.ceil(most + 10 * np.sqrt(most + 1) + 10)))
    if chances.size * (top + 1) <= _WORK:
        return np.asarray(_convolved(chances, top).mean(axis=0))
    # So many parts that each draw's count is normal but for rounding (central limit theorem).
    deviations = np.sqrt((chances * (1.0 - chances)).sum(axis=1))
    edges = np.arange(top) + 0.5
    reached = np.zeros(top)
    for mean, deviation in zip(means, np.maximum(deviations, 1e-9), strict=True):
        reached += ndtr((edges - mean) / deviation)
    cumulative = np.concatenate([[0.0], reached / len(means), [1.0]])
    return np.diff(cumulative)


def count_quantiles(pmf: Floats, points: tuple[float, ...]) -> tuple[int, ...]:
    """Smallest counts that are reached with the given probabilities."""
    total = np.cumsum(pmf)
    return tuple(min(int(np.searchsorted(total, p - 1e-12)), len(pmf) - 1) for p in points)


def _convolved(rows: Floats, top: int) -> Floats:
    pmf = np.zeros((rows.shape[0], top + 1))
    pmf[:, 0] = 1.0
    for chance in rows.T:
        happened = pmf[:, :-1] * chance[:, None]
        last = pmf[:, -1].copy()
        pmf *= 1.0 - chance[:, None]
        pmf[:, 1:] += happened
        # Nothing leaves the table: counts past the top stay in its last cell.
        pmf[:, -1] += last * chance
    return pmf
