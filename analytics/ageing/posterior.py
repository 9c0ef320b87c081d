"""What is believed of a kind after its lives are read: draws of its parameters.

Priors are stated in trade terms (the shape; the share worn out by an age that
the trade quotes; the share of bad fits; accidents a year). The posterior of
shape, scale and early share is sampled by importance: a Student-t proposal
about the mode, weights by the likelihood, then a systematic resample to draws
of equal weight (Gelman et al., Bayesian Data Analysis, chapter 10; from
memory). Accidents act on their own and have a gamma posterior. Where the lives
belong to groups see `group_posterior`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from analytics.ageing.clocks import EXACT, INTERVAL, Nodes
from analytics.ageing.families import FAMILIES, Family
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.prior import N_DRAWS, accident_draws, log_prior, prior_rows
from analytics.ageing.tails import pareto_k
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Target = Callable[[Floats], Floats]
"""Log density of the posterior, up to a constant, at rows of parameters."""

_N_PROPOSALS = 3000
_PROPOSAL_DF = 5.0
_GOOD_SAMPLE = 300.0
"""Effective draws below which the proposal is widened and tried again, then given up."""


@dataclass(frozen=True)
class Posterior:
    """Draws of what a kind ages by; every later number is an average over them.

    Attributes
    ----------
    kind : Kind
        The kind, with its prior.
    parameters : Parameters
        n draws of equal weight. With `factors`, of the part that has the mean
        effect of the fleet's lives.
    accidents : ndarray, shape (n_draws,)
        Accidents per part and year; 0 where that cause is not modelled.
    effective : float
        Effective number of proposals behind the draws.
    method : {"posterior", "prior", "point", "random walk"}
        Where the draws come from: importance sampling, the prior alone, one
        point given from outside, or the fallback sampler.
    tail : float
        Shape of the tail of the largest weights: above 0.7 a few proposals decide
        and the draws are not to be relied on; 0 where nothing was weighed.
    factors : LifeFactors or None
        Effects of groups on life, with the same draws; None where none were
        looked at.
    """

    kind: Kind
    parameters: Parameters
    accidents: Floats
    effective: float
    method: Literal["posterior", "prior", "point", "random walk"]
    tail: float = 0.0
    factors: LifeFactors | None = None

    def __len__(self) -> int:
        return len(self.parameters)

    @property
    def family(self) -> Family:
        """The wear-out family."""
        return FAMILIES[self.kind.family]

    @property
    def early_years(self) -> float:
        """How long after fitting an early failure can come, in years."""
        return self.kind.early_days / DAYS_PER_YEAR


def posterior_of(
    kind: Kind, nodes: Nodes, accidents: int, exposure_years: float, rng: np.random.Generator
) -> Posterior:
    """Posterior of a kind given its lives, taken as all alike.

    Parameters
    ----------
    kind : Kind
        Clock, family, causes and prior.
    nodes : Nodes
        Ages of the lives, from `clocks.nodes_of`.
    accidents : int
        Lives that an accident ended.
    exposure_years : float
        Part-years watched, over which those accidents fell.
    rng : Generator
        Source of chance.
    """
    family = FAMILIES[kind.family]
    early = "early" in kind.causes

    def target(rows: Floats) -> Floats:
        theta = Parameters.from_rows(rows)
        likely = log_likelihood(family, theta, nodes, kind.early_days / DAYS_PER_YEAR)
        total = log_prior(family, kind.prior, rows) + likely
        return np.where(np.isnan(total), -np.inf, total)

    starts = prior_rows(family, kind.prior, early, 300, rng)
    mode = _mode(target, starts)
    spread = _spread_at(target, mode, starts)
    for widened in (1.0, 1.5, 2.5):
        rows, effective, tail = _importance(target, mode, spread * widened**2, rng)
        if effective >= _GOOD_SAMPLE:
            break
    method: Literal["posterior", "random walk"] = "posterior"
    if effective < _GOOD_SAMPLE:
        rows, method = _random_walk(target, mode, spread, rng), "random walk"
    return Posterior(
        kind,
        Parameters.from_rows(rows),
        accident_draws(kind, accidents, exposure_years, rng),
        effective,
        method,
        tail,
    )


def prior_of(kind: Kind, rng: np.random.Generator) -> Posterior:
    """What the prior alone says of a kind, in the shape of a posterior."""
    rows = prior_rows(FAMILIES[kind.family], kind.prior, "early" in kind.causes, N_DRAWS, rng)
    return Posterior(
        kind, Parameters.from_rows(rows), accident_draws(kind, 0, 0.0, rng), N_DRAWS, "prior"
    )


def point(kind: Kind, log_shape: float, log_scale: float) -> Posterior:
    """A single point as a posterior: what follows if the parameters were known."""
    theta = Parameters(np.array([log_shape]), np.array([log_scale]), np.zeros(1))
    return Posterior(kind, theta, np.zeros(1), 1.0, "point")


def worn_failures(nodes: Nodes, early_days: int) -> float:
    """How many failures surely came later than an early failure can."""
    late = nodes.lower_years * DAYS_PER_YEAR > early_days
    failed = np.isin(nodes.outcome, (EXACT, INTERVAL))
    sure = np.logical_and.reduceat(late, nodes.first) if nodes.n_lives else np.empty(0, dtype=bool)
    return float(nodes.count[failed & sure].sum())


def _mode(target: Target, starts: Floats) -> Floats:
    best = starts[int(np.argmax(target(starts)))]

    def loss(row: Floats) -> float:
        value = float(target(row[None, :])[0])
        return -value if np.isfinite(value) else 1e12

    found = minimize(
        loss, best, method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-5, "maxiter": 2000}
    )
    return np.asarray(found.x)


def _spread_at(target: Target, mode: Floats, starts: Floats) -> Floats:
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


def _importance(
    target: Target, mode: Floats, spread: Floats, rng: np.random.Generator
) -> tuple[Floats, float, float]:
    """Draws of equal weight, how many proposals stand behind them, and the tail of the weights."""
    n = len(mode)
    root = np.linalg.cholesky(spread)
    normal = rng.standard_normal((_N_PROPOSALS, n))
    stretch = np.sqrt(_PROPOSAL_DF / rng.chisquare(_PROPOSAL_DF, _N_PROPOSALS))
    away = normal * stretch[:, None]
    rows = mode + away @ root.T
    log_proposal = -0.5 * (_PROPOSAL_DF + n) * np.log1p((away**2).sum(axis=1) / _PROPOSAL_DF)
    log_weight = target(rows) - log_proposal
    return rows[resampled(log_weight, rng)], effective_draws(log_weight), pareto_k(log_weight)


def effective_draws(log_weight: Floats) -> float:
    """Effective number of weighed draws."""
    weight = np.exp(log_weight - log_weight.max())
    return float(weight.sum() ** 2 / (weight**2).sum())


def resampled(log_weight: Floats, rng: np.random.Generator) -> npt.NDArray[np.int64]:
    """Which of the draws stand for the posterior, by systematic resampling."""
    weight = np.exp(log_weight - log_weight.max())
    at = (rng.random() + np.arange(N_DRAWS)) / N_DRAWS
    total = np.cumsum(weight)
    chosen = np.minimum(np.searchsorted(total / total[-1], at), len(weight) - 1)
    # In a random order, so that draws of two kinds can be paired without a pattern.
    return rng.permutation(chosen)


def _random_walk(target: Target, mode: Floats, spread: Floats, rng: np.random.Generator) -> Floats:
    """Metropolis walkers side by side: the fallback where no simple proposal fits."""
    walkers, steps = N_DRAWS, 300
    root = np.linalg.cholesky(spread)
    at = mode + rng.standard_normal((walkers, len(mode))) @ root.T
    value = target(at)
    for _ in range(steps):
        move = rng.standard_normal((walkers, len(mode))) @ root.T * 1.4
        tried = target(at + move)
        taken = np.log(rng.random(walkers)) < tried - value
        at = np.where(taken[:, None], at + move, at)
        value = np.where(taken, tried, value)
    return np.asarray(at)
