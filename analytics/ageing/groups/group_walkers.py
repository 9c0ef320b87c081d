"""Walkers on the posterior of a kind with groups: the fallback where no simple proposal fits.

They move by Metropolis steps, each along the line between two others (ter Braak, A
Markov chain Monte Carlo version of the genetic algorithm differential evolution,
2006; from memory).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.ageing.groups.group_draws import Weighed
from analytics.ageing.groups.group_effects import log_target
from analytics.ageing.groups.grouped_lives import SPREAD, GroupedLives
from analytics.ageing.groups.shaft_lines import Lines

Floats = npt.NDArray[np.float64]

_STEPS = 80
"""From the middle of them on the walkers stand for the posterior."""


def walked_on(
    lives: GroupedLives, start: Weighed, lines: Lines | None, rng: np.random.Generator
) -> Weighed:
    """Rows of equal weight that walkers come by, side by side, half of them moving at a time.

    Parameters
    ----------
    start : Weighed
        One row a walker.
    lines : Lines or None
        Where the effects of lines lie, near those rows.
    """
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

    # Who begins where nothing is possible goes anywhere else.
    value = np.maximum(log_density(at), -1e300)
    halves = np.arange(walkers) % 2
    passed = []
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
        if step >= _STEPS // 2 and (step + 1) % (_STEPS // 8) == 0:
            passed.append(at.copy())
    at = np.concatenate(passed)
    return Weighed(
        at[:, :columns], np.exp(at[:, columns:]), np.zeros(len(at)), np.zeros((len(at), columns))
    )
