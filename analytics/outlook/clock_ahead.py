"""Ages on a kind's clock turned into days to come, for every part in every future.

A clock of shaft hours runs on as each boat's usual hours say, faster or slower by
what the future at hand has drawn for her. Parts and futures are named by a place in
the grid of all futures times all parts.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.hours_in_doubt import HoursInDoubt
from analytics.lives import Lives
from analytics.records.seasons import SeasonRule
from analytics.usage import DAYS_PER_YEAR, active_years, days_of_use

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


class ClockAhead:
    """The clock of one kind from the last day watched on.

    Parameters
    ----------
    rows : DataFrame
        Parts in service, shape (n_parts,).
    now : float
        Last day watched, days since 1970-01-01.
    doubt : HoursInDoubt or None
        Factors on the hours run and to come, shape (n_futures, n_parts); None for a
        clock of years.
    """

    def __init__(
        self,
        lives: Lives,
        fitted: Ageing,
        rows: pd.DataFrame,
        now: float,
        doubt: HoursInDoubt | None,
    ) -> None:
        self.by_hours = doubt is not None
        self.usage, self.now = lives.usage, now
        self.rule: SeasonRule = lives.usage.rule
        line = lives.usage.line_of(rows["boat"], rows["position"])
        self.n_parts, self.line, self.afloat = len(rows), line, lives.usage.afloat[line]
        usual = np.maximum(lives.usage.rate[line], 1e-6)
        self.rate = usual[None, :] if doubt is None else usual * doubt.coming
        self.run = np.ones((1, len(rows))) if doubt is None else doubt.run
        self.hours_now = lives.usage.hours_at(line, np.full(len(line), now))
        self.active_now = self._active(np.full(len(line), now), np.arange(len(line)))

    def age(self, fitted_on: Floats, day: float) -> Floats:
        """Age on the clock, on one day to come, shape of `fitted_on`."""
        if not self.by_hours:
            return (day - fitted_on) / DAYS_PER_YEAR
        place = np.arange(fitted_on.size)
        then = self._hours(np.full(fitted_on.size, day), place)
        return (then - self._hours(fitted_on.ravel(), place)).reshape(fitted_on.shape)

    def run_so_far(self, age: Floats) -> Floats:
        """Ages up to now as they may truly be, shape (n_futures, n_parts)."""
        return age * self.run

    def first_day_at(self, fitted_on: Floats, age: Floats) -> Floats:
        """Day on which parts now in service reach an age, shape (n_futures, n_parts)."""
        if not self.by_hours:
            return fitted_on + DAYS_PER_YEAR * age
        place = np.arange(fitted_on.size)
        so_far = self.hours_now - self._hours(fitted_on.ravel(), place).reshape(fitted_on.shape)
        missing = age - self.run_so_far(so_far)
        return self._day_in(missing.ravel(), place).reshape(age.shape)

    def day_at(self, fitted_on: Floats, age: Floats, place: Ints) -> Floats:
        """Day on which renewed parts reach an age, one value per place."""
        if not self.by_hours:
            return fitted_on + DAYS_PER_YEAR * age
        missing = self._hours(fitted_on, place) + age - self.hours_now[place % self.n_parts]
        return self._day_in(missing, place)

    def day_after(self, fitted_on: Floats, years: Floats, place: Ints) -> Floats:
        """Day on which so many years (of the calendar, or of use) are over, one per place."""
        if not self.by_hours:
            return fitted_on + DAYS_PER_YEAR * years
        part = place % self.n_parts
        soon = np.isfinite(years)
        day = np.full(years.shape, np.inf)
        day[soon] = self._day_of_use(self._active(fitted_on, part)[soon] + years[soon], part[soon])
        return day

    def _day_in(self, missing: Floats, place: Ints) -> Floats:
        """Day on which so many hours more have been run since now."""
        part = place % self.n_parts
        active = self.active_now[part] + missing / self.rate.ravel()[place]
        # Beyond the grid of seasons nothing needs a day of its own.
        return self._day_of_use(np.minimum(active, self.active_now[part] + 200.0), part)

    def _day_of_use(self, active: Floats, part: Ints) -> Floats:
        return np.where(
            self.afloat[part],
            days_of_use(active, True, self.rule),
            days_of_use(active, False, self.rule),
        )

    def _hours(self, day: Floats, place: Ints) -> Floats:
        part = place % self.n_parts
        ahead = self.hours_now[part] + self.rate.ravel()[place] * (
            self._active(day, part) - self.active_now[part]
        )
        past = day < self.now
        if past.any():
            ahead[past] = self.usage.hours_at(self.line[part[past]], day[past])
        return ahead

    def _active(self, day: Floats, part: Ints) -> Floats:
        return np.where(
            self.afloat[part],
            active_years(day, True, self.rule),
            active_years(day, False, self.rule),
        )
