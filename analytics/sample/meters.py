"""A meter that runs in the seasons and stands still between them."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable


class Meter:
    """A total that grows evenly over each of a line of spans.

    Parameters
    ----------
    spans
        (first day, day after the last, amount), in order and not overlapping; days are
        proleptic ordinals (`date.toordinal`).
    zero_on
        The day whose start the total is counted from.
    """

    def __init__(self, spans: Iterable[tuple[int, int, float]], zero_on: int) -> None:
        self._days: list[int] = []
        self._totals: list[float] = []
        total = 0.0
        for first, after, amount in spans:
            self._days += (first, after)
            self._totals += (total, total + amount)
            total += amount
        start = self.at(zero_on)
        self._totals = [total - start for total in self._totals]

    def at(self, day: int) -> float:
        """The total at the start of a day."""
        after = bisect_right(self._days, day)
        if after == 0:
            return self._totals[0]
        if after == len(self._days):
            return self._totals[-1]
        day_0, day_1 = self._days[after - 1], self._days[after]
        total_0, total_1 = self._totals[after - 1], self._totals[after]
        return total_0 + (total_1 - total_0) * (day - day_0) / (day_1 - day_0)

    def day_reaching(self, total: float) -> int | None:
        """The first day that starts with at least this total; None if the spans end before."""
        after = bisect_left(self._totals, total)
        if after == len(self._totals):
            return None
        if after == 0:
            return self._days[0]
        day_0, day_1 = self._days[after - 1], self._days[after]
        total_0, total_1 = self._totals[after - 1], self._totals[after]
        return day_0 + math.ceil((total - total_0) / (total_1 - total_0) * (day_1 - day_0))
