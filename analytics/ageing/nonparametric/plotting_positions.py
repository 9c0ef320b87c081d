"""Where failures stand on probability paper: ages, and the share failed to draw each at.

The share is read off the records' own curve, so entry, windows and lives that
did not fail are in it: at each age of failure, the middle between the share
failed just before and just after, as in Meeker & Escobar 1998, Statistical
Methods for Reliability Data, chapter 6 (from memory). With every life failed
and watched from new this is (i - 0.5) / n for the i-th of n.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtri

from analytics.ageing.nonparametric.turnbull import Turnbull, turnbull

Floats = npt.NDArray[np.float64]

POSITION_COLUMNS = ["age_from", "age", "age_to", "failed_before", "failed_after", "failed"]


def plotting_positions(
    entry: npt.ArrayLike, lower: npt.ArrayLike, upper: npt.ArrayLike
) -> pd.DataFrame:
    """Points of the records' own curve.

    Parameters
    ----------
    entry, lower, upper : array_like, shape (n,)
        Ages as `spells.windows_of` gives them: failed in (lower, upper], at just
        that age where they are equal, not yet where `upper` is infinite.

    Returns
    -------
    DataFrame
        `POSITION_COLUMNS`, a row per age (or interval) that holds failures:
        `age` is the middle of `age_from` to `age_to`, `failed` that of the shares
        failed before and after. No row where nothing failed, and none past the
        age at which the curve has ended.
    """
    if not len(np.atleast_1d(np.asarray(lower))):
        return pd.DataFrame({name: np.empty(0) for name in POSITION_COLUMNS})
    return points_of(turnbull(lower, upper, entry))


def points_of(found: Turnbull) -> pd.DataFrame:
    """The same from an estimate that is there already."""
    after = 1.0 - found.survival_after
    before = np.concatenate([[0.0], after[:-1]])[: len(after)]
    # With exact ages this is the product-limit estimate of Kaplan and Meier.
    table = pd.DataFrame(
        {
            "age_from": found.age_from,
            "age": (found.age_from + found.age_to) / 2,
            "age_to": found.age_to,
            "failed_before": before,
            "failed_after": after,
            "failed": (before + after) / 2,
        }
    )
    shown = (table["failed_after"] > table["failed_before"]) & (table["age"] > 0)
    return table[shown].reset_index(drop=True)


def on_paper(share: npt.ArrayLike, family: str) -> Floats:
    """Where a share failed stands on the paper of a family: its curves are straight lines there.

    Parameters
    ----------
    share : array_like
        Failed; 0 and 1 stand nowhere and give NaN.
    family : {"weibull", "lognormal"}
        Log age runs along the other axis.

    Raises
    ------
    ValueError
        If there is no such paper.
    """
    at = np.asarray(share, dtype=np.float64)
    inside = np.where((at > 0) & (at < 1), at, np.nan)
    if family == "weibull":
        return np.asarray(np.log(-np.log1p(-inside)))
    if family == "lognormal":
        return np.asarray(ndtri(inside))
    raise ValueError(f"there is no paper of {family}: ask for weibull or lognormal")
