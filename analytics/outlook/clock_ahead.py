"""The calendar of the coming seasons, and a kind's clock along it.

A clock of shaft hours runs only while its boat is in use: days to come are therefore told
in *days of use*, which are days of the calendar for a boat that is afloat all year round and
for a clock of years. On that scale every clock runs at an even pace.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from analytics.lives import Lives
from analytics.outlook.failure_ages import NEVER
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, active_years, day_number

Floats = npt.NDArray[np.float64]


class CalendarAhead:
    """Days from the last one watched to the end of the last season.

    Attributes
    ----------
    now, end : float
        The last day watched, and the morning after the last season.
    lifts : ndarray, shape (n_lifts,)
        Lay-up lifts after the last day watched.
    """

    def __init__(self, lives: Lives, seasons: Sequence[Season]) -> None:
        self.now = reached = day_number(lives.as_of)
        lifts = []
        for season in seasons:
            lift_on = season.lift_after(lives.as_of)
            # A season that follows the last without a gap has its lift on the day between them.
            if lift_on is not None and day_number(lift_on) >= reached:
                lifts.append(day_number(lift_on))
            reached = max(reached, day_number(season.end) + 1.0)
        self.end, self.lifts = reached, np.array(lifts)
        self._lifts_or_never = np.append(self.lifts, NEVER)
        days = np.arange(np.floor(self.now), self.end + 3.0)
        used = DAYS_PER_YEAR * active_years(days, False, lives.usage.rule)
        # Within a season, and out of it, days of use go by evenly.
        bends = 1 + np.flatnonzero(np.abs(np.diff(used, 2)) > 1e-6)
        knots = np.concatenate([[0], bends, [len(days) - 1]])
        self._days, self._used = days[knots], used[knots]

    def lift(self, number: npt.NDArray[np.intp]) -> Floats:
        """Day of the lift of a number, never where there is none any more."""
        return self._lifts_or_never[number]

    def use_of(self, day: Floats, all_year: bool) -> Floats:
        """Days of use up to a day not before `now`."""
        return day if all_year else np.interp(day, self._days, self._used)

    def day_of(self, use: Floats, all_year: bool) -> Floats:
        """The day on which so many days of use are reached: never where after the end."""
        return use if all_year else np.interp(use, self._used, self._days, right=NEVER)


class ClockAhead:
    """The clock of parts of one kind that are all in use all year round, or all laid up.

    Parameters
    ----------
    pace : ndarray, shape (n_parts, n_draws) or (1, 1)
        Units of the clock in a day of use.
    all_year : bool
        Whether every day is one of use.
    """

    def __init__(self, calendar: CalendarAhead, pace: Floats, all_year: bool) -> None:
        self.calendar, self.pace, self.all_year = calendar, pace, all_year
        self.use_now = float(self.use_of(np.array([calendar.now]))[0])
        self.lift_uses = self.use_of(calendar.lifts)

    def use_of(self, day: Floats) -> Floats:
        """Days of use up to a day."""
        return self.calendar.use_of(day, self.all_year)

    def day_of(self, use: Floats) -> Floats:
        """Day on which so many days of use are reached."""
        return self.calendar.day_of(use, self.all_year)
