"""Draws of parts brought together: means, boats, and which part lies in which group."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]

_COLUMNS_AT_ONCE = 512


def mean_of_draws(draws: Floats) -> Floats:
    """Mean over the draws of each part, to the last digit the same beside whatever other parts.

    Parameters
    ----------
    draws : ndarray, shape (n_draws, n_parts)

    Returns
    -------
    ndarray, shape (n_parts,)
    """
    # Numbers are added up in another order along another axis, or where there is one part only.
    steps = range(0, draws.shape[1], _COLUMNS_AT_ONCE)
    blocks = [np.ascontiguousarray(draws[:, at : at + _COLUMNS_AT_ONCE].T) for at in steps]
    return np.concatenate([block.mean(axis=1) for block in blocks] or [np.empty(0)])


class Grouped:
    """Parts sorted by the group that they belong to, such as their boat.

    Attributes
    ----------
    names : ndarray of str, shape (n_groups,)
        In alphabetical order.

    Parameters
    ----------
    names : Series
        The group of each part.
    """

    def __init__(self, names: pd.Series) -> None:
        numbers, unique = pd.factorize(names, sort=True)
        self.names = np.asarray(unique, dtype=object)
        self.order = np.argsort(numbers, kind="stable")
        self.first = np.flatnonzero(np.diff(numbers[self.order], prepend=-1))

    def any_of(self, chance: Floats) -> Floats:
        """Chance that at least one part of each group fails: one minus that all of them last.

        Parameters
        ----------
        chance : ndarray, shape (n_draws, n_parts)

        Returns
        -------
        ndarray, shape (n_draws, n_groups)
        """
        lasting = 1.0 - chance[:, self.order]
        return np.asarray(1.0 - np.multiply.reduceat(lasting, self.first, axis=1))

    def sum_of(self, amounts: Floats) -> Floats:
        """Sum over the parts of each group, shapes as in `any_of`."""
        return np.asarray(np.add.reduceat(amounts[:, self.order], self.first, axis=1))
