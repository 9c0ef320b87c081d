"""Draws from a posterior of few parameters: weighed proposals, or walkers where those fail.

A Student-t proposal about the mode, weights by the posterior, then a systematic
resample to draws of equal weight (Gelman et al., Bayesian Data Analysis, chapter
10; from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

Floats = npt.NDArray[np.float64]
Target = Callable[[Floats], Floats]
"""Log density of the posterior, up to a constant, at rows of parameters."""

_PROPOSAL_DF = 5.0
_FAR_SHARE, _FAR = 0.25, 2.5
"""Share of proposals that go out further, and how many times as far."""


def mode_of(target: Target, starts: Floats) -> Floats:
    """The likeliest row, searched from the best of some rows."""
    best = starts[int(np.argmax(target(starts)))]

    def loss(row: Floats) -> float:
        value = float(target(row[None, :])[0])
        return -value if np.isfinite(value) else 1e12

    found = minimize(
        loss, best, method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-5, "maxiter": 2000}
    )
    return np.asarray(found.x)


def spread_at(target: Target, mode: Floats, starts: Floats) -> Floats:
    """Covariance of the proposal: inverse curvature at the mode, the prior's where that fails."""
    n, step = len(mode), 0.02
    moves = np.eye(n) * step
    points, where = [mode], {}
    for i in range(n):
        for j in range(i, n):
            for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
                where[i, j, a, b] = len(points)
                points.append(mode + a * moves[i] + b * moves[j])
    value = target(np.array(points))
    if not np.isfinite(value).all():
        # At the edge of what is possible there is no curvature to speak of.
        return np.cov(starts, rowvar=False)
    hessian = np.empty((n, n))
    for i in range(n):
        for j in range(i, n):
            mixed = sum(
                a * b * value[where[i, j, a, b]] for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1))
            )
            hessian[i, j] = hessian[j, i] = mixed / (4 * step**2)
    try:
        spread = np.linalg.inv(-hessian)
        np.linalg.cholesky(spread)
    except np.linalg.LinAlgError:
        return np.cov(starts, rowvar=False)
    return np.asarray(spread)


def proposals(
    target: Target, mode: Floats, spread: Floats, n: int, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Rows proposed about the mode, some of them far out, and the log of their weights.

    A belief that may be wrong has wide tails, and a posterior of few failures has them too.
    """
    columns = len(mode)
    root = np.linalg.cholesky(spread)
    normal = rng.standard_normal((n, columns))
    stretch = np.sqrt(_PROPOSAL_DF / rng.chisquare(_PROPOSAL_DF, n))
    stretch = np.where(np.arange(n) < _FAR_SHARE * n, _FAR * stretch, stretch)
    away = normal * stretch[:, None]
    rows = mode + away @ root.T
    square = (away**2).sum(axis=1) / _PROPOSAL_DF
    power = -0.5 * (_PROPOSAL_DF + columns)
    log_proposal = np.logaddexp(
        np.log1p(-_FAR_SHARE) + power * np.log1p(square),
        np.log(_FAR_SHARE) - columns * np.log(_FAR) + power * np.log1p(square / _FAR**2),
    )
    return rows, target(rows) - log_proposal


def effective_draws(log_weight: Floats) -> float:
    """Effective number of weighed draws; 0 where none is possible."""
    if not log_weight.max() > -np.inf:
        return 0.0
    weight = np.exp(log_weight - log_weight.max())
    return float(weight.sum() ** 2 / (weight**2).sum())


def resampled(log_weight: Floats, n: int, rng: np.random.Generator) -> npt.NDArray[np.int64]:
    """Which n of the draws stand for the posterior, by systematic resampling."""
    weight = np.exp(log_weight - log_weight.max())
    at = (rng.random() + np.arange(n)) / n
    total = np.cumsum(weight)
    chosen = np.minimum(np.searchsorted(total / total[-1], at), len(weight) - 1)
    # In a random order, so that draws of two kinds can be paired without a pattern.
    return rng.permutation(chosen)


def random_walk(
    target: Target, mode: Floats, spread: Floats, walkers: int, rng: np.random.Generator
) -> Floats:
    """Metropolis walkers side by side: the fallback where no simple proposal fits."""
    steps = 300
    root = np.linalg.cholesky(spread)
    at = mode + rng.standard_normal((walkers, len(mode))) @ root.T
    value = target(at)
    # Who would begin where nothing is possible begins at the mode.
    lost = ~np.isfinite(value)
    at[lost], value[lost] = mode, target(mode[None, :])[0]
    for _ in range(steps):
        # Now and then a long step, for tails that are wider than the middle lets expect.
        length = np.where(rng.random((walkers, 1)) < _FAR_SHARE, 1.4 * _FAR, 1.4)
        move = rng.standard_normal((walkers, len(mode))) @ root.T * length
        tried = target(at + move)
        taken = np.log(rng.random(walkers)) < tried - value
        at = np.where(taken[:, None], at + move, at)
        value = np.where(taken, tried, value)
    return np.asarray(at)
