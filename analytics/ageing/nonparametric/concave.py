"""The highest likelihood of failures in runs of intervals: a concave problem, by Newton's method.

With x the cumulative hazard that falls on each innermost interval, the
log-likelihood of lives with windows and delayed entry is::

    sum over failures of  log(1 - exp(-sum of x over the run))  -  outlived . x

which is concave in x >= 0 with entry as without (the truncated likelihood is not
concave in the masses, which is what makes it slow elsewhere). Only a few
intervals carry mass, so a working set of them is kept: those with some hazard,
and in each gap between them the one whose hazard is most worth raising. On it the
quadratic that fits best is maximised for x >= 0, as in the constrained Newton
method for mixtures (Wang 2007, from memory), with a line search.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg import cho_factor, cho_solve

from analytics.ageing.nonparametric.innermost import Floats, Innermost, Ints, run_sums

NEAR_ENOUGH = 1e-10
"""Log-likelihood that may be missing per failure before the search ends."""

MOST_AT_ONCE = 3_000
"""Intervals that can share failures: a square of that many numbers is 72 MB."""

_RIDGE = 1e-13


@dataclass(frozen=True)
class Highest:
    """Where the likelihood is highest, and how surely.

    Attributes
    ----------
    hazard : ndarray, shape (m,)
        Cumulative hazard on each interval; infinite where no life outlived it.
    steps : int
        Newton steps taken.
    converged : bool
    short_of_best : float
        No curve whatever has a log-likelihood that is higher by more than this:
        the Kuhn-Tucker conditions, as a bound (see `shortfall`).
    gradient : ndarray, shape (m,)
        Of the log-likelihood, per life that outlived the interval; 0 where no
        life did, minus 1 where nothing would be gained by any hazard.
    """

    hazard: Floats
    steps: int
    converged: bool
    short_of_best: float
    gradient: Floats


def shortfall(cells: Innermost, hazard: Floats) -> tuple[float, Floats]:
    """How much higher the log-likelihood can be than it is at a hazard, at most.

    Let s be its gradient's rising part, a the lives that outlived, so that the
    gradient is s - a. It is highest if and only if s <= a everywhere, and s = a
    where there is hazard (Kuhn-Tucker). By concavity, the highest is above by at
    most (s - a).(x* - x); and a.x* is at most the number of failures, because at
    the highest it is the sum of y / (exp(y) - 1) <= 1 over them. Hence the bound:
    largest (s - a) / a, times the failures, less (s - a).x.

    Returns
    -------
    bound : float
    gradient : ndarray, shape (m,)
        (s - a) / a, or 0 where a is 0.
    """
    sure = cells.outlived == 0
    open_runs = ~_holds(cells, sure)
    first, last, count = cells.first[open_runs], cells.last[open_runs], cells.count[open_runs]
    x = np.where(sure, 0.0, hazard)
    rising = run_sums(first, last, count / np.expm1(_run_totals(first, last, x)), len(x))
    gradient = np.zeros(len(x))
    gradient[~sure] = rising[~sure] / cells.outlived[~sure] - 1.0
    bound = gradient.max(initial=0.0) * count.sum() - (gradient * cells.outlived) @ x
    return float(max(bound, 0.0)), gradient


def highest(cells: Innermost, most_steps: int) -> Highest:
    """Maximise the likelihood.

    Parameters
    ----------
    cells : Innermost
    most_steps : int
        Newton steps after which the search ends, converged or not.

    Raises
    ------
    ValueError
        If more than `MOST_AT_ONCE` intervals share failures.
    """
    hazard = np.zeros(len(cells.outlived))
    single = np.bincount(
        cells.first, np.where(cells.first == cells.last, cells.count, 0.0), len(hazard)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        alone = np.log1p(single / cells.outlived)
    shared = cells.entangled
    # An interval that shares no failure with another is Kaplan and Meier's: failed out of watched.
    hazard[~shared] = alone[~shared]
    sure = cells.outlived == 0
    hazard[sure] = np.inf
    left = shared[cells.first] & ~_holds(cells, sure)
    steps = 0
    converged = True
    if left.any():
        among = np.flatnonzero(shared & ~sure)
        first = np.searchsorted(among, cells.first[left])
        last = np.searchsorted(among, cells.last[left], side="right") - 1
        part = _Problem(first, last, cells.count[left], cells.outlived[among])
        hazard[among], steps, converged = part.solved(most_steps)
    return Highest(hazard, steps, converged, *shortfall(cells, hazard))


def _holds(cells: Innermost, which: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """True for runs that hold any of some intervals."""
    so_far = np.concatenate([[0], np.cumsum(which)])
    return np.asarray(so_far[cells.last + 1] > so_far[cells.first])


def _run_totals(first: Ints, last: Ints, x: Floats) -> Floats:
    so_far = np.concatenate([[0.0], np.cumsum(x)])
    return np.asarray(so_far[last + 1] - so_far[first])


@dataclass(frozen=True)
class _Problem:
    """Runs over intervals that each share failures and are outlived by some life."""

    first: Ints
    last: Ints
    count: Floats
    outlived: Floats

    def value(self, x: Floats) -> float:
        total = _run_totals(self.first, self.last, x)
        if (total <= 0).any():
            return -np.inf
        return float(self.count @ np.log(-np.expm1(-total)) - self.outlived @ x)

    def gradient(self, x: Floats) -> Floats:
        total = _run_totals(self.first, self.last, x)
        rising = run_sums(self.first, self.last, self.count / np.expm1(total), len(x))
        return rising - self.outlived

    def short(self, x: Floats, gradient: Floats) -> float:
        """The bound of `shortfall`."""
        excess = max(float((gradient / self.outlived).max()), 0.0)
        return max(float(excess * self.count.sum() - gradient @ x), 0.0)

    def curvature(self, x: Floats, chosen: Ints) -> Floats:
        """Minus the second derivatives among some intervals, shape (k, k)."""
        total = _run_totals(self.first, self.last, x)
        weight = self.count * np.exp(-total) / np.expm1(-total) ** 2
        k = len(chosen)
        at_first = np.searchsorted(chosen, self.first)
        at_last = np.searchsorted(chosen, self.last, side="right") - 1
        pairs = np.bincount(at_first * k + at_last, weight, k * k).reshape(k, k)
        # A run holds two intervals if it begins by the one and ends no sooner than the other.
        held = np.cumsum(np.cumsum(pairs, axis=0)[:, ::-1], axis=1)[:, ::-1]
        upper = np.triu(held)
        return np.asarray(upper + np.triu(held, 1).T)

    def solved(self, most_steps: int) -> tuple[Floats, int, bool]:
        x = self.start()
        value, gradient = self.value(x), self.gradient(x)
        short = self.short(x, gradient)
        enough = NEAR_ENOUGH * float(self.count.sum())
        for step in range(most_steps):
            if short <= enough:
                return x, step, True
            tried = self.stepped(x, value, gradient)
            new, slope = self.value(tried), self.gradient(tried)
            left = self.short(tried, slope)
            # Near the top the value no longer shows a gain, but the gradient does.
            if not new > value and not left < short:
                return x, step, short <= 1e3 * enough
            x, value, gradient, short = tried, new, slope, left
        return x, most_steps, short <= enough

    def stepped(self, x: Floats, value: float, gradient: Floats) -> Floats:
        """One step of Newton's on the working set, shortened until the value rises."""
        chosen = np.union1d(np.flatnonzero(x > 0), self.worth_raising(x, gradient))
        if len(chosen) > MOST_AT_ONCE:
            raise ValueError(
                f"{len(chosen):,} intervals share failures, more than {MOST_AT_ONCE:,}: "
                "give a step to round the ages to"
            )
        curvature = self.curvature(x, chosen)
        now = x[chosen]
        best = _best_nonnegative(curvature, curvature @ now + gradient[chosen], now > 0)
        gain = float(gradient[chosen] @ (best - now))
        tried = np.zeros(len(x))
        # Exactly none where none is best, so that the working set shrinks.
        tried[chosen] = best
        reach = 1.0
        while self.value(tried) < value + 1e-4 * reach * gain - 1e-13 * abs(value):
            reach /= 2
            if reach < 1e-9:
                return x
            tried[chosen] = now + reach * (best - now)
        return tried

    def start(self) -> Floats:
        """Hazard on a few intervals that together meet every run."""
        order = np.argsort(self.last, kind="stable")
        picked: list[int] = []
        reached = -1
        for first, last in zip(self.first[order].tolist(), self.last[order].tolist(), strict=True):
            if first > reached:
                reached = last
                picked.append(last)
        few = np.union1d(picked, self.first[self.first == self.last]).astype(np.int64)
        met = np.zeros(len(self.outlived))
        met[few] = 1.0
        among = _run_totals(self.first, self.last, met)
        share = run_sums(self.first, self.last, self.count / among, len(met))
        return np.asarray(np.where(met > 0, np.log1p(share / self.outlived), 0.0))

    def worth_raising(self, x: Floats, gradient: Floats) -> Ints:
        """In each gap between intervals with hazard, the one with the steepest rise."""
        gap = np.cumsum(x > 0)
        rising = np.flatnonzero((gradient > 0) & (x == 0))
        order = rising[np.lexsort((-gradient[rising], gap[rising]))]
        _, at = np.unique(gap[order], return_index=True)
        return np.asarray(order[at])


