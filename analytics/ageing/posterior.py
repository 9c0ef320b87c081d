"""What is believed of a kind after its lives are read: draws of its parameters.

Priors are stated in trade terms (the shape; the share worn out by an age that
the trade quotes; the share of bad fits; accidents a year). The posterior of
shape, scale and early share is sampled by importance. Accidents act on their own
and have a gamma posterior. Where more than one wear-out family may stand behind a
kind, the draws of each are kept in proportion to its weight (`family_choice`).
Where the lives belong to groups see `group_posterior`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import EXACT, INTERVAL, Nodes
from analytics.ageing.families import (
    AVERAGED,
    CODES,
    FAMILIES,
    Averaged,
    Family,
    own_terms,
    shared_terms,
)
from analytics.ageing.family_choice import FamilyChoice, as_set, draws_of, family_choice
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.importance import (
    effective_draws,
    mode_of,
    proposals,
    random_walk,
    resampled,
    spread_at,
)
from analytics.ageing.likelihood import Parameters, lives_of, log_likelihood, per_life
from analytics.ageing.predictive import Score, leave_one_out
from analytics.ageing.prior import (
    N_DRAWS,
    accident_draws,
    at_quoted_age,
    from_quoted_age,
    log_prior,
    prior_rows,
)
from analytics.ageing.tails import pareto_k
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

Belief = Callable[[Floats], Floats]
"""Log density of a prior at rows of (log shape, log scale[, log-odds of early])."""

_N_PROPOSALS = 3000
_SCORED_PROPOSALS = 1000
MOST_SCORED = 1500
"""Lives beyond which every second, third ... is left out in turn to score a family, not each."""

_GOOD_SAMPLE = 300.0
"""Effective draws below which the proposal is widened and tried again, then given up."""


@dataclass(frozen=True)
class Posterior:
    """Draws of what a kind ages by; every later number is an average over them.

    Attributes
    ----------
    kind : Kind
        The kind, with its prior; its family is the one used, or "averaged" where
        draws of several stand side by side.
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
    families : FamilyChoice or None
        The families behind the draws; None where the question did not arise.
    """

    kind: Kind
    parameters: Parameters
    accidents: Floats
    effective: float
    method: Literal["posterior", "prior", "point", "random walk"]
    tail: float = 0.0
    factors: LifeFactors | None = None
    families: FamilyChoice | None = None

    def __len__(self) -> int:
        return len(self.parameters)

    @property
    def family(self) -> Family:
        """The wear-out family; for some of the draws only, ask it `of_draws`.

        Raises
        ------
        ValueError
            If draws of several families have lost which family each is of.
        """
        if self.kind.family != AVERAGED:
            return FAMILIES[self.kind.family]
        if self.parameters.codes is None:
            raise ValueError("draws of several families must say which family each is of")
        return self._averaged

    @cached_property
    def _averaged(self) -> Averaged:
        assert self.parameters.codes is not None  # asked only of averaged draws
        return Averaged(self.parameters.codes)

    @property
    def likeliest(self) -> Posterior:
        """The draws of the likeliest family alone, in its own terms.

        For what needs one curve that can be climbed, such as the search for lots
        with a life of their own; itself where there is one family only.
        """
        theta = self.parameters
        if theta.codes is None:
            return self
        code = int(np.argmax(np.bincount(theta.codes, minlength=len(CODES))))
        return self.of_draws(np.flatnonzero(theta.codes == code)).in_own_terms(CODES[code])

    def of_draws(self, chosen: Ints) -> Posterior:
        """Some of the draws."""
        factors = self.factors
        if factors is not None:
            factors = replace(
                factors,
                effects=tuple(effects[chosen] for effects in factors.effects),
                spreads=factors.spreads[chosen],
                centres=factors.centres[chosen],
            )
        return replace(
            self,
            parameters=self.parameters.part(chosen),
            accidents=self.accidents[chosen],
            factors=factors,
        )

    def in_own_terms(self, family: str) -> Posterior:
        """Draws that are all of one family, told as that family's own."""
        theta = self.parameters
        shape, scale = own_terms(family, theta.log_shape, theta.log_scale)
        kind = of_family(self.kind, family)
        return replace(self, kind=kind, parameters=Parameters(shape, scale, theta.early))

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
    if kind.family != AVERAGED:
        theta, effective, method, tail = AlikeLives(kind, nodes, rng).drawn(N_DRAWS)
        rate = accident_draws(kind, accidents, exposure_years, rng)
        choice = as_set(kind.family)
        return Posterior(kind, theta, rate, effective, method, tail, families=choice)
    *streams, own = spawned(rng, len(CODES) + 1)
    fits: dict[str, AlikeLives] = {}

    def fit(name: str) -> AlikeLives:
        if name not in fits:
            fits[name] = AlikeLives(of_family(kind, name), nodes, streams[CODES.index(name)])
        return fits[name]

    worn = worn_failures(nodes, kind.early_days if "early" in kind.causes else 0)
    choice = family_choice(lambda name: fit(name).score(own), worn, "life", own)
    parts = []
    for name, n in draws_of(choice, N_DRAWS).items():
        theta, effective, method, tail = fit(name).drawn(n)
        rate = accident_draws(kind, accidents, exposure_years, streams[CODES.index(name)])[:n]
        parts.append(
            Posterior(of_family(kind, name), theta, rate, effective, method, tail, families=choice)
        )
    return together(parts, own)


