"""How often parts are taken out at each age for any reason but their own failure.

A part fitted on an unknown day is in the records only if it was neither worn
out nor taken out before they began. Parts renewed at eight years are seldom
twelve years old, whatever the boat's age: leaving that out makes undated parts
too old, and the fitted life too long. The rate comes from the lives whose
fitting is known, by occurrence and exposure per year of age (common practice
in demography, no source), drawn a little towards the rate over all ages.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.lives import IN_SERVICE
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]

KNOWN_START_DAYS = 550.0
"""A fitting known to a year and a half is known well enough to count a year of age."""

OLDEST = 60
"""Years of age in the table; older parts keep the last rate."""

PRIOR_YEARS = 5.0
"""Part-years that the rate over all ages is worth in each year of age (planning default)."""

PRIOR_RENEWALS = 0.1
"""Parts fitted per place and year, before the records are counted (planning default)."""

NOT_A_REMOVAL = ("failed", IN_SERVICE, "boat_left")


@dataclass(frozen=True)
class Removals:
    """Yearly rate of being taken out while sound, constant within each year of age.

    Attributes
    ----------
    rate : ndarray, shape (OLDEST,)
        Per year, at age 0 to 1, 1 to 2 and so on.
    renewals : float
        Parts fitted per place and year, for whatever reason.
    """

    rate: Floats
    renewals: float

    def rate_at(self, years: Floats) -> Floats:
        """Rate per year at an age in calendar years."""
        return self.rate[np.clip(years.astype(np.int64), 0, OLDEST - 1)]

    def cumulative(self, years: Floats) -> Floats:
        """Cumulative rate up to an age in calendar years."""
        total = np.concatenate([[0.0], np.cumsum(self.rate)])
        past = np.maximum(years - OLDEST, 0.0) * self.rate[-1]
        return np.asarray(np.interp(years, np.arange(OLDEST + 1.0), total) + past)


def taken_out(table: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """True for lives that ended by a removal that was no failure, accidents included."""
    return np.asarray(~table["outcome"].isin(NOT_A_REMOVAL))


def known_start(table: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """True for lives whose fitting is known to `KNOWN_START_DAYS`."""
    window = day_numbers(table["start_hi"]) - day_numbers(table["start_lo"])
    return np.asarray(window <= KNOWN_START_DAYS)


def removals(table: pd.DataFrame) -> Removals:
    """Rate of removal by age, from the lives of one kind whose fitting is known.

    Parameters
    ----------
    table : DataFrame
        Rows of `lives.table` of one kind.
    """
    lo, hi = day_numbers(table["start_lo"]), day_numbers(table["start_hi"])
    known = known_start(table)
    start = ((lo + hi) / 2)[known]
    began = np.fmax(start, day_numbers(table["seen_from"])[known]) - start
    ended = ((day_numbers(table["end_lo"]) + day_numbers(table["end_hi"])) / 2)[known] - start
    began, ended = began / DAYS_PER_YEAR, ended / DAYS_PER_YEAR
    ages = np.arange(OLDEST, dtype=np.float64)
    watched = np.array(
        [np.maximum(np.minimum(ended, a + 1) - np.maximum(began, a), 0.0).sum() for a in ages]
    )
    at = np.clip(ended[taken_out(table)[known]], 0, OLDEST - 1).astype(np.int64)
    count = np.bincount(at, minlength=OLDEST)
    overall = count.sum() / max(watched.sum(), 1.0)
    failed = (table["outcome"] == "failed").to_numpy()[known].sum()
    renewals = (count.sum() + failed + PRIOR_YEARS * PRIOR_RENEWALS) / (watched.sum() + PRIOR_YEARS)
    # Never quite none: a life of unknown start that ended so must keep some age.
    rate = np.maximum((count + PRIOR_YEARS * overall) / (watched + PRIOR_YEARS), 1e-6)
    return Removals(rate, float(renewals))
