"""At which lay-up lift a part that is still sound is renewed."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from analytics.outlook.clock_ahead import ClockAhead
from analytics.outlook.failure_ages import NEVER, at
from analytics.outlook.place_chance import READING, PlaceChance
from analytics.outlook.policy import PartLimits
from analytics.usage import limit_reached_on

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]


class LimitsAhead:
    """Limits of the parts of one kind along the calendar.

    Parameters
    ----------
    limits : PartLimits
    leaves : ndarray, shape (n_parts,)
        Day on which each boat leaves, never for most: no lift from then on is hers.
    """

    def __init__(
        self, limits: PartLimits, clock: ClockAhead, leaves: Floats, by_hours: bool
    ) -> None:
        self.limits, self.clock, self.leaves = limits, clock, leaves
        # On a clock of years both limits count the same days.
        self.years = limits.years if by_hours else np.minimum(limits.years, limits.age)
        self.by_age = by_hours and bool(np.isfinite(limits.age).any())
        self.by_years = bool(np.isfinite(self.years).any())
        self.by_reading = limits.by_reading
        self.renewed = self
        if limits.renewed is not None:
            self.renewed = LimitsAhead(limits.renewed, clock, leaves, by_hours)

    def first_due(self, fitted_on: Floats, part: Ints, draw: Ints | None = None) -> Floats:
        """The first lift at which renewed parts are due, never where there is none.

        Parameters
        ----------
        fitted_on : ndarray, shape (n,), or a table of (n_rows, n_draws) or (n_rows, 1)
        part : ndarray of int, shape (n,) or (n_rows,)
        draw : ndarray of int, shape (n,), or None
            None for a table.
        """
        if self.renewed is not self:
            return self.renewed.first_due(fitted_on, part, draw)
        if not (self.by_age or self.by_years):
            return np.full(fitted_on.shape, NEVER)
        use = self.clock.use_of(fitted_on) if self.by_age else fitted_on
        lifts = self.clock.calendar.lifts
        return self._due(
            fitted_on, use, 0.0, part, draw, np.searchsorted(lifts, fitted_on, "right")
        )

    def first_due_of_old(self, fitted_on: Floats, expected: Floats, part: Ints) -> Floats:
        """The same, as a table, for parts in service that had an age by now."""
        return self._due(fitted_on, np.full(fitted_on.shape, self.clock.use_now), expected, part)

    def _due(
        self,
        fitted_on: Floats,
        use: Floats,
        age: Floats | float,
        part: Ints,
        draw: Ints | None = None,
        earliest: Ints | int = 0,
    ) -> Floats:
        """The first lift with a limit reached, of parts of an age at so many days of use."""
        calendar, table = self.clock.calendar, draw is None

        def of_part(values: Floats) -> Floats:
            return values[part, None] if table else values[part]

        number: Ints = np.full(fitted_on.shape, len(calendar.lifts))
        if self.by_years:
            reached = limit_reached_on(fitted_on, of_part(self.years))
            number = np.searchsorted(calendar.lifts, reached)
        if self.by_age:
            pace = self.clock.pace[part] if draw is None else at(self.clock.pace, part, draw)
            needed = use + (of_part(self.limits.age) - age) / pace
            number = np.minimum(number, np.searchsorted(self.clock.lift_uses, needed))
        lift = calendar.lift(np.maximum(number, earliest))
        return np.where(lift < of_part(self.leaves), lift, NEVER)

    def first_read(
        self,
        wear: tuple[Floats, Floats, Floats],
        fitted_on: Floats,
        until: Floats,
        cell: tuple[Ints, Ints, Ints],
        life: int,
        chance: PlaceChance,
    ) -> Floats:
        """The first lift at which a reading shows that a part is worn so far, shape (n,).

        Parameters
        ----------
        wear : tuple of ndarray, shape (n,)
            Age at which each will be worn out, and its age at so many days of use.
        until : ndarray, shape (n,)
            Day from which nothing is read any more.
        life : int
            Counted from 0, that of the parts in service.
        cell : tuple of ndarray of int
            Part, future and draw.
        """
        (worn_at, age, use), (part, future, draw) = wear, cell
        limits = self.limits if life == 0 else self.renewed.limits
        found, worn = np.full(len(part), NEVER), limits.worn[part]
        last = np.minimum(until, self.leaves[part])
        for day, lift_use in zip(self.clock.calendar.lifts, self.clock.lift_uses, strict=True):
            there = (day > fitted_on) & (day < last) & np.isinf(found) & np.isfinite(worn)
            some = np.flatnonzero(there)
            pace = at(self.clock.pace, part[some], draw[some])
            share = (age[some] + pace * (lift_use - use[some])) / worn_at[some]
            if limits.reading_error:
                drawn = chance.some(part[some], future[some], life, READING, int(day))
                share += limits.reading_error * ndtri(np.maximum(drawn, 2.0**-54))
            found[some[share >= worn[some]]] = day
        return found
