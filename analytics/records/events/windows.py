"""Windows of days as numbers, and as the plain layout writes them."""

from __future__ import annotations

from calendar import monthrange
from datetime import date
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import pandas as pd

Days = npt.NDArray[np.int64]

UNKNOWN = -(10**9)
"""A day that is not known; below every day that is."""

_EPOCH = date(1970, 1, 1).toordinal()


def day_numbers(column: pd.Series) -> Days:
    """Days since 1970-01-01, `UNKNOWN` where there is none."""
    days = column.to_numpy(dtype="datetime64[D]")
    numbers: Days = days.astype(np.int64)
    numbers[np.isnat(days)] = UNKNOWN
    return numbers


def day_number(day: date) -> int:
    """Days since 1970-01-01."""
    return day.toordinal() - _EPOCH


@lru_cache(maxsize=200_000)
def written(lo: int, hi: int) -> str:
    """A window as a day, a month, a year, or a range of two days; blank if unknown."""
    if lo == UNKNOWN:
        return ""
    first, last = date.fromordinal(lo + _EPOCH), date.fromordinal(hi + _EPOCH)
    if lo == hi:
        return first.isoformat()
    if first.day == 1 and first.year == last.year:
        if (first.month, last.month, last.day) == (1, 12, 31):
            return f"{first:%Y}"
        if first.month == last.month and last.day == monthrange(last.year, last.month)[1]:
            return f"{first:%Y-%m}"
    return f"{first.isoformat()}..{last.isoformat()}"


def apart(lo: int, hi: int, other_lo: int, other_hi: int) -> int:
    """Days between two windows, 0 where they touch."""
    return max(lo - other_hi, other_lo - hi, 0)
