"""Cox's regression and accelerated life by the library lifelines: an answer or a sentence."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_PRECISELY = {"precision": 1e-15, "r_precision": 1e-15}
"""The library's own rules let Cox's search end at the sixth digit."""

_TOO_FAR = 12.0
"""A coefficient beyond this says that nothing but the arithmetic's patience ended the search."""


@dataclass(frozen=True)
class Cases:
    """Lives as a regression takes them.

    Attributes
    ----------
    covariates : DataFrame, shape (n, p)
    entry, age : ndarray, shape (n,)
        Watched from one age to the other; 0 <= entry < age.
    failed : ndarray of bool, shape (n,)
    """

    covariates: pd.DataFrame
    entry: Floats
    age: Floats
    failed: Bools


@dataclass(frozen=True)
class Fitted:
    """Coefficients of a regression.

    Attributes
    ----------
    coefficients : ndarray, shape (p,)
        Of the log rate (Cox), or of the log age (accelerated life).
    covariance : ndarray, shape (p, p)
    intercept, log_shape : float
        Of accelerated life: log scale of a life with all covariates 0, and log of
        the family's shape; NaN for Cox.
    """

    coefficients: Floats
    covariance: Floats
    intercept: float = np.nan
    log_shape: float = np.nan


def cox(cases: Cases) -> Fitted | str:
    """Cox's regression with entry, ties by Efron; a sentence where it does not settle."""
    from lifelines import CoxPHFitter

    def fit() -> Fitted:
        found = CoxPHFitter().fit(
            _frame(cases), "age", "failed", entry_col="entry", fit_options=_PRECISELY
        )
        return Fitted(found.params_.to_numpy(), found.variance_matrix_.to_numpy())

    return _settled(fit, "The regression on the failure rate (Cox)")


def accelerated(cases: Cases, family: Literal["weibull", "lognormal"] = "weibull") -> Fitted | str:
    """Regression in which covariates multiply the age; a sentence where it does not settle."""
    from lifelines import LogNormalAFTFitter, WeibullAFTFitter

    fitter, scale, shape, turned = {
        "weibull": (WeibullAFTFitter, "lambda_", "rho_", 1.0),
        "lognormal": (LogNormalAFTFitter, "mu_", "sigma_", -1.0),
    }[family]
    # The library searches best where ages are about 1.
    unit = float(np.exp(np.log(cases.age).mean()))

    def fit() -> Fitted:
        frame = _frame(cases).assign(age=cases.age / unit, entry=cases.entry / unit)
        found = fitter().fit(frame, "age", "failed", entry_col="entry")
        names = [(scale, name) for name in _numbered(cases)]
        return Fitted(
            found.params_.loc[names].to_numpy(),
            found.variance_matrix_.loc[names, names].to_numpy(),
            float(found.params_.loc[scale, "Intercept"] + np.log(unit)),
            float(turned * found.params_.loc[shape, "Intercept"]),
        )

    return _settled(fit, "The regression on the age (accelerated life)")


def cox_of_most(cases: Cases) -> tuple[Fitted | str, int | None]:
    """Cox's regression; where one group has no finite coefficient, without the lives of that group.

    Its coefficient is then not a number. That happens where all its failures came
    before any other, or after.
    """
    found = cox(cases)
    p = cases.covariates.shape[1]
    if not isinstance(found, str) or p < 2:
        return found, None
    for at in reversed(range(p)):
        others = cases.covariates.iloc[:, at].to_numpy() == 0
        left = cases.covariates.loc[others].drop(columns=cases.covariates.columns[at])
        fewer = cox(Cases(left, cases.entry[others], cases.age[others], cases.failed[others]))
        if not isinstance(fewer, str):
            kept = [one for one in range(p) if one != at]
            coefficients, covariance = np.full(p, np.nan), np.full((p, p), np.nan)
            coefficients[kept] = fewer.coefficients
            covariance[np.ix_(kept, kept)] = fewer.covariance
            return Fitted(coefficients, covariance), at
    return found, None


def _frame(cases: Cases) -> pd.DataFrame:
    """The library's table: covariates by number, so that none is taken for an age."""
    numbered = cases.covariates.set_axis(_numbered(cases), axis=1).reset_index(drop=True)
    return numbered.assign(entry=cases.entry, age=cases.age, failed=cases.failed)


def _numbered(cases: Cases) -> list[str]:
    return [f"x{at}" for at in range(cases.covariates.shape[1])]


def _settled(fit: Callable[[], Fitted], what: str) -> Fitted | str:
    """What a fit of the library found, or a sentence where it found nothing to rely on."""
    from lifelines.exceptions import ConvergenceError, ConvergenceWarning

    lost = f"{what} found no answer in these records: a group may hold all the failures, or none."
    try:
        with warnings.catch_warnings(record=True) as told, np.errstate(all="ignore"):
            warnings.simplefilter("always")
            found = fit()
    # The library raises whatever its optimiser and its checks of the data do.
    except (ConvergenceError, ArithmeticError, ValueError, TypeError, AttributeError):
        return lost
    unsure = any(issubclass(one.category, ConvergenceWarning) for one in told)
    numbers = np.append(found.coefficients, np.diag(found.covariance))
    if unsure or not np.isfinite(numbers).all() or np.abs(found.coefficients).max() > _TOO_FAR:
        return lost
    return found
