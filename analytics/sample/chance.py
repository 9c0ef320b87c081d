"""Seeded draws.

Everything is made from uniform numbers by its inverse distribution function: numpy promises
that the bits of PCG64 stay as they are, but not how it makes a Weibull draw of them, and a
committed sample has to stay the same when numpy moves on.
"""

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import TypeVar

import numpy as np

T = TypeVar("T")

_STANDARD_NORMAL = NormalDist()
_HALF_STEP = 2.0**-54


class Chance:
    """A stream of draws of its own; two streams from different seeds are independent."""

    def __init__(self, seeds: np.random.SeedSequence) -> None:
        self._uniform = np.random.Generator(np.random.PCG64(seeds)).random

    def uniform(self) -> float:
        """A number from 0 (included) to 1 (not included)."""
        return self._uniform()

    def happens(self, probability: float) -> bool:
        """True with the given probability."""
        return self._uniform() < probability

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return low + int(self._uniform() * (high - low + 1))

    def pick(self, choices: Sequence[T]) -> T:
        """One of the choices, all equally likely."""
        return choices[self.whole(0, len(choices) - 1)]

    def normal(self, mean: float, sd: float) -> float:
        """A normal draw."""
        return mean + sd * _STANDARD_NORMAL.inv_cdf(self._uniform() + _HALF_STEP)

    def exponential(self, rate: float) -> float:
        """A waiting time, in units of one over the rate; infinite when the rate is zero."""
        waited = -math.log1p(-self._uniform())
        return waited / rate if rate > 0 else math.inf

    def weibull(self, shape: float, scale: float) -> float:
        """A life with survival exp(-(t / scale) ** shape), in units of the scale."""
        return float(scale * (-math.log1p(-self._uniform())) ** (1.0 / shape))

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in random order (Fisher and Yates, from the end)."""
        order = list(items)
        for last in range(len(order) - 1, 0, -1):
            other = self.whole(0, last)
            order[last], order[other] = order[other], order[last]
        return order
