"""How heavy the tail of importance weights is: whether a few proposals decide.

The largest weights are fitted by a generalised Pareto distribution; its shape k
says which moments the weights have. Above 0.7 an average over them cannot be
relied on (Vehtari and others, Pareto smoothed importance sampling, 2015). The
fit is that of Zhang and Stephens, A new and efficient estimation method for the
generalized Pareto distribution, 2009; both from memory.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

NO_WEIGHT = 1e-280
"""What is no more than this beside a weight of 1 has a reciprocal that may overflow."""


def pareto_k(log_weight: Floats) -> float:
    """Shape of the tail of some weights.

    Parameters
    ----------
    log_weight : ndarray, shape (n,)

    Returns
    -------
    float
        From the largest fifth of the weights, or three times the root of n of
        them where that is fewer. 0 where all weights are the same, infinite where
        nearly all of the largest are next to nothing.
    """
    weight = np.sort(np.exp(log_weight - log_weight.max()))
    n = int(min(0.2 * len(weight), 3 * np.sqrt(len(weight))))
    if n < 5:
        return 0.0
    above = weight[-n:] - weight[-n - 1]
    if 0 < above[n // 4] <= NO_WEIGHT:
        return float(np.inf)
    return generalised_pareto_shape(above) if above[n // 4] > 0 else 0.0


def generalised_pareto_shape(above: Floats) -> float:
    """Shape k of a generalised Pareto distribution, larger is heavier.

    Parameters
    ----------
    above : ndarray, shape (n,)
        What lies above a threshold, in rising order.
    """
    return float(generalised_pareto(above[:, None])[0][0])


def generalised_pareto(above: Floats) -> tuple[Floats, Floats]:
    """Shape and scale of many generalised Pareto distributions at once.

    Parameters
    ----------
    above : ndarray, shape (n, m)
        What lies above a threshold, each column in rising order.

    Returns
    -------
    shape, scale : ndarray, shape (m,)
        The shape is drawn a little towards one half: ten observations' worth.
    """
    n = len(above)
    m = 30 + int(np.sqrt(n))
    grid = np.arange(1, m + 1)[:, None]
    quarter = above[int(n / 4 + 0.5) - 1]
    theta = 1 / above[-1] + (1 - np.sqrt(m / (grid - 0.5))) / (3 * quarter)
    k = np.log1p(-theta[:, None, :] * above).mean(axis=1)
    likely = n * (np.log(-theta / k) - k - 1)
    weight = np.exp(likely - likely.max(axis=0))
    best = (theta * weight).sum(axis=0) / weight.sum(axis=0)
    shape = np.log1p(-best * above).mean(axis=0)
    return (n * shape + 10 * 0.5) / (n + 10), -shape / best
