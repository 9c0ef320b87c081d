"""How much of a season's spread is luck, and how much is not knowing how parts age.

Futures that share a draw of the posterior have the same curves, the same days of fitting of
undated parts and the same hours run: they differ by luck alone. So knowledge is of curves,
fitting dates and hours. By the law of total variance the variance of a total is the mean of the
variances within draws plus the variance of the means of draws; both are estimated without bias
from the mean squares of a one-way analysis of variance with random effects (textbook method,
from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import nan, sqrt

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Spread:
    """The spread of one total.

    Attributes
    ----------
    luck, knowledge : float
        Standard deviation within and between draws of the posterior.
    """

    luck: float
    knowledge: float

    @property
    def share_luck(self) -> float:
        """Share of the variance that is luck; NaN where it cannot be told."""
        both = self.luck**2 + self.knowledge**2
        return self.luck**2 / both if both > 0 else nan


def spread_of(total: Floats, n_draws: int) -> Spread:
    """Split the variance of a simulated total.

    Parameters
    ----------
    total : ndarray, shape (n_futures,)
        Future f has draw f % n_draws.
    n_draws : int

    Returns
    -------
    Spread
        NaN where hardly any draw has two futures. A variance between draws that is
        estimated below zero is taken as none.
    """
    draw = np.arange(len(total)) % n_draws
    futures = np.bincount(draw).astype(np.float64)
    within, between = len(total) - len(futures), len(futures) - 1
    if within < 1 or between < 1:
        return Spread(nan, nan)
    centred = total - total.mean()
    means = np.bincount(draw, weights=centred) / futures
    luck = float(((centred - means[draw]) ** 2).sum()) / within
    of_means = float((futures * means**2).sum()) / between
    # How many futures a draw has, where not all have equally many.
    each = (len(total) - float((futures**2).sum()) / len(total)) / between
    return Spread(sqrt(luck), sqrt(max(0.0, (of_means - luck) / each)))
