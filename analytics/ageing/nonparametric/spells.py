"""Ages between which each life was watched, where the day of fitting is a window.

Curves without a family integrate over nothing, so a fitting known to a window
gives each life two histories, the shortest (fitted on the last possible day) and
the longest (on the first), and what is made of the two is said here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import CENSORED, EXACT, HALF_DAY, HALF_HOUR, Nodes, nodes_of
from analytics.ageing.nonparametric.kaplan_meier import WIDE_START_YEARS
from analytics.lives import Lives
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

At = Literal["youngest", "middle", "oldest"]
"""Which of the ages that the records allow: the least, the middle, the greatest."""

SAME_AGE = 9
"""Decimals to which ages are the same: sums of days that differ in the last bit only are ties."""


@dataclass(frozen=True)
class AgeWindows:
    """Ages of lives as windows, `entry` <= `lower` <= `upper`, infinite where not failed.

    Attributes
    ----------
    entry, lower, upper : ndarray, shape (n,)
        On the kind's clock.
    table : DataFrame
        The rows of the table of lives that they belong to, shape (n, ...).
    windowed : int
        Lives whose day of fitting is a window.
    left_out : int
        Lives that cannot be used: see `age_windows`.
    unit : str
        "years" or "hours".
    """

    entry: Floats
    lower: Floats
    upper: Floats
    table: pd.DataFrame
    windowed: int
    left_out: int
    unit: str


@dataclass(frozen=True)
class WatchedAges:
    """One age each for the entry and the end of lives, `entry` < `exit`.

    Attributes
    ----------
    entry, exit : ndarray, shape (n,)
        On the kind's clock.
    table : DataFrame
        The rows of the table of lives that they belong to.
    windowed, left_out : int
        Lives whose age at the end is a window; lives that cannot be used.
    unit : str
        "years" or "hours".
    """

    entry: Floats
    exit: Floats
    table: pd.DataFrame
    windowed: int
    left_out: int
    unit: str


def lives_of_kind(lives: Lives, kind: str, group: str | None = None) -> pd.DataFrame:
    """Rows of one kind, or of one group of it, numbered from 0.

    Raises
    ------
    ValueError
        If there is no such life.
    """
    table = lives.table[lives.table["kind"] == kind]
    if group is not None:
        table = table[table["group"] == group]
    if table.empty:
        there = ", ".join(sorted(set(lives.table["kind"]))) or "none"
        wanted = kind if group is None else f"{kind}, {group}"
        raise ValueError(f"there is no life of {wanted}; kinds in the records: {there}")
    return table.reset_index(drop=True)


def age_windows(lives: Lives, table: pd.DataFrame) -> AgeWindows:
    """Ages of one kind as windows that hold what the records say.

    A part fitted in a window is taken as fitted on its last day: at entry, and
    when last sound, it has the least age it can have. Its failure, though, may
    have come at any age up to the one counted from the first day. An exact
    failure of a part fitted in a window is therefore a window of failure; so is that
    of one whose hours are not sure.

    Left out and counted: lives fitted in a window wider than `WIDE_START_YEARS`
    that were in place before they were watched (their age at entry says too
    little), and failures on the first day watched.
    """
    longest, shortest, width = _both(lives, table)
    exact = longest.outcome == EXACT
    censored = longest.outcome == CENSORED
    entry = shortest.entry
    unit = str(table["clock"].iloc[0])
    least = HALF_DAY / DAYS_PER_YEAR if unit == "years" else HALF_HOUR
    # Failing at just the age counted from the last day is possible: the window begins before it.
    before = np.maximum(np.where(exact, shortest.upper - least, shortest.lower), entry)
    dated = (width < 1) & (longest.upper - shortest.upper < least)
    lower = np.where(exact & dated, shortest.upper, before)
    upper = np.where(censored, np.inf, longest.upper)
    used = ~((width > WIDE_START_YEARS * DAYS_PER_YEAR) & (longest.entry > 0)) & (entry < upper)
    return AgeWindows(
        entry=_rounded(entry[used]),
        lower=_rounded(lower[used]),
        upper=_rounded(upper[used]),
        table=table[used].reset_index(drop=True),
        windowed=int((width[used] >= 1).sum()),
        left_out=int((~used).sum()),
        unit=unit,
    )


def windows_of(nodes: Nodes) -> tuple[Floats, Floats, Floats]:
    """Entry, lower and upper age of each life as `age_windows` has them, from its nodes alone.

    Ages are those that the nodes of a window of fitting reach, a little inside its ends.
    Lives that cannot be used are left out.
    """
    if not nodes.n_lives:
        return np.empty(0), np.empty(0), np.empty(0)
    first = nodes.first
    days = np.maximum.reduceat(nodes.start, first) - np.minimum.reduceat(nodes.start, first)
    exact = nodes.outcome == EXACT
    entry = np.minimum.reduceat(nodes.entry, first)
    sound = np.minimum.reduceat(np.where(exact[nodes.life], nodes.upper, nodes.lower), first)
    upper = np.maximum.reduceat(nodes.upper, first)
    upper = np.where(nodes.outcome == CENSORED, np.inf, upper)
    wide = (days > WIDE_START_YEARS * DAYS_PER_YEAR) & (np.maximum.reduceat(nodes.entry, first) > 0)
    used = ~wide & (entry < upper)
    lower = np.maximum(sound, entry)
    return _rounded(entry[used]), _rounded(lower[used]), _rounded(upper[used])


def watched_ages(lives: Lives, table: pd.DataFrame, at: At = "middle") -> WatchedAges:
    """One age for each entry and end of one kind, for estimates that take no windows.

    Where the fitting or the failure is known to a window, every age is the
    least, the middle or the greatest that the records allow. Left out and
    counted: lives fitted in a window wider than `WIDE_START_YEARS`, and lives
    that ended on the first day watched.
    """
    longest, shortest, width = _both(lives, table)
    failed = longest.outcome != CENSORED
    youngest = (shortest.entry, shortest.lower)
    oldest = (longest.entry, np.where(failed, longest.upper, longest.lower))
    if at == "middle":
        entry, exit = ((a + b) / 2 for a, b in zip(youngest, oldest, strict=True))
    else:
        entry, exit = youngest if at == "youngest" else oldest
    entry, exit = _rounded(entry), _rounded(exit)
    used = (width <= WIDE_START_YEARS * DAYS_PER_YEAR) & (entry < exit)
    return WatchedAges(
        entry[used],
        exit[used],
        table[used].reset_index(drop=True),
        windowed=int((youngest[1] < oldest[1])[used].sum()),
        left_out=int((~used).sum()),
        unit=str(table["clock"].iloc[0]),
    )


def _rounded(ages: Floats) -> Floats:
    return np.asarray(np.round(ages, SAME_AGE), dtype=np.float64)


@dataclass(frozen=True)
class _OneAge:
    """One age for each life at entry and both ends of its end, and how it ended."""

    entry: Floats
    lower: Floats
    upper: Floats
    outcome: npt.NDArray[np.int64]


def _both(lives: Lives, table: pd.DataFrame) -> tuple[_OneAge, _OneAge, Floats]:
    """Ages counted from the first and from the last possible day of fitting; days between them.

    Where the hours run since then are not sure, two ages stand for them (see `clocks`):
    the greater in the first answer, the lesser in the second.
    """
    longest = nodes_of(lives, table.assign(start_hi=table["start_lo"]))
    shortest = nodes_of(lives, table.assign(start_lo=table["start_hi"]))
    width = day_numbers(table["start_hi"]) - day_numbers(table["start_lo"])
    return _of_nodes(longest, np.maximum), _of_nodes(shortest, np.minimum), width


def _of_nodes(nodes: Nodes, choose: np.ufunc) -> _OneAge:
    ages = (nodes.entry, nodes.lower, nodes.upper)
    if nodes.n_lives == len(nodes.life):
        return _OneAge(*ages, nodes.outcome)
    entry, lower, upper = (np.asarray(choose.reduceat(age, nodes.first)) for age in ages)
    return _OneAge(entry, lower, upper, nodes.outcome)
