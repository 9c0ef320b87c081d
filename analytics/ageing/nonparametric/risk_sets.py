"""How many lives were watched, and how many ended, at each age at which one did."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class RiskSets:
    """Lives watched and ended, age by age.

    Attributes
    ----------
    ages : ndarray, shape (k,)
        Ages at which a life ended for a cause that counts, rising.
    watched : ndarray, shape (k,)
        Lives, by weight, that entered before the age and had not ended before it.
    ended : ndarray, shape (k, causes)
        Lives that ended at the age, by cause.
    lives : float
        All, by weight.
    oldest : float
        Greatest age at which a life was watched.
    """

    ages: Floats
    watched: Floats
    ended: Floats
    lives: float
    oldest: float


def risk_sets(
    entry: npt.ArrayLike | None,
    exit: npt.ArrayLike,
    cause: npt.ArrayLike,
    causes: int,
    weight: npt.ArrayLike | None = None,
) -> RiskSets:
    """Count lives watched in (entry, exit], those that end at one age together.

    Parameters
    ----------
    entry, exit : array_like, shape (n,)
        Ages in one unit, 0 <= entry < exit; entry None for 0 throughout.
    cause : array_like of int, shape (n,)
        0 for a life that had not ended when last watched, else 1 to `causes`.
    weight : array_like, optional
        Lives that each row stands for.

    Raises
    ------
    ValueError
        If ages are missing or out of order, or a cause has no number.
    """
    until = np.atleast_1d(np.asarray(exit, dtype=np.float64))
    since = np.zeros(len(until)) if entry is None else np.asarray(entry, dtype=np.float64)
    why = np.atleast_1d(np.asarray(cause)).astype(np.int64)
    times = np.ones(len(until)) if weight is None else np.asarray(weight, dtype=np.float64)
    if not len(since) == len(until) == len(why) == len(times):
        raise ValueError(
            f"{len(since)} entries, {len(until)} ends, {len(why)} causes and {len(times)} weights: "
            "give as many of each"
        )
    wrong = ~((since >= 0) & (since < until) & np.isfinite(until))
    if wrong.any():
        i = int(np.flatnonzero(wrong)[0])
        raise ValueError(
            f"row {i}: entry {since[i]:g}, end {until[i]:g}; it must be 0 <= entry < end. "
            "A life that ends on the day it enters was not watched: leave it out"
        )
    if ((why < 0) | (why > causes)).any():
        raise ValueError(f"causes are numbered 0 (not ended) to {causes}")
    if not (np.isfinite(times) & (times >= 0)).all():
        raise ValueError("weights must be finite and not negative: they count lives")
    ages = np.unique(until[(why > 0) & (times > 0)])
    at = np.searchsorted(ages, until)
    counts = [
        np.bincount(at[why == k], times[why == k], len(ages) + 1)[: len(ages)]
        for k in range(1, causes + 1)
    ]
    return RiskSets(
        ages=ages,
        watched=_so_far(since, times, ages) - _so_far(until, times, ages),
        ended=np.column_stack(counts) if counts else np.empty((len(ages), 0)),
        lives=float(times.sum()),
        oldest=float(until.max(initial=0.0)),
    )


def _so_far(moments: Floats, weight: Floats, ages: Floats) -> Floats:
    """Weight of the moments that come before each age."""
    order = np.argsort(moments, kind="stable")
    total = np.concatenate([[0.0], np.cumsum(weight[order])])
    return np.asarray(total[np.searchsorted(moments[order], ages, side="left")])
