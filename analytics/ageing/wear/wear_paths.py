"""Wear of bearings as straight paths, each with a clearance at fitting and a rate of its own.

The rates of all paths share a middle and a spread, so that a bearing read once
leans on the others and one read often stands on its own (partial pooling; Lu &
Meeker 1993 and Meeker & Escobar 1998, chapter 13, for paths of degradation;
from memory). What the paths share is sampled by importance, as in `posterior`,
and each path is then drawn given that; see `straight_lines`.

Bearings that follow each other on one shaft count as different ones: what the
shaft has of its own is not carried over, and the fleet's middle looks a little
better known than it is.
Straight is an assumption: rubber that comes off its shell does not wear along a
line. A reading says what was measured on its day and promises nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize
from scipy.special import logsumexp

from analytics.ageing.wear.straight_lines import (
    CELLS_AT_ONCE,
    Z90,
    Paths,
    drawn_log_rate,
    log_likelihood,
    log_marginals,
    straight_line_terms,
)
from analytics.records.wear_limits import WearBelief

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Target = Callable[[Floats], Floats]
"""Log density, up to a constant, at rows of parameters."""

N_DRAWS = 1000
_N_PROPOSALS = 1200
_PROPOSAL_DF = 6.0
_FURTHEST = 12.0
"""Deviations of the belief beyond which the likelihood is taken as it is there."""
_ENOUGH = 200.0
"""Effective proposals below which a wider proposal is tried."""
FITTING = 100.0
"""Effective proposals below which the proposal is given up."""
_WALKERS, _STEPS = 250, 160


@dataclass(frozen=True)
class Shared:
    """Draws of what all paths share.

    Attributes
    ----------
    log_rate, log_spread, log_error, offset : ndarray, shape (n_draws,)
        m (mm per 1,000 h), log tau, log sigma (mm) and offset (mm).
    effective : float
        Effective number of proposals behind the draws; where it is below
        `FITTING` the draws are those of walkers instead.
    """

    log_rate: Floats
    log_spread: Floats
    log_error: Floats
    offset: Floats
    effective: float

    def __len__(self) -> int:
        return len(self.offset)

    @classmethod
    def from_rows(cls, rows: Floats, effective: float) -> Shared:
        """From rows as `rows` gives them."""
        return cls(rows[:, 0], rows[:, 1], rows[:, 2], rows[:, 3], effective)

    @property
    def rows(self) -> Floats:
        """The same as rows, shape (n_draws, 4)."""
        return np.column_stack([self.log_rate, self.log_spread, self.log_error, self.offset])


@dataclass(frozen=True)
class PathDraws:
    """Draws of each path, shape (n_draws, n_paths), a row for each draw of what they share.

    Attributes
    ----------
    row : ndarray of int
        Row of `Paths`, that is the node of fitting.
    rate : ndarray
        mm per 1,000 shaft hours.
    at_fitting : ndarray
        Clearance when fitted, in mm.
    """

    row: Ints
    rate: Floats
    at_fitting: Floats


def belief_of(belief: WearBelief) -> tuple[Floats, Floats]:
    """Middle and spread of the normal belief about `Shared.rows`."""
    middle = [np.log(belief.rate_mm), np.log(belief.spread), np.log(belief.error_mm), 0.0]
    spread = [np.log(belief.rate_factor), np.log(belief.spread_factor),
              np.log(belief.error_factor), belief.offset_mm]  # fmt: skip
    return np.array(middle), np.array(spread) / Z90


def sampled(paths: Paths, belief: WearBelief, rng: np.random.Generator) -> Shared:
    """Draws of what the paths share, given all readings.

    Importance sampling from a Student-t about the mode, then a systematic
    resample to draws of equal weight. Without readings: draws of the belief.
    """
    middle, spread = belief_of(belief)
    if not len(paths):
        rows = middle + spread * rng.standard_normal((N_DRAWS, 4))
        return Shared.from_rows(rows, float(N_DRAWS))

    def target(rows: Floats) -> Floats:
        away = (rows - middle) / spread
        # Absurd readings put the mode far out; further than this nothing is believed at all.
        held = np.clip(away, -_FURTHEST, _FURTHEST)
        value = log_likelihood(paths, middle + spread * held) - 0.5 * (away**2).sum(axis=1)
        return np.where(np.isfinite(value), value, -1e300)

    mode, root = _mode(target, middle, spread)
    for widened in (1.1, 1.6, 2.5):
        normal = rng.standard_normal((_N_PROPOSALS, 4))
        stretch = np.sqrt(_PROPOSAL_DF / rng.chisquare(_PROPOSAL_DF, _N_PROPOSALS))
        away = normal * stretch[:, None]
        rows = mode + widened * away @ root.T
        log_proposal = -0.5 * (_PROPOSAL_DF + 4) * np.log1p((away**2).sum(axis=1) / _PROPOSAL_DF)
        log_weight = target(rows) - log_proposal
        weight = np.exp(log_weight - logsumexp(log_weight))
        effective = float(1.0 / (weight**2).sum())
        if effective >= _ENOUGH:
            break
    chosen = rows[resampled(weight, N_DRAWS, rng)]
    if effective < FITTING:
        chosen = _walked(target, chosen, root, rng)
    return Shared.from_rows(chosen, effective)


def resampled(weight: Floats, n: int, rng: np.random.Generator) -> Ints:
    """Systematic resample: numbers of n draws in proportion to weight, in a random order."""
    at = (rng.random() + np.arange(n)) / n
    chosen = np.searchsorted(np.cumsum(weight) / weight.sum(), at)
    return np.asarray(rng.permutation(np.minimum(chosen, len(weight) - 1)), dtype=np.int64)


def drawn_paths(paths: Paths, shared: Shared, rng: np.random.Generator) -> PathDraws:
    """A draw of every path (node of fitting, rate, clearance at fitting) for each of `shared`."""
    n_draws, n_paths = len(shared), len(paths)
    row = np.empty((n_draws, n_paths), dtype=np.int64)
    rate, at_fitting = np.empty((n_draws, n_paths)), np.empty((n_draws, n_paths))
    row[:] = paths.first
    sizes = np.diff(np.append(paths.first, len(paths.n)))
    if (sizes > 1).any():
        logs = log_marginals(paths, shared.rows)
        for i in np.flatnonzero(sizes > 1):
            span = logs[:, paths.first[i] : paths.first[i] + sizes[i]]
            total = np.cumsum(np.exp(span - span.max(axis=1, keepdims=True)), axis=1)
            picked = (rng.random(n_draws)[:, None] * total[:, -1:] > total).sum(axis=1)
            row[:, i] += np.minimum(picked, sizes[i] - 1)
    pick, normal = rng.random((n_draws, n_paths)), rng.standard_normal((n_draws, n_paths))
    step = max(1, CELLS_AT_ONCE // max(1, n_paths * 41))
    for start in range(0, n_draws, step):
        at = slice(start, start + step)
        chunk, chosen = shared.rows[at], row[at]
        terms = straight_line_terms(paths, chunk[:, 2], chunk[:, 3])
        a, b = (np.take_along_axis(term, chosen, axis=1) for term in terms[:2])
        middle, spread = chunk[:, :1], np.exp(chunk[:, 1:2])
        rate[at] = np.exp(drawn_log_rate(a, b, middle, spread, pick[at]))
        variance = np.exp(2 * chunk[:, 2:3])
        new, sd2 = paths.new[chosen] + chunk[:, 3:4], paths.new_sd[chosen] ** 2
        pull = sd2 / (variance + sd2 * paths.w[chosen])
        left = paths.sy[chosen] - new * paths.w[chosen] - rate[at] * paths.sh[chosen]
        at_fitting[at] = new + pull * left + np.sqrt(pull * variance) * normal[at]
    return PathDraws(row, rate, at_fitting)


def crossed_at(hours: Floats, mm: Floats, limit: float) -> float:
    """Hours at which a path, read off by straight lines between its readings, reaches a limit.

    Parameters
    ----------
    hours, mm : ndarray, shape (n,)
        In the order of hours.

    Returns
    -------
    float
        NaN where no reading reaches it; nothing is carried on past the last.
    """
    over = np.flatnonzero(mm >= limit)
    if not len(over):
        return float("nan")
    j = int(over[0])
    if j == 0:
        return float(hours[0])
    share = (limit - mm[j - 1]) / (mm[j] - mm[j - 1])
    return float(hours[j - 1] + share * (hours[j] - hours[j - 1]))


def _walked(target: Target, start: Floats, root: Floats, rng: np.random.Generator) -> Floats:
    """Metropolis walkers side by side, their last quarter: where no simple proposal fits."""
    at = start[:_WALKERS] + 0.3 * rng.standard_normal((_WALKERS, start.shape[1])) @ root.T
    value, kept = target(at), []
    for step in range(1, _STEPS + 1):
        # Short moves among long ones, as the widths along a bent ridge are not known.
        length = 1.2 * 10.0 ** rng.uniform(-1.5, 0.0, (_WALKERS, 1))
        tried = at + length * (rng.standard_normal(at.shape) @ root.T)
        value_tried = target(tried)
        taken = np.log(rng.random(_WALKERS)) < value_tried - value
        at, value = np.where(taken[:, None], tried, at), np.where(taken, value_tried, value)
        if step > _STEPS - 4 * (_STEPS // 16) and step % (_STEPS // 16) == 0:
            kept.append(at)
    return rng.permutation(np.concatenate(kept))


def _mode(target: Target, middle: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Where the target is highest, and a root of its inverse curvature there."""
    n = len(middle)

    def loss(x: Floats, step: float = 1e-3) -> tuple[float, Floats]:
        moves = np.vstack([np.zeros((1, n)), step * np.eye(n), -step * np.eye(n)])
        value = -target(middle + spread * (x + moves))
        return float(value[0]), (value[1 : n + 1] - value[n + 1 :]) / (2 * step)

    found = minimize(loss, np.zeros(n), jac=True, method="BFGS", options={"maxiter": 100})
    mode = middle + spread * found.x
    try:
        inverse = np.asarray(found.hess_inv)
        root = spread[:, None] * np.linalg.cholesky((inverse + inverse.T) / 2)
        # The curvature once more, in steps of about half its own width.
        step, pairs = 0.5, [(i, j) for i in range(n) for j in range(i, n)]
        moves = [np.zeros(n)]
        for i, j in pairs:
            for p, q in _CORNERS:
                moves.append(step * (p * np.eye(n)[i] + q * np.eye(n)[j]))
        value = target(mode + np.array(moves) @ root.T)[1:].reshape(len(pairs), 4)
        hessian = np.empty((n, n))
        for (i, j), corner in zip(pairs, value, strict=True):
            mixed = float(corner @ [p * q for p, q in _CORNERS]) / (4 * step**2)
            hessian[i, j] = hessian[j, i] = mixed
        return mode, root @ np.linalg.cholesky(np.linalg.inv(-hessian))
    except np.linalg.LinAlgError:
        return mode, np.diag(spread)


_CORNERS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
