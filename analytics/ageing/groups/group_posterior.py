"""The posterior of a kind whose lives belong to groups, as draws of equal weight.

Rows are proposed and weighed by `group_draws`. Where too few of them count, or
the largest weights have too heavy a tail, the proposal is moved and widened;
where that does not help, walkers go on from the weighed rows by Metropolis
steps, each along the line between two others (ter Braak, A Markov chain Monte
Carlo version of the genetic algorithm differential evolution, 2006; from memory).
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.groups.fields import NO_LEVEL, Groups
from analytics.ageing.groups.group_draws import Weighed, mode_of, recentred, weighed_rows
from analytics.ageing.groups.group_effects import log_target
from analytics.ageing.groups.grouped_lives import SPREAD, GroupedLives
from analytics.ageing.groups.life_factors import LifeFactors
from analytics.ageing.groups.shaft_lines import Lines, effects_of_lines
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import (
    Posterior,
    effective_draws,
    resampled,
)
from analytics.ageing.prior import (
    N_DRAWS,
    accident_draws,
    log_prior,
)
from analytics.ageing.tails import pareto_k
from analytics.records.kinds import Kind
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]

_SCOUTS = 500
"""Proposals that show where the posterior lies."""

_TRIES = ((1500, 1.0), (3000, 1.1), (4000, 1.2))
"""How many proposals, and how much wider than the parabola."""

_MANY_LIVES, _FEWER = 3000, 1000
"""With so many lives the posterior is so close to the parabola that fewer proposals do at first."""

_GOOD_SAMPLE = 250.0
_HEAVY_TAIL = 0.7
_STEPS = 80


def posterior_with_groups(
    kind: Kind,
    nodes: Nodes,
    groups: Groups,
    accidents: int,
    exposure_years: float,
    rng: np.random.Generator,
) -> Posterior:
    """Posterior of a kind given its lives and the groups they belong to.

    Parameters
    ----------
    kind : Kind
        Clock, family, causes and prior.
    nodes : Nodes
        Ages of the lives, one each, in the order of the codes of `groups`.
    groups : Groups
        Not empty.
    accidents, exposure_years
        As in `posterior.posterior_of`.

    Returns
    -------
    Posterior
        Its parameters are those of the typical part, of mean effect; `factors`
        holds what its groups add to a part's log life.
    """
    lives = grouped_lives(kind, nodes, groups)
    drawn, lines, effective, tail, method = _drawn(lives, rng)
    rows, spreads = drawn.rows, drawn.spreads
    fields = [field for field, _ in lives.by_field]
    effects = [rows[:, columns] for _, columns in lives.by_field]
    if groups.places is not None and lines is not None:
        fields.append(groups.places)
        effects.append(effects_of_lines(lives, rows, lines, rng))
        spreads = np.column_stack([spreads, lives.spread_of_places(rows)[:, 0]])
    shares = [
        np.bincount(field.codes[field.codes != NO_LEVEL], minlength=len(field.levels))
        / len(field.codes)
        for field in fields
    ]
    centres = np.column_stack([of @ share for of, share in zip(effects, shares, strict=True)])
    theta = Parameters.from_rows(rows[:, : lives.n_curve])
    return Posterior(
        kind=kind,
        parameters=Parameters(theta.log_shape, theta.log_scale + centres.sum(axis=1), theta.early),
        accidents=accident_draws(kind, accidents, exposure_years, rng),
        effective=effective,
        method=method,
        tail=tail,
        factors=LifeFactors(tuple(fields), tuple(effects), spreads, centres, groups.carried),
    )


def grouped_lives(kind: Kind, nodes: Nodes, groups: Groups) -> GroupedLives:
    """The lives of a kind as the sampler takes them."""
    family = FAMILIES[kind.family]
    return GroupedLives(
        family=family,
        nodes=nodes,
        early_years=kind.early_days / DAYS_PER_YEAR,
        early="early" in kind.causes,
        groups=groups,
        log_prior=lambda rows: log_prior(family, kind.prior, rows),
    )


def _drawn(
    lives: GroupedLives, rng: np.random.Generator
) -> tuple[Weighed, Lines | None, float, float, Literal["posterior", "random walk"]]:
    """Rows of equal weight, with where the lines lie, and how well it went."""
    mode = mode_of(lives)
    mode = recentred(lives, mode, weighed_rows(lives, mode, _SCOUTS, rng))
    for number, (n, widened) in enumerate(_TRIES):
        few = number == 0 and lives.nodes.n_lives > _MANY_LIVES
        found = weighed_rows(lives, mode, _FEWER if few else n, rng, widened)
        effective, tail = effective_draws(found.log_weight), pareto_k(found.log_weight)
        good = effective >= _GOOD_SAMPLE and tail <= _HEAVY_TAIL
        if good or number == len(_TRIES) - 1:
            break
        mode = recentred(lives, mode, found)
    chosen = resampled(found.log_weight, rng)
    drawn = Weighed(found.rows[chosen], found.spreads[chosen], np.zeros(N_DRAWS))
    if good:
        return drawn, mode.lines, effective, tail, "posterior"
    return _walked(lives, drawn, mode.lines, rng), mode.lines, effective, tail, "random walk"


def _walked(
    lives: GroupedLives, start: Weighed, lines: Lines | None, rng: np.random.Generator
) -> Weighed:
    """Walkers side by side, half of them moving at a time along differences of the others."""
    columns = lives.n_columns
    at = np.column_stack([start.rows, np.log(start.spreads)])
    walkers, dimensions = at.shape
    reach = 2.38 / np.sqrt(2 * dimensions)

    def log_density(of: Floats) -> Floats:
        rows, log_spreads = of[:, :columns], of[:, columns:]
        spreads = np.exp(np.clip(log_spreads, -15.0, 2.0))
        value = log_target(lives, rows, spreads, lines)
        return np.asarray(
            value + (log_spreads - 0.5 * (np.exp(log_spreads) / SPREAD) ** 2).sum(axis=1)
        )

    value = log_density(at)
    halves = np.arange(walkers) % 2
    for step in range(_STEPS):
        moving = np.flatnonzero(halves == step % 2)
        others = np.flatnonzero(halves != step % 2)
        one, two = (rng.choice(others, len(moving)) for _ in range(2))
        # Now and then a full difference, which leaps from one mode to another.
        length = np.where(rng.random(len(moving)) < 0.1, 1.0, reach)[:, None]
        noise = 1e-3 * rng.standard_normal((len(moving), dimensions))
        tried = at[moving] + length * (at[one] - at[two]) + noise
        found = log_density(tried)
        taken = np.log(rng.random(len(moving))) < found - value[moving]
        at[moving[taken]], value[moving[taken]] = tried[taken], found[taken]
    return Weighed(at[:, :columns], np.exp(at[:, columns:]), np.zeros(walkers))
