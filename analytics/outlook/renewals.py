"""The renewals of some places in every future, one life of their parts after the other.

Most parts of most futures do one of two things: nothing, or to be renewed at the lift that
their limit leads to. Those stay together and are dealt with by tables of the draws. Whatever
may fail before goes on by itself, a *cell* for each place and future.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from analytics.outlook.clock_ahead import ClockAhead
from analytics.outlook.failure_ages import NEVER, FailureAges, at
from analytics.outlook.first_lives import FirstLives
from analytics.outlook.limits_ahead import LimitsAhead
from analytics.outlook.place_chance import (
    EARLY,
    NEXT_ACCIDENT,
    WEAR,
    PlaceChance,
    below,
    exponential,
)
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]
Bits = npt.NDArray[np.uint64]

PLANNED, FAILED, WORN, ACCIDENT = range(4)
"""How a part comes to be renewed: at a limit, on failing, on being found worn at a lift, or
because an accident took it. All but the first are unplanned."""

_CELLS_AT_ONCE = 1 << 19
"""Places times futures dealt with together: arrays of some megabytes, few enough calls."""


@dataclass(frozen=True)
class Renewals:
    """Some renewals, in no order that means anything.

    Attributes
    ----------
    future, part, day : ndarray of int32
    how : ndarray of int8
    """

    future: npt.NDArray[np.int32]
    part: npt.NDArray[np.int32]
    day: npt.NDArray[np.int32]
    how: npt.NDArray[np.int8]


@dataclass(frozen=True)
class Places:
    """Places of one kind whose parts are alike in how they are dealt with.

    Attributes
    ----------
    number : ndarray of int32, shape (n_parts,)
        Of each place in `Futures.parts`.
    old, new : FailureAges
        Of the parts in service, and of those that will follow them.
    leaves : ndarray, shape (n_parts,)
        Day on which the boat leaves, never for most.
    draw : ndarray of int, shape (n_futures,)
        Column of each future in the tables.
    ashore : bool
        Whether a failure shows only at a lift.
    """

    number: npt.NDArray[np.int32]
    clock: ClockAhead
    old: FailureAges
    new: FailureAges
    first: FirstLives
    limits: LimitsAhead
    leaves: Floats
    chance: PlaceChance
    draw: Ints
    ashore: bool

    def renewals(self) -> Iterator[Renewals]:
        """Every renewal."""
        step = max(1, _CELLS_AT_ONCE // len(self.draw))
        for begin in range(0, len(self.number), step):
            yield from _Block(self, slice(begin, min(begin + step, len(self.number)))).renewals()


@dataclass(frozen=True)
class _Cells:
    """Places and futures that go on by themselves, shape (n,) each.

    Attributes
    ----------
    accident_on : ndarray
        Day of the next accident, never where it is after all seasons.
    accidents : ndarray of int
        How many there have been.
    """

    part: Ints
    future: Ints
    fitted_on: Floats
    accident_on: Floats
    accidents: npt.NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.part)

    def with_(self, others: _Cells) -> _Cells:
        if not len(self):
            return others
        joined = (
            np.concatenate([getattr(one, name) for one in (self, others)]) for name in vars(self)
        )
        return _Cells(*joined)


@dataclass(frozen=True)
class _Ends:
    """When the lives of some cells end, and how they wear until then, shape (n,) each."""

    day: Floats
    by_accident: Bools
    worn_at: Floats
    age: Floats
    use: Floats


class _Block:
    """Some of the places, small enough to stay at hand.

    `together` holds the cells that have done nothing but be renewed at limits so far, shape
    (n_parts, n_futures); `fitted_on` is the table of days on which their parts were fitted.
    """

    def __init__(self, places: Places, parts: slice) -> None:
        self.places, self.parts = places, parts
        self.n_futures, self.n_draws = len(places.draw), len(places.old.early)
        ends = np.append(places.first.first, len(places.first.part))
        self.rows = slice(ends[parts.start], ends[parts.stop])
        self.row_part = places.first.part[self.rows]
        self.end = np.minimum(places.leaves, places.clock.calendar.end)
        self.node: Ints | None = None
        if not places.first.dated:
            picked = places.first.picked(parts, places.draw, places.chance)
            self.node = picked - self.rows.start
        self.together = np.ones((parts.stop - parts.start, self.n_futures), dtype=bool)
        self.rates_differ = not np.array_equal(places.old.accidents, places.new.accidents)
        self.accident_on = self._first_accidents()

    def renewals(self) -> Iterator[Renewals]:
        """Life after life, until nothing happens before the end any more."""
        cells, life = self._no_cells(), 0
        fitted_on = self.places.first.fitted_on[self.rows]
        while self.together.any() or len(cells):
            due = self._due_together(fitted_on, life)
            apart = self._may_fail(fitted_on, due, life)
            cells = cells.with_(self._taken_out(apart, fitted_on))
            yield self._renewed_together(due, life)
            if len(cells):
                found, cells = self._ended(cells, due, life)
                yield found
            fitted_on = due
            life += 1

    def _no_cells(self) -> _Cells:
        none, days = np.empty(0, dtype=np.intp), np.empty(0)
        return _Cells(none, none, days, days, np.empty(0, dtype=np.int64))

    def _first_accidents(self) -> Floats | None:
        """Day of the first accident of each place in each future; None where there are none."""
        places, now = self.places, self.places.clock.calendar.now
        # The rate of what is fitted later may be another: nothing that may come is left out.
        rate = np.maximum(places.old.accidents, places.new.accidents)
        if not rate.any():
            return None
        years = (self.end[self.row_part, None] - now) / DAYS_PER_YEAR
        bits = places.chance.every(self.parts, 0, NEXT_ACCIDENT)
        cell = np.flatnonzero(self._beside(np.less, bits, below(-np.expm1(-rate * years))))
        part, future = self._named(cell)
        waited = exponential(places.chance.some(part, future, 0, NEXT_ACCIDENT))
        found = np.full(self.together.shape, NEVER)
        found.ravel()[cell] = now + _days(waited, places.old.accidents[places.draw[future]])
        return found

    def _due_together(self, fitted_on: Floats, life: int) -> Floats:
        """The lift of each row at which its limit is reached, as a table."""
        limits, first = self.places.limits, self.places.first
        if life == 0:
            return limits.first_due_of_old(fitted_on, first.expected[self.rows], self.row_part)
        return limits.first_due(fitted_on, self.row_part)

    def _may_fail(self, fitted_on: Floats, due: Floats, life: int) -> Bools:
        """Which of the cells together may fail before they are due, shape of `together`."""
        places = self.places
        few = np.count_nonzero(self.together) < self.together.size // 8
        if few or places.limits.by_reading:
            return self.together.copy()
        until = np.minimum(due, self.end[self.row_part, None])
        if life == 0:
            table = self._first_hazard(until)
            early = places.first.young
        else:
            table = self._hazard(fitted_on, until)
            early = bool(places.new.early.any())
        share = below(-np.expm1(-table))
        found = self._beside(np.less, places.chance.every(self.parts, life, WEAR), share)
        if early:
            ages = places.old if life == 0 else places.new
            bits = places.chance.every(self.parts, life, EARLY)
            found |= self._beside(np.less, bits, below(ages.early)[None, :])
        if self.accident_on is not None:
            found |= self._beside(np.less_equal, self.accident_on, until)
        found &= self.together
        return found

    def _first_hazard(self, until: Floats) -> Floats:
        whole = np.full((len(self.places.first.part), until.shape[1]), self.places.clock.use_now)
        whole[self.rows] = self.places.clock.use_of(until)
        return self.places.first.hazard_until(whole)[self.rows]

    def _hazard(self, fitted_on: Floats, until: Floats) -> Floats:
        clock = self.places.clock
        pace = clock.pace[self.row_part] if len(clock.pace) > 1 else clock.pace
        there = np.isfinite(fitted_on)
        begin = np.where(there, fitted_on, until)
        age = pace * (clock.use_of(until) - clock.use_of(begin))
        return self.places.new.hazard(np.maximum(age, 0.0), self.row_part)

    def _taken_out(self, apart: Bools, fitted_on: Floats) -> _Cells:
        """The cells that go on by themselves from here."""
        self.together &= ~apart
        cell = np.flatnonzero(apart)
        part, future = self._named(cell)
        started = at(fitted_on, self._row(cell, part), self.places.draw[future])
        accident_on = np.full(len(cell), NEVER)
        if self.accident_on is not None:
            accident_on = self.accident_on.ravel()[cell]
        return _Cells(part, future, started, accident_on, np.zeros(len(cell), dtype=np.int64))

    def _renewed_together(self, due: Floats, life: int) -> Renewals:
        """Those that are due and have not failed before; of the others no more is heard."""
        self.together = self._beside(np.logical_and, self.together, np.isfinite(due))
        cell = np.flatnonzero(self.together)
        part, future = self._named(cell)
        draw = self.places.draw[future]
        day = at(due, self._row(cell, part), draw)
        if self.accident_on is not None and life == 0 and self.rates_differ:
            on = self.accident_on.ravel()
            on[cell] = self._at_new_rate(on[cell], day, draw)
        return self._told(part, future, day, np.full(len(cell), PLANNED, dtype=np.int8))

    def _ended(self, cells: _Cells, due: Floats, life: int) -> tuple[Renewals, _Cells]:
        """How the lives of cells end, and the cells whose next life begins before the end."""
        places, calendar = self.places, self.places.clock.calendar
        part, future = cells.part, cells.future
        draw = places.draw[future]
        if life == 0:
            row = self._row((part - self.parts.start) * self.n_futures + future, part)
            ends, planned = self._first_ends(cells, row + self.rows.start, draw), at(due, row, draw)
        else:
            ends = self._ends(cells, draw, life)
            planned = places.limits.first_due(cells.fitted_on, part, draw)
        if places.limits.by_reading:
            wear = ends.worn_at, ends.age, ends.use
            read = places.limits.first_read(
                wear, cells.fitted_on, ends.day, (part, future, draw), life, places.chance
            )
            planned = np.minimum(planned, read)
        failed = ends.day <= np.minimum(planned, self.end[part])
        day, usual = ends.day, FAILED
        if places.ashore:
            day, usual = calendar.lift(np.searchsorted(calendar.lifts, day)), WORN
            day = np.where(day < places.leaves[part], day, NEVER)
        day = np.where(failed, day, planned)
        how = np.where(ends.by_accident, ACCIDENT, usual).astype(np.int8)
        how[~failed] = PLANNED
        some = np.flatnonzero(np.isfinite(day))
        found = self._told(part[some], future[some], day[some], how[some])
        # A renewal takes a day, so that no future stands still.
        some = np.flatnonzero(day + 1.0 <= self.end[part])
        return found, self._renewed(cells, some, day[some], draw[some], life)

    def _first_ends(self, cells: _Cells, node: Ints, draw: Ints) -> _Ends:
        places, first, clock = self.places, self.places.first, self.places.clock
        part, future = cells.part, cells.future
        worn_at = first.worn_at(part, future, draw, node, places.chance)
        age = at(first.aged, node, draw)
        use = clock.use_now + (worn_at - age) / at(clock.pace, part, draw)
        use = np.minimum(use, first.early_use(part, future, draw, node, places.chance))
        day = clock.day_of(use)
        by_accident = cells.accident_on <= day
        day = np.maximum(np.minimum(day, cells.accident_on), clock.calendar.now)
        return _Ends(day, by_accident, worn_at, age, np.full(len(part), clock.use_now))

    def _ends(self, cells: _Cells, draw: Ints, life: int) -> _Ends:
        places, clock, ages = self.places, self.places.clock, self.places.new
        part, future = cells.part, cells.future
        waited = exponential(places.chance.some(part, future, life, WEAR))
        worn_at = ages.age_at(waited, part, draw)
        begun = clock.use_of(cells.fitted_on)
        use = begun + worn_at / at(clock.pace, part, draw)
        if ages.early.any():
            share, most = places.chance.some(part, future, life, EARLY), ages.early[draw]
            some = np.flatnonzero(share < most)
            within = DAYS_PER_YEAR * ages.early_years * share[some] / most[some]
            use[some] = np.minimum(use[some], begun[some] + within)
        day = clock.day_of(use)
        by_accident = cells.accident_on <= day
        day = np.maximum(np.minimum(day, cells.accident_on), cells.fitted_on + 1.0)
        return _Ends(day, by_accident, worn_at, np.zeros(len(part)), begun)

    def _renewed(self, cells: _Cells, some: Ints, day: Floats, draw: Ints, life: int) -> _Cells:
        """The next lives of some of the cells."""
        part, future = cells.part[some], cells.future[some]
        accident_on, accidents = cells.accident_on[some], cells.accidents[some]
        if life == 0 and self.rates_differ:
            accident_on = self._at_new_rate(accident_on, day, draw)
        # Accidents befall a place: the one to come is not put off by a renewal in between.
        past = np.flatnonzero(accident_on <= day)
        accidents[past] += 1
        waited = self.places.chance.some(part[past], future[past], accidents[past], NEXT_ACCIDENT)
        rate = self.places.new.accidents[draw[past]]
        accident_on[past] = day[past] + _days(exponential(waited), rate)
        return _Cells(part, future, day, accident_on, accidents)

    def _at_new_rate(self, accident_on: Floats, day: Floats, draw: Ints) -> Floats:
        """Accidents after a day, which come more or less often to what is fitted from then on."""
        found = accident_on.copy()
        some = np.flatnonzero(np.isfinite(accident_on) & (accident_on > day))
        old, new = (ages.accidents[draw[some]] for ages in (self.places.old, self.places.new))
        left = (accident_on[some] - day[some]) / DAYS_PER_YEAR * old
        found[some] = day[some] + _days(left, new)
        return found

    def _named(self, cell: Ints) -> tuple[Ints, Ints]:
        """Place and future of cells of the block."""
        part = cell // self.n_futures
        return part + self.parts.start, cell - part * self.n_futures

    def _row(self, cell: Ints, part: Ints) -> Ints:
        """Row of each cell in the tables of the block."""
        return part - self.parts.start if self.node is None else self.node.ravel()[cell]

    def _beside(self, compare: np.ufunc, cells: npt.NDArray[Any], table: npt.NDArray[Any]) -> Bools:
        """Every cell of the block compared with its value in a table."""
        found = np.empty(self.together.shape, dtype=bool)
        if self.node is not None:
            compare(cells, at(table, self.node, self.places.draw), out=found)
        elif table.shape[1] == 1:
            compare(cells, table, out=found)
        else:
            for begin in range(0, self.n_futures, self.n_draws):
                some = slice(begin, min(begin + self.n_draws, self.n_futures))
                compare(cells[:, some], table[:, : some.stop - begin], out=found[:, some])
        return found

    def _told(self, part: Ints, future: Ints, day: Floats, how: npt.NDArray[np.int8]) -> Renewals:
        number = self.places.number[part]
        return Renewals(future.astype(np.int32), number, day.astype(np.int32), how)


def _days(waited: Floats, rate: Floats) -> Floats:
    """Days until what comes so often a year, never where it does not come."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(rate > 0, DAYS_PER_YEAR * waited / rate, NEVER))
