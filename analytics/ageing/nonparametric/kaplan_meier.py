"""Curves that assume no family: Kaplan-Meier and Nelson-Aalen with delayed entry.

lifelines computes them; they are always drawn beside a fitted curve, so that a
wrong model can be seen.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import EXACT, INTERVAL, Nodes

Floats = npt.NDArray[np.float64]

CURVE_COLUMNS = ["age", "survival", "low", "high", "cumulative_hazard", "at_risk", "failed"]

WIDE_START_YEARS = 1.5
"""A life whose fitting is less well known than this has no age to be drawn at."""

SMALL_RISK_SET = 5


def kaplan_meier(entry: Floats, exit: Floats, failed: npt.NDArray[np.bool_]) -> pd.DataFrame:
    """Survival without a family, each life counted only from the age at which it was watched.

    Parameters
    ----------
    entry, exit : ndarray, shape (n,)
        Ages in any one unit, ``entry < exit``; a life counts in (entry, exit].
    failed : ndarray of bool, shape (n,)
        True where the life ended by failing.

    Returns
    -------
    DataFrame
        `CURVE_COLUMNS`, a row per age at which a life ended; `low` and `high`
        are the 90 % limits on the complementary log-log scale, `at_risk` the
        lives watched just before. Empty where there are no lives.

    Notes
    -----
    Kaplan and Meier 1958; delayed entry as in Klein & Moeschberger, Survival
    Analysis, section 4.6 (from memory). Computed by lifelines. Where an early
    risk set throws the curve to 0, lifelines refuses; that curve is just the one
    a reader has to be warned of, so it is worked out from the risk sets here,
    without limits.
    """
    if not len(exit):
        return pd.DataFrame({name: np.empty(0) for name in CURVE_COLUMNS})
    from lifelines import KaplanMeierFitter, NelsonAalenFitter
    from lifelines.exceptions import StatError

    ages, at = np.unique(exit, return_inverse=True)
    died = np.bincount(at, weights=failed, minlength=len(ages))
    # A life is watched in (entry, exit]: one that enters at this very age is not watched yet.
    entered = np.searchsorted(np.sort(entry), ages, side="left")
    watched = entered - np.searchsorted(np.sort(exit), ages, side="left")
    table = {"age": ages, "at_risk": watched.astype(np.float64), "failed": died}
    try:
        fitted = KaplanMeierFitter(alpha=0.1).fit(exit, failed, entry=entry)
        hazard = NelsonAalenFitter(alpha=0.1, nelson_aalen_smoothing=False).fit(
            exit, failed, entry=entry
        )
    except StatError:
        nothing = np.full(len(ages), np.nan)
        table |= {"survival": np.cumprod(1.0 - died / watched), "low": nothing, "high": nothing}
        table["cumulative_hazard"] = np.cumsum(died / watched)
    else:
        survival = fitted.survival_function_.loc[ages].to_numpy()[:, 0]
        limits = fitted.confidence_interval_.loc[ages].to_numpy()
        # Where nothing is left there is nothing to put limits on.
        limits[survival == 0.0] = np.nan
        table |= {"survival": survival, "low": limits[:, 0], "high": limits[:, 1]}
        table["cumulative_hazard"] = hazard.cumulative_hazard_.loc[ages].to_numpy()[:, 0]
    return pd.DataFrame(table)[CURVE_COLUMNS]


def drawn_lives(nodes: Nodes) -> tuple[Floats, Floats, npt.NDArray[np.bool_], int]:
    """Entry, exit and failure of each life that has an age to be drawn at.

    A failure known to a window is drawn at the middle of it. Lives whose
    fitting is known to less than `WIDE_START_YEARS` are left out and counted.

    Returns
    -------
    entry, exit : ndarray
    failed : ndarray of bool
    left_out : int
    """
    if not nodes.n_lives:
        return np.empty(0), np.empty(0), np.empty(0, dtype=bool), 0
    mean = {
        name: np.add.reduceat(nodes.weight * getattr(nodes, name), nodes.first)
        for name in ("entry", "lower", "upper")
    }
    days = np.maximum.reduceat(nodes.start, nodes.first) - np.minimum.reduceat(
        nodes.start, nodes.first
    )
    failed = np.isin(nodes.outcome, (EXACT, INTERVAL))
    exit = np.where(failed, (mean["lower"] + mean["upper"]) / 2, mean["lower"])
    narrow = days <= WIDE_START_YEARS * 365.25
    # A life censored on its first day watched says nothing and cannot be drawn.
    drawn = narrow & (exit > mean["entry"])
    return mean["entry"][drawn], exit[drawn], failed[drawn], int((~narrow).sum())


def at_risk(entry: Floats, exit: Floats, ages: Floats) -> npt.NDArray[np.int64]:
    """How many lives are watched at each age: entered before it and not ended before it."""
    return np.array([int(((entry < age) & (exit >= age)).sum()) for age in ages], dtype=np.int64)


def early_risk_warning(curve: pd.DataFrame) -> str | None:
    """Say so when a few early risk sets throw the whole curve away.

    With delayed entry the youngest ages are watched on very few lives; one
    failure there halves the curve for good (a known weakness of the estimator:
    Klein & Moeschberger, section 4.6, from memory).
    """
    if curve.empty:
        return None
    most = curve["at_risk"].max()
    peak = int(curve["at_risk"].to_numpy().argmax())
    before = curve.iloc[:peak]
    small = before[(before["failed"] > 0) & (before["at_risk"] <= SMALL_RISK_SET)]
    if small.empty or most <= 2 * SMALL_RISK_SET:
        return None
    first = small.iloc[0]
    return (
        f"Only {int(first['at_risk'])} lives were watched at the age of {first['age']:.4g} "
        f"while up to {int(most):,} were later: a failure there drags the whole curve to "
        f"{100 * small['survival'].min():.0f} %. "
        "Read the curve from a later age on, or trust the fitted one."
    )
