"""Pointwise limits of curves, and where another curve leaves them, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

Floats = npt.NDArray[np.float64]

LEVEL = 0.9
"""Every interval holds 90 % unless it says otherwise."""

OUTSIDE = 0.5
"""Share of the ages compared that must lie outside 90 % limits on one side to be told. Limits hold
age by age and ages go together, so a right curve leaves them somewhere in half of all fleets; so
far it does in 2 to 3 of 100, be the lives lognormal with late entry, exponential, or of two
causes (500 drawn fleets of each, of 30 to 300 lives; at 0.4 it is 5 to 7)."""

FEWEST_AGES = 4
"""Ages with limits below which nothing is compared."""


def normal_quantile(level: float) -> float:
    """How many standard errors reach to each side, for a two-sided interval.

    Raises
    ------
    ValueError
        If the level is not between 0 and 1.
    """
    if not 0.0 < level < 1.0:
        raise ValueError(f"level is {level:g}: it must lie between 0 and 1; give 0.9 for 90 %")
    return float(ndtri(0.5 + level / 2))


def log_limits(value: Floats, error: Floats, level: float) -> tuple[Floats, Floats]:
    """Limits of something positive, worked out on its logarithm.

    Returns
    -------
    low, high : ndarray
        Value times exp(-+ z error / value); NaN where the value or the error is
        0 or not known, since nothing can be said there.
    """
    known = (value > 0) & (error > 0)
    spread = np.full(len(value), np.nan)
    spread[known] = np.exp(normal_quantile(level) * error[known] / value[known])
    return value / spread, value * spread


def share_limits(share: Floats, error: Floats, level: float) -> tuple[Floats, Floats]:
    """Limits of a share, worked out on log(-log share), so that they stay between 0 and 1.

    Returns
    -------
    low, high : ndarray
        NaN where the share is 0 or 1, or its error is 0 or not known.
    """
    known = (share > 0) & (share < 1) & (error > 0)
    low, high = np.full(len(share), np.nan), np.full(len(share), np.nan)
    inside, spread = share[known], error[known]
    power = np.exp(normal_quantile(level) * spread / (inside * -np.log(inside)))
    low[known], high[known] = inside**power, inside ** (1 / power)
    return low, high


@dataclass(frozen=True)
class Departure:
    """How far a curve lies outside the limits of an estimate.

    Attributes
    ----------
    compared : int
        Ages at which the estimate has limits.
    below, above : float
        Share of them at which the curve lies below the lower, above the upper limit.
    first, last : float
        First and last age outside the limits; NaN where there is none.
    sentence : str or None
        What a reader is told; None where the curve stays within, or where
        there are too few ages with limits to tell.
    """

    compared: int
    below: float
    above: float
    first: float
    last: float
    sentence: str | None


def departure(
    ages: Floats,
    curve: Floats,
    low: Floats,
    high: Floats,
    *,
    unit: str,
    curve_name: str,
    records_name: str,
    below_means: str,
    above_means: str,
) -> Departure:
    """Compare a curve with the limits of an estimate at the same ages.

    Parameters
    ----------
    ages, curve, low, high : ndarray, shape (m,)
        Ages in `unit`; limits may be NaN, such ages are not compared.
    unit : str
        "years" or "hours".
    curve_name, records_name : str
        What the two are called, in the middle of a sentence.
    below_means, above_means : str
        What it means that the curve lies below or above, as in "these lives
        ended later than the curve allows".

    Raises
    ------
    ValueError
        If the arrays are not of one length.
    """
    ages, curve, low, high = (np.asarray(part, np.float64) for part in (ages, curve, low, high))
    if len({len(part) for part in (ages, curve, low, high)}) > 1:
        raise ValueError(
            f"{len(ages)} ages, {len(curve)} values of the curve, {len(low)} and {len(high)} "
            "limits: give as many of each"
        )
    known = np.isfinite(low) & np.isfinite(high) & np.isfinite(curve)
    if known.sum() < FEWEST_AGES:
        return Departure(int(known.sum()), 0.0, 0.0, np.nan, np.nan, None)
    # Rounding alone is no departure.
    slack = 1e-9
    under, over = known & (curve < low - slack), known & (curve > high + slack)
    below, above = float(under[known].mean()), float(over[known].mean())
    out = ages[under | over]
    first, last = (float(out.min()), float(out.max())) if len(out) else (np.nan, np.nan)
    sentence = None
    if max(below, above) >= OUTSIDE:
        where, means, share = (
            ("below", below_means, below) if below > above else ("above", above_means, above)
        )
        sentence = (
            f"{curve_name[0].upper()}{curve_name[1:]} lies {where} the limits of {records_name} at "
            f"{100 * share:.0f} % of the ages compared, between {first:.3g} and {last:.3g} {unit}: "
            f"{means}."
        )
    return Departure(int(known.sum()), below, above, first, last, sentence)
