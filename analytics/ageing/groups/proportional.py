"""Whether an effect on the failure rate changes with age: a score test on risk sets.

The rate of one part over that of another is a constant in Cox's regression. The test asks
whether a coefficient that moves with a function of age would explain the failures better
(Grambsch & Therneau, Proportional hazards tests and diagnostics based on weighted
residuals, 1994; from memory), here as the exact score test, which also holds where parts
were first watched at some age: a part stands in a risk set only while it was watched.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.stats import chi2

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_CELLS_AT_ONCE = 4_000_000


class RiskSets(NamedTuple):
    """What each failure says of the coefficients.

    Attributes
    ----------
    age : ndarray, shape (d,)
        Of the failures.
    slope : ndarray, shape (d, p)
        Covariates of the part that failed, less the mean of all at risk.
    spread : ndarray, shape (d, p, p)
        Covariance of the covariates of those at risk.
    """

    age: Floats
    slope: Floats
    spread: Floats


class Steadiness(NamedTuple):
    """Test of one or several coefficients.

    Attributes
    ----------
    chi2 : float
    degrees : int
        Coefficients tested together.
    p : float
        Chance of as much or more where nothing changes with age.
    """

    chi2: float
    degrees: int
    p: float


def risk_sets(
    covariates: Floats,
    entry: Floats,
    age: Floats,
    failed: Bools,
    coefficients: Floats,
    ties: Literal["efron", "breslow"] = "efron",
) -> RiskSets:
    """Means and covariances of those at risk at every failure.

    Parameters
    ----------
    covariates : ndarray, shape (n, p)
    entry, age : ndarray, shape (n,)
        First watched after `entry`, and up to `age`; entry < age.
    failed : ndarray of bool, shape (n,)
    coefficients : ndarray, shape (p,)
        Of the log rate.
    ties : {"efron", "breslow"}
        How failures at one age are taken; by Efron each sees the others half gone.
    """
    n, p = covariates.shape
    weight = np.exp(covariates @ coefficients)
    products = (covariates[:, :, None] * covariates[:, None, :]).reshape(n, -1)
    sums = np.column_stack([np.ones(n), covariates, products]) * weight[:, None]
    ages, number = np.unique(age[failed], return_counts=True)
    at_risk, tied = (np.empty((len(ages), sums.shape[1])) for _ in range(2))
    step = max(1, _CELLS_AT_ONCE // max(n, 1))
    for start in range(0, len(ages), step):
        part = slice(start, start + step)
        now = ages[part, None]
        at_risk[part] = ((entry < now) & (now <= age)).astype(float) @ sums
        tied[part] = ((age == now) & failed).astype(float) @ sums
    which = np.repeat(np.arange(len(ages)), number)
    order = np.argsort(age[failed], kind="stable")
    rank = np.arange(len(which)) - np.repeat(np.cumsum(number) - number, number)
    gone = rank / number[which] if ties == "efron" else np.zeros(len(which))
    total = at_risk[which] - gone[:, None] * tied[which]
    mean = total[:, 1 : p + 1] / total[:, :1]
    square = (total[:, p + 1 :] / total[:, :1]).reshape(-1, p, p)
    return RiskSets(
        age=ages[which],
        slope=covariates[failed][order] - mean,
        spread=square - mean[:, :, None] * mean[:, None, :],
    )


def steadiness(
    sets: RiskSets,
    together: Sequence[Sequence[int]],
    by_age: Callable[[Floats], Floats] = np.log,
) -> list[Steadiness]:
    """Test whether coefficients move with a function of age.

    Parameters
    ----------
    sets : RiskSets
        At the fitted coefficients.
    together : sequence of sequences of int
        Columns that are tested as one, one entry per test.
    by_age : callable
        The function of age: its logarithm unless told otherwise.
    """
    g = by_age(sets.age)
    # A constant added to it changes nothing in theory, and less rounding in practice.
    g = g - g.mean()
    p = sets.slope.shape[1]
    pull = g @ sets.slope
    plain = sets.spread.sum(axis=0)
    crossed = np.tensordot(g, sets.spread, axes=1)
    squared = np.tensordot(g**2, sets.spread, axes=1)
    found = []
    for columns in together:
        chosen = list(columns)
        score = np.concatenate([np.zeros(p), pull[chosen]])
        information = np.block([
            [plain, crossed[:, chosen]],
            [crossed[chosen, :], squared[np.ix_(chosen, chosen)]],
        ])  # fmt: skip
        value = float(score @ np.linalg.pinv(information, hermitian=True) @ score)
        found.append(Steadiness(value, len(chosen), float(chi2(len(chosen)).sf(value))))
    return found
