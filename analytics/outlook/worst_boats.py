"""The chance that a boat is truly among the worst ten, and not only by its best estimate.

In each draw of the curves, the days of fitting and the hours, boats are put in the order of
their risk in that draw; the share of draws in which a boat is among the first N is the chance
that she belongs there, as far as the records tell. Ranks are thus drawn from the posterior
like any other figure (Laird and Louis 1989, Journal of Educational Statistics 14; from memory).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

WORST = 10
"""Boats that a person can look into before a season (planning default)."""

_CELLS_AT_ONCE = 2_000_000


def how_many_worst(boats: int) -> int:
    """How many boats "the worst" are: ten, or half of a small fleet, and at least one."""
    return max(1, min(WORST, boats // 2))


def chance_among_worst(drawn: Floats, n: int) -> Floats:
    """Chance of each boat to be among the n that have most, in that draw.

    Boats that tie for the last places share them, so that the chances of all boats add up
    to n.

    Parameters
    ----------
    drawn : ndarray, shape (n_draws, n_boats)
        Risk, or risk times consequence, of each boat in each draw.
    n : int
        How many are meant.

    Returns
    -------
    ndarray, shape (n_boats,)
    """
    draws, boats = drawn.shape
    if n >= boats:
        return np.ones(boats)
    total = np.zeros(boats)
    step = max(1, _CELLS_AT_ONCE // boats)
    for at in range(0, draws, step):
        some = drawn[at : at + step]
        least = np.partition(some, boats - n, axis=1)[:, boats - n, None]
        above, level = some > least, some == least
        open_places = n - above.sum(axis=1, keepdims=True)
        total += (above + level * (open_places / level.sum(axis=1, keepdims=True))).sum(axis=0)
    return np.asarray(total / draws)
