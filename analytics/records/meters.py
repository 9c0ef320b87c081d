"""Hour-meter readings of one line made one rising count: new meters, slips, meters that stick."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from analytics.records.seasons import SeasonRule

Floats = npt.NDArray[np.float64]

NEW_METER_SHARE = 0.5
"""A reading of at most this share of the one before it is a new meter's; one that falls less is
a slip or a rounding (common practice, no source)."""

MADE_UP = 0.75
"""Share of the usual hours that a reading must hold to make up for the time before it in which
the readings stood still (common practice, no source)."""

STUCK_YEARS = 0.5
"""Years of use in which a meter that counts must have moved (common practice, no source)."""


@dataclass(frozen=True)
class Meter:
    """One line's readings made one rising count.

    Attributes
    ----------
    active, hours : ndarray, shape (n_readings,)
        Years of use and shaft hours run since the first reading.
    rate : float
        Hours per year of use, NaN where the readings say too little.
    falls : list of int
        Readings below the one before them; those of `new` are a new meter's.
    stuck : ndarray of bool, shape (n_readings - 1,)
        Steps from one reading to the next in which the meter stood still; they
        add nothing to `hours`.
    """

    active: Floats
    hours: Floats
    rate: float
    falls: list[int]
    new: list[int]
    stuck: npt.NDArray[np.bool_]

    def ran(self, rate: float) -> Floats:
        """Hours run, with those of a meter that stood still, at the line's rate."""
        if not self.stuck.any():
            return self.hours
        missed = np.where(self.stuck, rate * np.diff(self.active), 0.0)
        return np.asarray(self.hours + np.concatenate([[0.0], np.cumsum(missed)]))


def stuck_runs(
    days: Floats, active: Floats, hours: Floats, rule: SeasonRule
) -> list[tuple[int, int]]:
    """First and last reading of each run in which a meter stood still for longer than a season.

    Parameters
    ----------
    days, active, hours : ndarray, shape (n_readings,)
        Days, years of use by then, and what the meter showed.
    rule : SeasonRule
    """
    if len(hours) < 2 or (np.diff(hours) != 0).all():
        return []
    season = rule.season(2001)
    longest = (season.end - season.start).days
    edges = np.flatnonzero(np.diff(hours) != 0) + 1
    bounds = [0, *edges.tolist(), len(hours)]
    runs = [(i, j - 1) for i, j in pairwise(bounds)]
    return [
        (i, j)
        for i, j in runs
        if active[j] - active[i] > STUCK_YEARS
        and days[j] - days[i] > min(longest, 364)
        and not _made_up(active, hours, i, j)
    ]


def _made_up(active: Floats, hours: Floats, first: int, last: int) -> bool:
    """True where the next reading holds the hours of the run: one reading was copied, no more."""
    after = last + 1
    if after == len(hours) or hours[after] < hours[last]:
        return False
    rising = np.diff(hours) > 0
    rising[first:after] = False
    span = float(np.diff(active)[rising].sum())
    if not span:
        return False
    usual = float(np.diff(hours)[rising].sum()) / span
    return bool(hours[after] - hours[last] >= MADE_UP * usual * (active[after] - active[first]))


def joined_meter(active: Floats, hours: Floats, runs: list[tuple[int, int]]) -> Meter:
    """Join the readings of one line.

    Parameters
    ----------
    active, hours : ndarray, shape (n_readings,)
        Years of use and shaft hours on the meter, by day.
    runs : list of (int, int)
        From `stuck_runs`.
    """
    stuck = np.zeros(max(len(hours) - 1, 0), dtype=bool)
    for i, j in runs:
        stuck[i:j] = True
    if len(hours) < 2:
        return Meter(active, hours, float("nan"), [], [], stuck)
    falls = np.flatnonzero(np.diff(hours) < 0) + 1
    new = falls[hours[falls] <= NEW_METER_SHARE * hours[falls - 1]]
    if len(falls):
        # Within one meter a lower reading is a slip or a rounding: the highest so far stands.
        hours = np.concatenate([np.maximum.accumulate(one) for one in np.split(hours, new)])
    steps, spans = np.diff(hours), np.diff(active)
    same = np.ones(len(steps), dtype=bool)
    same[new - 1] = False
    counted = same & ~stuck
    span = float(spans[counted].sum())
    # Less than half a year of use says too little about the years outside it.
    rate = float(steps[counted].sum()) / span if span >= 0.5 else float("nan")
    bridged = np.maximum(hours[1:], np.nan_to_num(rate) * spans)
    run = np.concatenate([[0.0], np.cumsum(np.where(same, steps, bridged))])
    return Meter(active, run, rate, falls.tolist(), new.tolist(), stuck)
