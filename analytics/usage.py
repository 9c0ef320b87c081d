"""Shaft hours of every shaft line on any day, from meter readings that are few and sometimes reset.

Between readings the hours are shared out over the days the boat is in use: a
boat laid up ashore runs its shaft in the season, one kept afloat all year
round. Before the first reading and after the last the line's own rate holds.
How far the hours can be from that is in `ageing.hours_run`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.seasons import SeasonRule

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

DAYS_PER_YEAR = 365.25
LIMIT_TOLERANCE = 0.75
"""Days before its end at which a limit in years counts as reached: an anniversary may come so much
sooner than `DAYS_PER_YEAR` counts, by the leap days before it."""

DEFAULT_HOURS_PER_YEAR = 300.0
"""Planning default where no boat of the fleet gives its hours (common practice, no source)."""

IDLE_SHARE = 0.02
"""A day out of season counts as this much of a day in season: engines are turned at the berth."""

_FIRST_DAY = date(1900, 1, 1)
_EPOCH = np.datetime64("1970-01-01", "D")


def day_numbers(dates: pd.Series | Iterable[date]) -> Floats:
    """Days since 1970-01-01, NaN where the date is not known."""
    days = pd.Series(dates).to_numpy(dtype="datetime64[D]")
    numbers = (days - _EPOCH).astype("float64")
    numbers[np.isnat(days)] = np.nan
    return np.asarray(numbers, dtype=np.float64)


def day_number(day: date) -> float:
    """Days since 1970-01-01."""
    return float((day - date(1970, 1, 1)).days)


def limit_reached_on(fitted_on: Floats, years: Floats | float) -> Floats:
    """From when a limit in years is reached: for whole years the anniversary, or the day before.

    Parameters
    ----------
    fitted_on : ndarray
        Days since 1970-01-01.
    years : float or ndarray of a shape that fits
        Infinite where there is no limit.
    """
    return fitted_on + (DAYS_PER_YEAR * years - LIMIT_TOLERANCE)


@dataclass(frozen=True)
class ShaftHours:
    """Cumulative shaft hours of each line as a function of the day.

    Attributes
    ----------
    lines : dict of (str, str) to int
        Number of the line by boat and position.
    past_rate, rate : ndarray, shape (n_lines,)
        Shaft hours per year: as run so far, and as expected from `as_of` on.
    basis : tuple of str
        Where each line's rate comes from: "meter", "hours_per_season" or "fleet".
    read, sure : tuple of ndarray, shapes (n_readings,) and (n_readings - 1,)
        Years of use at the readings of each line; whether one meter ran in between.
    year_spread, past_spread, rate_spread : ndarray, shape (n_lines,)
        Standard deviations as shares of the rate: of the hours of one year of use, and of
        what `past_rate` and `rate` may be wrong by.
    pace : ndarray, shape (n_lines,), or 1
        What a plan has multiplied `rate` by; `rate` is as sure as it was.
    """

    lines: dict[tuple[str, str], int]
    afloat: npt.NDArray[np.bool_]
    past_rate: Floats
    rate: Floats
    basis: tuple[str, ...]
    rule: SeasonRule
    knots: tuple[Floats, ...] = field(repr=False)
    knot_hours: tuple[Floats, ...] = field(repr=False)
    read: tuple[Floats, ...] = field(repr=False)
    sure: tuple[npt.NDArray[np.bool_], ...] = field(repr=False)
    year_spread: Floats = field(repr=False)
    past_spread: Floats = field(repr=False)
    rate_spread: Floats = field(repr=False)
    pace: Floats | float = field(default=1.0, repr=False)

    def line_of(self, boats: Iterable[str], positions: Iterable[str]) -> Ints:
        """Line numbers for boats and positions, shape (n,)."""
        return np.array(
            [self.lines[key] for key in zip(boats, positions, strict=True)], dtype=np.int64
        )

    def metered(self) -> list[tuple[str, str]]:
        """Boat and position of the lines whose rate comes from a meter."""
        return [line for line, k in self.lines.items() if self.basis[k] == "meter"]

    def hours_at(self, line: Ints, day: Floats) -> Floats:
        """Cumulative shaft hours of a line on a day; only differences mean anything.

        Parameters
        ----------
        line : ndarray of int, shape (n,)
        day : ndarray, shape (n,)
            Days since 1970-01-01, fractions allowed.
        """
        hours = np.empty(len(line))
        order = np.argsort(line, kind="stable")
        bounds = np.flatnonzero(np.diff(line[order])) + 1
        for chosen in np.split(order, bounds):
            if len(chosen):
                k = line[chosen[0]]
                at = active_years(day[chosen], bool(self.afloat[k]), self.rule)
                hours[chosen] = np.interp(at, self.knots[k], self.knot_hours[k])
        return hours

    def at_pace(self, pace: Floats, now: float) -> ShaftHours:
        """The same up to a day, and from then on so many times the hours expected.

        Parameters
        ----------
        pace : ndarray, shape (n_lines,)
            0 or more.
        now : float
            Last day watched, days since 1970-01-01.
        """
        day, knots, knot_hours = np.array([now]), [], []
        for k, (x, y) in enumerate(zip(self.knots, self.knot_hours, strict=True)):
            at = active_years(day, bool(self.afloat[k]), self.rule)
            ran = np.interp(at, x, y)
            before = x < at
            coming = ran + pace[k] * (y[~before] - ran)
            knots.append(np.concatenate([x[before], at, x[~before]]))
            knot_hours.append(np.concatenate([y[before], ran, coming]))
        return replace(
            self,
            rate=self.rate * pace,
            pace=self.pace * pace,
            knots=tuple(knots),
            knot_hours=tuple(knot_hours),
        )

    def with_lines(self, like: Mapping[tuple[str, str], tuple[str, str]]) -> ShaftHours:
        """With further lines, each of which runs as one that is there.

        Parameters
        ----------
        like : mapping
            From the boat and position of a new line to those of the line it is like.
        """
        every = [*range(len(self.lines)), *(self.lines[old] for old in like.values())]
        names = [*self.lines, *like]
        return replace(
            self,
            lines={name: number for number, name in enumerate(names)},
            afloat=self.afloat[every],
            past_rate=self.past_rate[every],
            rate=self.rate[every],
            basis=tuple(self.basis[k] for k in every),
            knots=tuple(self.knots[k] for k in every),
            knot_hours=tuple(self.knot_hours[k] for k in every),
            read=tuple(self.read[k] for k in every),
            sure=tuple(self.sure[k] for k in every),
            year_spread=self.year_spread[every],
            past_spread=self.past_spread[every],
            rate_spread=self.rate_spread[every],
            pace=(self.pace + np.zeros(len(self.lines)))[every],
        )

    def years_of_use(self, line: Ints, day: Floats) -> Floats:
        """Years of use of a line up to a day, see `active_years`; only differences count."""
        return np.where(
            self.afloat[line],
            active_years(day, True, self.rule),
            active_years(day, False, self.rule),
        )


def active_years(day: Floats, afloat: bool, rule: SeasonRule) -> Floats:
    """Years of use up to a day: a year for every year, but spent within the season when laid up.

    After a change of rule it may be more or less than a year for every year.

    Parameters
    ----------
    day : ndarray
        Days since 1970-01-01.
    afloat : bool
        True for a boat in use all year round.
    """
    if afloat:
        return day / DAYS_PER_YEAR
    if rule.earlier is not None:
        before, until, early_then, late_then = _change_of_rule(rule)
        early, late = (active_years(day, False, one) for one in (before, rule.alone))
        after = early_then + rule.use_a_year * (late - late_then)
        return np.where(day <= until, early, after)
    if rule.whole_year():
        return day / DAYS_PER_YEAR
    grid, used = _season_grid(rule)
    return np.asarray(np.interp(day, grid, used), dtype=np.float64)


def days_of_use(active: Floats, afloat: bool, rule: SeasonRule) -> Floats:
    """The day on which so many years of use are reached: the inverse of `active_years`."""
    if afloat:
        return active * DAYS_PER_YEAR
    if rule.earlier is not None:
        before, until, early_then, late_then = _change_of_rule(rule)
        early = days_of_use(active, False, before)
        late = late_then + (active - early_then) / rule.use_a_year
        return np.where(early <= until, early, days_of_use(late, False, rule.alone))
    if rule.whole_year():
        return active * DAYS_PER_YEAR
    grid, used = _season_grid(rule)
    return np.asarray(np.interp(active, used, grid), dtype=np.float64)


def _change_of_rule(rule: SeasonRule) -> tuple[SeasonRule, float, float, float]:
    """The rule before the change, the end of its last day, and years of use by both up to it."""
    assert rule.earlier is not None
    before, last = rule.earlier
    day = np.array([until := day_number(last) + 1.0])
    early, late = (float(active_years(day, False, one)[0]) for one in (before, rule.alone))
    return before, until, early, late


def days_in_use(rule: SeasonRule) -> float:
    """Days of the season in a year, and the others by `IDLE_SHARE`."""
    if rule.whole_year():
        return DAYS_PER_YEAR
    season = rule.alone.season(2002)
    length = (season.end - season.start).days + 1.0
    return length + IDLE_SHARE * (DAYS_PER_YEAR - length)


@lru_cache(maxsize=8)
def _season_grid(rule: SeasonRule) -> tuple[Floats, Floats]:
    """Each day from 1900 to 2300 and the years of use up to it."""
    first = np.datetime64(_FIRST_DAY, "D")
    days = np.arange(first, first + 400 * 365 + 97)
    months = days.astype("datetime64[M]")
    month = months.astype(int) % 12 + 1
    code = month * 100 + (days - months.astype("datetime64[D]")).astype(int) + 1
    start, end = (m * 100 + d for m, d in (rule.start, rule.end))
    in_season = (code >= start) & (code <= end)
    if start > end:
        in_season = (code >= start) | (code <= end)
    weight = np.where(in_season, 1.0, IDLE_SHARE)
    used = np.concatenate([[0.0], np.cumsum(weight)])
    grid = np.append(days, days[-1] + 1)
    numbers = (grid - _EPOCH).astype("float64")
    # 400 years of the calendar repeat exactly: scaled so that they hold 400 years of use.
    used = used / used[-1] * 400 + numbers[0] / DAYS_PER_YEAR
    return np.asarray(numbers, dtype=np.float64), used
