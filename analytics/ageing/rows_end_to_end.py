"""Rows of numbers of different lengths, each rising, laid end to end and searched together.

What `numpy.searchsorted` and `numpy.interp` find row by row is found for all rows at once,
and is the same to the last digit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class RowsEndToEnd:
    """Rising rows.

    Attributes
    ----------
    values : ndarray, shape (n_values,)
    first, count : ndarray of int, shape (n_rows,)
        Where each row begins, and how many values it has; none is empty.
    """

    values: Floats
    first: Ints
    count: Ints

    @classmethod
    def of(cls, rows: Sequence[Floats]) -> RowsEndToEnd:
        """From the rows."""
        count = np.array([len(row) for row in rows], dtype=np.int64)
        return cls(joined(rows), np.cumsum(count) - count, count)

    @property
    def row(self) -> Ints:
        """The row of each value."""
        return np.repeat(np.arange(len(self.count)), self.count)

    def searched(self, row: Ints, x: Floats, side: Literal["left", "right"] = "left") -> Ints:
        """Where numbers would stand in their rows, as `numpy.searchsorted` counts, shape (n,).

        Parameters
        ----------
        row : ndarray of int, shape (n,)
        x : ndarray, shape (n,)
        """
        low, high = self.first[row], self.first[row] + self.count[row]
        for _ in range(int(self.count.max(initial=0)).bit_length()):
            middle = (low + high) >> 1
            value = self.values[np.minimum(middle, len(self.values) - 1)]
            past = (value < x if side == "left" else value <= x) & (low < high)
            low, high = np.where(past, middle + 1, low), np.where(past, high, middle)
        return np.asarray(low - self.first[row])

    def interpolated(self, row: Ints, x: Floats, of: Floats) -> Floats:
        """Values of a function along straight lines between its knots, as `numpy.interp`.

        Parameters
        ----------
        row : ndarray of int, shape (n,)
        x : ndarray, shape (n,)
        of : ndarray, shape (n_values,)
            The function at the values of the rows, which are its knots.
        """
        first, last = self.first[row], self.first[row] + self.count[row] - 1
        left = np.minimum(first + np.maximum(self.searched(row, x, "right") - 1, 0), last)
        right = np.minimum(left + 1, last)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = (of[right] - of[left]) / (self.values[right] - self.values[left])
            found = slope * (x - self.values[left]) + of[left]
        ends = (x <= self.values[left]) | (left == last)
        return np.asarray(np.where(ends, of[left], found), dtype=np.float64)

    def summed(self, terms: Floats) -> Floats:
        """Sums of the terms of each row before each of its values, shape (n_values,).

        Parameters
        ----------
        terms : ndarray, shape (n_values,)
            The last of each row is in no sum.
        """
        found = np.zeros(len(terms))
        longest = np.argsort(-self.count, kind="stable")
        first, left = self.first[longest], self.count[longest]
        # One after the other, so that what other rows hold does not change a digit.
        for step in range(int(self.count.max(initial=1)) - 1):
            at = first[: np.searchsorted(-left, -(step + 1), side="left")] + step
            found[at + 1] = found[at] + terms[at]
        return found


def joined(rows: Sequence[npt.NDArray[Any]]) -> npt.NDArray[Any]:
    """The rows, one after the other."""
    return np.concatenate(rows) if len(rows) else np.empty(0)
