"""The fitted curve as the records would show it: of the same mix of lives, watched as they were.

The records' own curve is one of a mix: at each age it is that of the parts
watched then, whatever their base, lot or place. The fitted curve of a kind with
life factors is that of its typical part. To hold the two against each other, the
hazards of the lives watched at each age are averaged and added up; that is what
the records' own curve estimates where the model is right.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import CENSORED, EXACT, Nodes
from analytics.ageing.expected_failures import shifts, some_draws
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.nonparametric.bands import LEVEL
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]

FEWEST = 0.5
"""Lives watched, on average over a step of age, below which the typical part stands in."""


def as_watched(
    posterior: Posterior,
    nodes: Nodes,
    table: pd.DataFrame,
    ages: Floats,
    *,
    units_per_year: float = 1.0,
    level: float = LEVEL,
) -> pd.DataFrame:
    """Fitted survival of the mix of lives that was watched at each age.

    Parameters
    ----------
    posterior : Posterior
    nodes : Nodes
        Ages of the lives, one row each.
    table : DataFrame
        The lives, for the groups of each.
    ages : ndarray, shape (m,)
        Rising, from the age on which survival is conditional; two at least.
    units_per_year : float
        Clock units in a calendar year, for ages at which nobody was watched.

    Returns
    -------
    DataFrame
        `age`, `survival` (mean over the draws), `survival_low`, `survival_high`.
    """
    steps = watched_steps(posterior, nodes, table, ages, units_per_year)
    survival = np.exp(-np.cumsum(steps, axis=1))
    tail = (1 - level) / 2
    low, high = np.quantile(survival, (tail, 1 - tail), axis=0)
    return pd.DataFrame(
        {
            "age": ages,
            "survival": np.append(1.0, survival.mean(axis=0)),
            "survival_low": np.append(1.0, low),
            "survival_high": np.append(1.0, high),
        }
    )


def watched_steps(
    posterior: Posterior,
    nodes: Nodes,
    table: pd.DataFrame,
    ages: Floats,
    units_per_year: float = 1.0,
) -> Floats:
    """Cumulative hazard between ages, averaged over the lives watched there; see `as_watched`.

    Returns
    -------
    ndarray, shape (n, m - 1)
        A row for each of the draws that `expected_failures.some_draws` chooses.
    """
    chosen = some_draws(posterior, len(nodes.life))
    theta, years = posterior.parameters.part(chosen), ages / units_per_year

    def hazard(moved: Floats | None) -> Floats:
        early_years = posterior.early_years
        return np.diff(
            cumulative_hazard(posterior.family, theta, ages, years, early_years, moved), axis=1
        )

    typical = hazard(None)
    shift = shifts(posterior, table, chosen)
    if shift is None or not nodes.n_lives:
        return np.asarray(typical)
    # Lives of the same groups have the same hazard, and count together.
    alike, group = np.unique(shift, axis=1, return_inverse=True)
    number = time_watched(nodes, ages, group.ravel(), alike.shape[1]) / np.diff(ages)
    total = number.sum(axis=0)
    steps = np.zeros(typical.shape)
    for at in range(alike.shape[1]):
        moved = np.broadcast_to(alike[:, at, None], (len(chosen), len(ages)))
        steps += number[at] * hazard(moved)
    return np.where(total >= FEWEST, steps / np.maximum(total, FEWEST), typical)


def time_watched(nodes: Nodes, ages: Floats, group: npt.NDArray[np.int64], n_groups: int) -> Floats:
    """Time lived under watch between ages by the lives of each group, shape (n_groups, m - 1).

    A life that failed in a window counts in it ever less, evenly from one end to the other.
    """
    exact = nodes.outcome[nodes.life] == EXACT
    censored = nodes.outcome[nodes.life] == CENSORED
    sound = np.where(exact, nodes.upper, nodes.lower)
    failed_by = np.where(censored, sound, nodes.upper)
    width = failed_by - sound
    weight = nodes.weight * nodes.count[nodes.life]
    so_far = np.empty((n_groups, len(ages)))
    for at, age in enumerate(ages):
        inside = np.clip(age - sound, 0.0, width)
        fading = inside - inside**2 / np.where(width > 0, 2 * width, 1.0)
        lived = np.minimum(age, sound) + fading - np.minimum(age, nodes.entry)
        so_far[:, at] = np.bincount(group[nodes.life], weight * lived, n_groups)
    return np.diff(so_far, axis=1)