def _best_nonnegative(curvature: Floats, slope: Floats, free: npt.NDArray[np.bool_]) -> Floats:
    """The y >= 0 that maximises slope.y - y.curvature.y / 2.

    Block principal pivoting: exchange all that are wrong at once while that
    helps, else the last one only, which always ends (Portugal, Judice & Vicente
    1994, from memory).
    """
    scale = 1.0 / np.sqrt(np.maximum(np.diag(curvature), np.finfo(float).tiny))
    scaled = curvature * scale[:, None] * scale + _RIDGE * np.eye(len(scale))
    aim = slope * scale
    fewest, patience = len(aim) + 1, 3
    y = np.zeros(len(aim))
    free = free.copy()
    for _ in range(20 * len(aim) + 100):
        y = np.zeros(len(aim))
        if free.any():
            y[free] = _solved(scaled[np.ix_(free, free)], aim[free])
        lift = aim - scaled @ y
        wrong = np.where(free, y < 0, lift > 1e-12 * np.abs(aim))
        number = int(wrong.sum())
        if not number:
            break
        if number < fewest:
            fewest, patience = number, 3
        elif patience:
            patience -= 1
        else:
            last = np.flatnonzero(wrong)[-1]
            free[last] = not free[last]
            continue
        free ^= wrong
    return np.asarray(np.maximum(y, 0.0) * scale)


def _solved(matrix: Floats, right: Floats) -> Floats:
    ridge = 0.0
    while True:
        try:
            factor = cho_factor(matrix + ridge * np.eye(len(right)), check_finite=False)
        except np.linalg.LinAlgError:
            ridge = max(10 * ridge, 1e-12)
        else:
            return np.asarray(cho_solve(factor, right, check_finite=False))