def spawned(rng: np.random.Generator, n: int) -> list[np.random.Generator]:
    """Independent streams of chance, the same whatever is done with the others."""
    return rng.spawn(n)


def of_family(kind: Kind, family: str) -> Kind:
    """The kind with one family, or "averaged"."""
    if family == "lognormal":
        return replace(kind, family="lognormal")
    return replace(kind, family="weibull" if family == "weibull" else "averaged")


class AlikeLives:
    """The posterior of one family for lives taken as all alike, ready to be drawn from.

    Parameters
    ----------
    kind : Kind
        Of one family.
    nodes : Nodes
    rng : Generator
        Source of chance for where to begin, and for the draws.
    belief : callable, optional
        Log density of another prior than the kind's.
    """

    def __init__(
        self, kind: Kind, nodes: Nodes, rng: np.random.Generator, belief: Belief | None = None
    ) -> None:
        self.kind, self.nodes, self.rng, self.belief = kind, nodes, rng, belief
        self.family, self.early_years = FAMILIES[kind.family], kind.early_days / DAYS_PER_YEAR
        starts = prior_rows(self.family, kind.prior, "early" in kind.causes, 300, rng)
        starts = at_quoted_age(kind.prior, starts)
        self.mode = mode_of(self.target, starts)
        self.spread = spread_at(self.target, self.mode, starts)

    def target(self, rows: Floats) -> Floats:
        """Log density of the posterior, up to a constant, at rows `at_quoted_age`."""
        theta = self._parameters(rows)
        rows = from_quoted_age(self.kind.prior, rows)
        likely = log_likelihood(self.family, theta, self.nodes, self.early_years)
        if self.belief is None:
            total = log_prior(self.family, self.kind.prior, rows) + likely
        else:
            total = self.belief(rows) + likely
        # Per z, not per log scale.
        total = total - rows[:, 0]
        return np.where(np.isnan(total), -np.inf, total)

    def _parameters(self, rows: Floats) -> Parameters:
        return Parameters.from_rows(from_quoted_age(self.kind.prior, rows))

    def drawn(self, n: int) -> tuple[Parameters, float, Literal["posterior", "random walk"], float]:
        """Draws of equal weight: with how many proposals behind them, how, and their tail."""
        tried = round(_N_PROPOSALS * n / N_DRAWS)
        for widened in (1.0, 1.5, 2.5):
            rows, log_weight = proposals(
                self.target, self.mode, self.spread * widened**2, tried, self.rng
            )
            effective = effective_draws(log_weight)
            if effective >= _GOOD_SAMPLE * n / N_DRAWS:
                chosen, tail = resampled(log_weight, n, self.rng), pareto_k(log_weight)
                return self._parameters(rows[chosen]), effective, "posterior", tail
        tail = pareto_k(log_weight)
        rows = random_walk(self.target, self.mode, self.spread, n, self.rng)
        return self._parameters(rows), effective, "random walk", tail

    def score(self, rng: np.random.Generator) -> Score:
        """How well the family foretells each life from all the others."""
        rows, log_weight = proposals(self.target, self.mode, self.spread, _SCORED_PROPOSALS, rng)
        nodes, lives = self.nodes, float(self.nodes.count.sum())
        some = np.zeros(nodes.n_lives, dtype=bool)
        some[:: 1 + nodes.n_lives // MOST_SCORED] = True
        units = np.flatnonzero(some)
        scored = nodes if some.all() else lives_of(nodes, some)
        with np.errstate(over="ignore", invalid="ignore"):
            values = per_life(self.family, self._parameters(rows), scored, self.early_years)
        found = leave_one_out(
            values, scored.count, log_weight, lambda unit: self._without(int(units[unit]), rng)
        )
        return replace(found, all_units=lives)

    def _without(self, life: int, rng: np.random.Generator) -> float:
        """Log density of one life from a fit without it."""
        nodes = self.nodes
        count = nodes.count.copy()
        count[life] -= 1
        others = AlikeLives(self.kind, replace(nodes, count=count), rng, self.belief)
        rows, log_weight = proposals(
            others.target, others.mode, others.spread, _SCORED_PROPOSALS, rng
        )
        one = lives_of(nodes, np.arange(nodes.n_lives) == life)
        with np.errstate(over="ignore", invalid="ignore"):
            value = per_life(self.family, self._parameters(rows), one, self.early_years)[:, 0]
        possible = np.isfinite(log_weight + value)
        weight = np.exp(log_weight - log_weight.max())
        top = float(value[possible].max())
        inside = weight[possible] * np.exp(value[possible] - top)
        return top + float(np.log(inside.sum() / weight.sum()))


def together(parts: Sequence[Posterior], rng: np.random.Generator) -> Posterior:
    """Draws of several families side by side, in one order of chance.

    Parameters
    ----------
    parts : sequence of Posterior
        Each of one family; a single one is handed back as it is.
    """
    if len(parts) == 1:
        return parts[0]
    order = rng.permutation(sum(len(part) for part in parts))
    theta = [part.parameters for part in parts]
    shared = [
        shared_terms(part.kind.family, one.log_shape, one.log_scale)
        for part, one in zip(parts, theta, strict=True)
    ]
    codes = [np.full(len(part), CODES.index(part.kind.family)) for part in parts]
    factors = [part.factors for part in parts if part.factors is not None]
    first = parts[0]
    joined = first.factors
    if joined is not None:
        joined = replace(
            joined,
            effects=tuple(
                np.concatenate(of_field)
                for of_field in zip(*(one.effects for one in factors), strict=True)
            ),
            spreads=np.concatenate([one.spreads for one in factors]),
            centres=np.concatenate([one.centres for one in factors]),
        )
    walked = any(part.method == "random walk" for part in parts)
    return Posterior(
        kind=of_family(first.kind, AVERAGED),
        parameters=Parameters(
            np.concatenate([shape for shape, _ in shared]),
            np.concatenate([scale for _, scale in shared]),
            np.concatenate([one.early for one in theta]),
            np.concatenate(codes),
        ),
        accidents=np.concatenate([part.accidents for part in parts]),
        effective=sum(part.effective for part in parts),
        method="random walk" if walked else first.method,
        tail=max(part.tail for part in parts),
        factors=joined,
        families=first.families,
    ).of_draws(order)


def prior_of(kind: Kind, rng: np.random.Generator) -> Posterior:
    """What the prior alone says of a kind, in the shape of a posterior."""
    names = CODES if kind.family == AVERAGED else (kind.family,)
    parts = []
    for name in names:
        rows = prior_rows(
            FAMILIES[name], kind.prior, "early" in kind.causes, N_DRAWS // len(names), rng
        )
        rate = accident_draws(kind, 0, 0.0, rng)[: len(rows)]
        theta = Parameters.from_rows(rows)
        parts.append(Posterior(of_family(kind, name), theta, rate, float(len(rows)), "prior"))
    return together(parts, rng)


def point(kind: Kind, log_shape: float, log_scale: float) -> Posterior:
    """A single point as a posterior: what follows if the parameters were known.

    Where the kind's family is not settled, a point of a Weibull curve.
    """
    if kind.family == AVERAGED:
        kind = of_family(kind, "weibull")
    theta = Parameters(np.array([log_shape]), np.array([log_scale]), np.zeros(1))
    return Posterior(kind, theta, np.zeros(1), 1.0, "point")


def worn_failures(nodes: Nodes, early_days: int) -> float:
    """How many failures surely came later than an early failure can."""
    late = nodes.lower_years * DAYS_PER_YEAR > early_days
    failed = np.isin(nodes.outcome, (EXACT, INTERVAL))
    sure = np.logical_and.reduceat(late, nodes.first) if nodes.n_lives else np.empty(0, dtype=bool)
    return float(nodes.count[failed & sure].sum())
