"""How well a model foretells a life that it has not seen: leaving one out.

A model is scored by the log of the density that it gives each unit (a life, or all
lives of a shaft line) when fitted to all the others; the sum over the units is its
predictive score, higher is better. The fits need not be repeated: draws given all
units become draws without one of them when each is weighed by one over its
likelihood of that unit. The largest of those weights are unsteady, and are replaced
by the quantiles of a generalised Pareto distribution fitted to them, whose shape k
says whether the result can be relied on: above 0.7 it cannot (Vehtari, Gelman &
Gabry, Practical Bayesian model evaluation using leave-one-out cross-validation and
WAIC, 2017; from memory). Such units are fitted again without it where that is offered.

Models are weighed by their scores with what chance there is in which units the
records hold: units are weighed at random, as in a Bayesian bootstrap, and the
models by the exponential of the score they then have, over and over (Yao, Vehtari,
Simpson & Gelman, Using stacking to average Bayesian predictive distributions, 2018,
there called pseudo-BMA+; from memory). Stacking, which the same paper sets beside
it, seeks the best mixture and with few failures jumps to one model alone; these
weights stay near one half until the records can tell.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from analytics.ageing.tails import NO_WEIGHT, generalised_pareto

Floats = npt.NDArray[np.float64]

RELIABLE_K = 0.7
"""Shape of the tail above which a leave-one-out density is not to be relied on."""

_EVEN = 3.0
"""Where no draw weighs more than so many times the mean, no few of them decide."""

_UNITS_AT_ONCE = 250
_MOST_REFITS = 5
_RESAMPLES = 1000


@dataclass(frozen=True)
class Score:
    """The predictive score of a model, unit by unit.

    Attributes
    ----------
    by_unit : ndarray, shape (n_units,)
        Log density of each unit given all the others.
    tail : ndarray, shape (n_units,)
        Shape k of the tail of the weights that left the unit out; 0 where they are
        even, or where the fit was repeated.
    count : ndarray, shape (n_units,)
        How many alike units each one stands for.
    again : int
        Units that the model was fitted again without.
    all_units : float or None
        Units of the records, where only some of them were scored; the total is
        that of them all. None where these are all.
    """

    by_unit: Floats
    tail: Floats
    count: Floats
    again: int = 0
    all_units: float | None = None

    @property
    def units(self) -> float:
        """How many units the total is for."""
        return float(self.count.sum()) if self.all_units is None else self.all_units

    @property
    def total(self) -> float:
        """The predictive score: the sum over the units."""
        return _sum_and_error(self, self.by_unit)[0]

    @property
    def error(self) -> float:
        """Standard error of the score."""
        return _sum_and_error(self, self.by_unit)[1]

    @property
    def unreliable(self) -> int:
        """Units whose share of the score is not to be relied on."""
        return int(self.count[self.tail > RELIABLE_K].sum())

    @property
    def warning(self) -> str | None:
        """A sentence where the score is not to be relied on."""
        if not self.unreliable:
            return None
        lives = "one life or line" if self.unreliable == 1 else f"{self.unreliable} lives or lines"
        return (
            f"The fit leans so hard on {lives} that how well it would have foretold them is not "
            "known well: take the comparison as rough."
        )


def leave_one_out(
    log_likelihood: Floats,
    count: Floats | None = None,
    log_weight: Floats | None = None,
    again: Callable[[int], float] | None = None,
) -> Score:
    """Predictive score of a model from draws of its posterior.

    Parameters
    ----------
    log_likelihood : ndarray, shape (n_draws, n_units)
        Of each unit at each draw.
    count : ndarray, shape (n_units,), optional
        How many alike units each one stands for; one of them is left out.
    log_weight : ndarray, shape (n_draws,), optional
        Log weights of the draws, where they are proposals that were weighed.
    again : callable, optional
        Given a unit, its log density from a fit without it: asked for where the
        draws cannot tell, for the worst few.
    """
    n_draws, n_units = log_likelihood.shape
    base = np.zeros(n_draws) if log_weight is None else log_weight - log_weight.max()
    found, tail = np.empty(n_units), np.zeros(n_units)
    for at in range(0, n_units, _UNITS_AT_ONCE):
        some = slice(at, at + _UNITS_AT_ONCE)
        value = log_likelihood[:, some]
        # A draw that makes a unit impossible has no weight in the posterior to begin with.
        possible = np.isfinite(value)
        value = np.where(possible, value, 0.0)
        ratio = np.where(possible, base[:, None] - value, -np.inf)
        log_weights, tail[some] = smoothed(ratio)
        found[some] = _log_sum(log_weights + value) - _log_sum(log_weights)
    refits = 0
    if again is not None:
        worst = np.argsort(-tail, kind="stable")[:_MOST_REFITS]
        for unit in worst[tail[worst] > RELIABLE_K]:
            found[unit], tail[unit] = again(int(unit)), 0.0
            refits += 1
    return Score(found, tail, np.ones(n_units) if count is None else count, refits)


def smoothed(log_weight: Floats) -> tuple[Floats, Floats]:
    """Weights whose largest are replaced by what a smooth tail would give.

    Parameters
    ----------
    log_weight : ndarray, shape (n_draws, m)

    Returns
    -------
    log_weight : ndarray, shape (n_draws, m)
        With 0 as the largest of what was weighed.
    tail : ndarray, shape (m,)
        Shape k of each tail; 0 where the weights are even, infinite where there are
        too few draws to tell.
    """
    n = len(log_weight)
    log_weight = log_weight - log_weight.max(axis=0)
    tail = np.zeros(log_weight.shape[1])
    uneven = np.exp(log_weight).mean(axis=0) * _EVEN < 1.0
    if not uneven.any():
        return log_weight, tail
    size = int(np.ceil(min(0.2 * n, 3 * np.sqrt(n))))
    if size < 5:
        tail[uneven] = np.inf
        return log_weight, tail
    some = log_weight[:, uneven]
    order = np.argpartition(some, n - size - 1, axis=0)[n - size - 1 :]
    order = np.take_along_axis(order, np.argsort(np.take_along_axis(some, order, 0), axis=0), 0)
    largest = np.exp(np.take_along_axis(some, order, axis=0))
    cut, largest = largest[0], largest[1:]
    above = largest - cut
    # With ties across the cut, or next to no weight beside a few draws, there is no tail to fit.
    fit = above[int(size / 4 + 0.5) - 1] > NO_WEIGHT
    k = np.full(len(fit), np.inf)
    if fit.any():
        k[fit], scale = generalised_pareto(above[:, fit])
        share = ((np.arange(size) + 0.5) / size)[:, None]
        shape = k[fit]
        shape = np.where(np.abs(shape) < 1e-9, 1e-9, shape)
        # A tail so heavy that its quantiles overflow is cut off at 1 all the same.
        steep = np.minimum(-shape * np.log1p(-share), 300.0)
        expected = cut[fit] + scale / shape * np.expm1(steep)
        largest[:, fit] = np.minimum(expected, 1.0)
    with np.errstate(divide="ignore"):
        np.put_along_axis(some, order[1:], np.log(largest), axis=0)
    log_weight[:, uneven] = some
    tail[uneven] = k
    return log_weight, tail


def difference(one: Score, other: Score) -> tuple[float, float]:
    """By how much one score is above another, and the standard error of that."""
    return _sum_and_error(one, one.by_unit - other.by_unit)


def mixed(scores: Sequence[Score], weights: Sequence[float]) -> Score:
    """The score of models that are averaged: of the mixture of their densities."""
    logs = np.array([one.by_unit for one in scores])
    with np.errstate(divide="ignore"):
        of_models = np.log(np.asarray(weights, dtype=float))[:, None]
    tail = np.max([one.tail for one in scores], axis=0)
    return replace(scores[0], by_unit=_log_sum(logs + of_models), tail=tail)


def weights_of(
    scores: Sequence[Score], rng: np.random.Generator, prior: Sequence[float] | None = None
) -> Floats:
    """Weights of models by their predictive scores, adding up to 1.

    Parameters
    ----------
    scores : sequence of Score
        Of the same units.
    rng : Generator
        Weighs the units at random.
    prior : sequence of float, optional
        Weights before the records; all the same where none are given.
    """
    n_models = len(scores)
    believed = np.full(n_models, 1 / n_models) if prior is None else np.asarray(prior, dtype=float)
    count = scores[0].count
    if not len(count):
        return np.asarray(believed / believed.sum())
    logs = np.array([one.by_unit for one in scores])
    # Only what sets the models apart matters, and it is small beside the scores.
    logs = logs - logs.mean(axis=0)
    # Shares of alike units add up: a gamma of their number.
    share = rng.standard_gamma(count, (_RESAMPLES, len(count)))
    share /= share.sum(axis=1, keepdims=True)
    with np.errstate(divide="ignore"):
        sums = share @ logs.T * scores[0].units + np.log(believed)
    sums = np.exp(sums - sums.max(axis=1, keepdims=True))
    found: Floats = (sums / sums.sum(axis=1, keepdims=True)).mean(axis=0)
    return np.asarray(found / found.sum())


def _sum_and_error(of: Score, by_unit: Floats) -> tuple[float, float]:
    """Sum over all units of what is known of those scored, and its standard error."""
    n = float(of.count.sum())
    if not n:
        return 0.0, float("inf")
    mean = float((by_unit * of.count).sum()) / n
    if n < 2:
        return of.units * mean, float("inf")
    spread = float((of.count * (by_unit - mean) ** 2).sum()) / (n - 1)
    return of.units * mean, float(of.units * np.sqrt(spread / n))


def _log_sum(terms: Floats) -> Floats:
    """Log of the sum of exponentials over the first axis."""
    top = terms.max(axis=0)
    with np.errstate(divide="ignore"):
        return np.asarray(top + np.log(np.exp(terms - top).sum(axis=0)))
