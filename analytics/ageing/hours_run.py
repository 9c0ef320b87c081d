"""Shaft hours that a part has run between two days, and how far they may be from that.

Hours are known at services only. On a day between two readings of one meter they lie
between the two, whatever the boat did: those are hard bounds. Where inside them is
not known, but a boat that runs much the same hours every year is not far from the
straight line. With hours that gather like a gamma process (independent from one time
to the next, variance in proportion to the years of use), the share of a step that
falls in its first part q has a beta distribution of mean q and variance
q (1 - q) / (M + 1), with M = years of use in the step / (spread of a year)**2
(Moran, The Theory of Storage, 1959, on the gamma process; from memory). Before the
first reading, after the last, and while a meter was out, the line's usual rate
stands in, which may itself be off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.rows_end_to_end import RowsEndToEnd, joined
from analytics.usage import ShaftHours, active_years

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

Z90 = 1.6448536269514722

READ, BETWEEN, ASSUMED = "read at a service", "between readings", "from usual use"
"""Where hours come from: within a twentieth known, inside bounds, or resting on a rate."""

_CLOSE = 0.05
"""Share of the hours run within which they count as read."""

_MUCH = 0.1
"""Share of the hours run from which on the assumed part counts."""


@dataclass(frozen=True)
class HoursRun:
    """Hours run between two days, a value each.

    Attributes
    ----------
    mean : ndarray, shape (n,)
        As `ShaftHours.hours_at` gives them.
    sd, third : ndarray, shape (n,)
        Standard deviation, and third central moment, of what they may truly be.
    low, high : ndarray, shape (n,)
        Bounds. Between readings of one meter they are sure; the assumed part is in
        them with its 90 % range.
    assumed : ndarray, shape (n,)
        Hours of `mean` that rest on the line's rate and on no reading.
    end_assumed : ndarray of bool, shape (n,)
        True where the second day lies outside the readings.
    """

    mean: Floats
    sd: Floats
    third: Floats
    low: Floats
    high: Floats
    assumed: Floats
    end_assumed: Bools

    def known(self) -> list[str]:
        """Where each comes from: `READ`, `BETWEEN` or `ASSUMED`."""
        assumed = self.assumed > _MUCH * self.mean
        close = self.high - self.low <= _CLOSE * self.mean
        found = np.where(close, READ, np.where(assumed, ASSUMED, BETWEEN))
        return [str(one) for one in found]

    def two_points(self) -> tuple[Floats, Floats]:
        """Two standardised points and their weights, with the same first three moments.

        Returns
        -------
        point, weight : ndarray, shape (n, 2)
            Points in standard deviations from the mean. (Gauss's rule of two points.)
        """
        cube = self.sd**3
        skew = np.divide(self.third, cube, out=np.zeros_like(cube), where=cube > 0)
        reach = np.sqrt(1.0 + skew**2 / 4.0)
        low, high = skew / 2.0 - reach, skew / 2.0 + reach
        weight = np.stack([high, -low], axis=1) / (high - low)[:, None]
        return np.stack([low, high], axis=1), weight

    def at(self, point: Floats) -> Floats:
        """Hours so many standard deviations from the mean, inside the bounds; shape of `point`."""
        shape = (-1,) + (1,) * (point.ndim - 1)
        mean, sd, low, high = (
            one.reshape(shape) for one in (self.mean, self.sd, self.low, self.high)
        )
        return np.asarray(np.clip(mean + sd * point, low, high))


def hours_run(usage: ShaftHours, line: Ints, start: Floats, day: Floats) -> HoursRun:
    """Hours run by shaft lines between two days, up to the last day watched.

    Parameters
    ----------
    usage : ShaftHours
    line : ndarray of int, shape (n,)
    start, day : ndarray, shape (n,)
        Days since 1970-01-01; a `day` before its `start` counts as no time.
    """
    day = np.maximum(day, start)
    ran = usage.hours_at(np.tile(line, 2), np.concatenate([start, day]))
    mean = np.maximum(ran[len(line) :] - ran[: len(line)], 0.0)
    begin, end = (
        np.where(
            usage.afloat[line], *(active_years(one, flag, usage.rule) for flag in (True, False))
        )
        for one in (start, day)
    )
    inside, outside = _inside_readings(usage, line, begin, end)
    assumed = np.maximum(mean - inside.mean, 0.0)
    rate, years = usage.past_rate[line], inside.assumed_years
    variance = rate**2 * (
        (years * usage.past_spread[line]) ** 2 + years * usage.year_spread[line] ** 2
    )
    # The assumed part is taken as gamma for its third moment, as lognormal for its range.
    third = np.divide(2 * variance**2, assumed, out=np.zeros_like(mean), where=assumed > 0)
    width = np.divide(variance, assumed**2, out=np.zeros_like(mean), where=assumed > 0)
    reach = np.exp(Z90 * np.sqrt(np.log1p(width)))
    return HoursRun(
        mean=mean,
        sd=np.sqrt(inside.variance + variance),
        third=inside.third + third,
        low=inside.low + assumed / reach,
        high=inside.high + assumed * reach,
        assumed=assumed,
        end_assumed=outside,
    )


@dataclass(frozen=True)
class _Inside:
    """What the steps between readings of one meter say, and the years of use outside them."""

    mean: Floats
    variance: Floats
    third: Floats
    low: Floats
    high: Floats
    assumed_years: Floats


def _inside_readings(
    usage: ShaftHours, line: Ints, begin: Floats, end: Floats
) -> tuple[_Inside, Bools]:
    """What the readings of lines say of spans of their years of use; which end outside them."""
    read_times = np.array([len(read) for read in usage.read], dtype=np.int64)
    outside = np.ones(len(line), dtype=bool)
    once = np.flatnonzero(read_times[line] == 1)
    alone = np.array([usage.read[k][0] for k in line[once]])
    outside[once] = end[once] != alone
    mean, variance, third, low, high = np.zeros((5, len(line)))
    found = _Inside(mean, variance, third, low, high, end - begin)
    several = np.flatnonzero(read_times[line] > 1)
    if len(several):
        begin, end = begin[several], end[several]
        between, outside[several] = _in_steps(usage, line[several], begin, end)
        for name, value in vars(between).items():
            getattr(found, name)[several] = value
    return found, outside


def _in_steps(usage: ShaftHours, line: Ints, begin: Floats, end: Floats) -> tuple[_Inside, Bools]:
    """The same of lines with two readings or more."""
    lines, own = np.unique(line, return_inverse=True)
    chosen = lines.tolist()
    reads = RowsEndToEnd.of([usage.read[k] for k in chosen])
    knots = RowsEndToEnd.of([usage.knots[k] for k in chosen])
    read, first, last = reads.values, reads.first, reads.first + reads.count - 1
    hours = knots.interpolated(reads.row, read, joined([usage.knot_hours[k] for k in chosen]))
    # Of the step that begins at each reading; nothing begins at the last one of a line.
    step_of_last = np.zeros(len(read), dtype=bool)
    step_of_last[last] = True
    sure = np.zeros(len(read), dtype=bool)
    sure[~step_of_last] = joined([usage.sure[k] for k in chosen])
    span, ran = (np.append(np.diff(of), 1.0) for of in (read, hours))
    # Sums over whole steps, so that a span of many is two look-ups.
    whole = reads.summed(np.where(sure, ran, 0.0))
    unsure = reads.summed(np.where(sure, 0.0, span))
    lowest, highest = read[first][own], read[last][own]
    inner, outer = (np.clip(day, lowest, highest) for day in (begin, end))
    most = reads.count[own] - 2
    i = first[own] + np.clip(reads.searched(own, inner, "right") - 1, 0, most)
    j = first[own] + np.clip(reads.searched(own, outer, "left") - 1, 0, most)
    same = i >= j
    of_i = np.where(same, outer - inner, read[i + 1] - inner) / span[i]
    of_j = np.where(same, 0.0, outer - read[j]) / span[j]
    between = np.where(same, 0.0, whole[j] - whole[i + 1])
    missing = np.where(same, 0.0, unsure[j] - unsure[i + 1])
    found = _Inside(
        mean=between.copy(),
        variance=np.zeros(len(begin)),
        third=np.zeros(len(begin)),
        low=between.copy(),
        high=between,
        assumed_years=(end - begin) - (outer - inner) + missing,
    )
    spread_of_year = usage.year_spread[line]
    for step, share in ((i, np.clip(of_i, 0.0, 1.0)), (j, np.clip(of_j, 0.0, 1.0))):
        known = sure[step]
        run, m = np.where(known, ran[step], 0.0), span[step] / spread_of_year**2
        spread = share * (1.0 - share) / (m + 1.0)
        found.mean[:] += run * share
        found.variance[:] += run**2 * spread
        found.third[:] += run**3 * 2.0 * (1.0 - 2.0 * share) * spread / (m + 2.0)
        found.low[:] += np.where(share >= 1.0, run, 0.0)
        found.high[:] += np.where(share > 0.0, run, 0.0)
        found.assumed_years[:] += np.where(known, 0.0, share * span[step])
    return found, (end < lowest) | (end > highest)
