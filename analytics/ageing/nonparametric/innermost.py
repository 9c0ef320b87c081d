"""Where the mass of an estimate from windows can lie: the innermost intervals.

A failure somewhere in (lower, upper] says nothing of where in it. The highest
likelihood puts mass only where a window begins and, with no other beginning in
between, a window or a waiting for entry ends (Turnbull 1976; with delayed entry
Frydman 1994, Alioum & Commenges 1996; all from memory). Elsewhere mass could be
moved to such a place without loss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Observed:
    """Lives as ages that are known to windows.

    Attributes
    ----------
    entry, lower, upper : ndarray, shape (n,)
        0 <= entry <= lower <= upper. The life was watched from `entry`, sound
        at `lower` and failed in (lower, upper]; at just that age where both are
        equal; not yet where `upper` is infinite.
    weight : ndarray, shape (n,)
        How many lives each row stands for.
    """

    entry: Floats
    lower: Floats
    upper: Floats
    weight: Floats

    @property
    def lives(self) -> float:
        """Lives, by weight."""
        return float(self.weight.sum())

    @property
    def failures(self) -> float:
        """Lives that ended by failing, by weight."""
        return float(self.weight[np.isfinite(self.upper)].sum())

    def merged(self) -> Observed:
        """Identical rows as one, in order of their ages."""
        rows = np.column_stack([self.entry, self.lower, self.upper])
        distinct, at = np.unique(rows, axis=0, return_inverse=True)
        weight = np.bincount(at.ravel(), self.weight, len(distinct)).astype(np.float64)
        entry, lower, upper = distinct.T
        return Observed(entry.copy(), lower.copy(), upper.copy(), weight)


def observed(
    lower: npt.ArrayLike,
    upper: npt.ArrayLike,
    entry: npt.ArrayLike | None = None,
    weight: npt.ArrayLike | None = None,
) -> Observed:
    """Check ages that are known to windows, and merge identical rows.

    Parameters
    ----------
    lower, upper : array_like, shape (n,)
        Failed in (lower, upper], at just that age where they are equal, not yet
        where `upper` is infinite.
    entry : array_like, optional
        Age from which each life was watched; 0 if left out.
    weight : array_like, optional
        Lives that each row stands for, 0 or more; 1 if left out.

    Raises
    ------
    ValueError
        If ages are missing, negative or out of order, or a failure lies at the
        age of entry, where the life was not watched yet.
    """
    low, high = np.atleast_1d(np.asarray(lower, np.float64)), np.atleast_1d(np.asarray(upper))
    high = high.astype(np.float64)
    since = np.zeros(len(low)) if entry is None else np.atleast_1d(np.asarray(entry, np.float64))
    times = np.ones(len(low)) if weight is None else np.atleast_1d(np.asarray(weight, np.float64))
    if not len(low) == len(high) == len(since) == len(times):
        raise ValueError(
            f"{len(low)} lower, {len(high)} upper ages, {len(since)} entries and {len(times)} "
            "weights: give as many of each"
        )
    wrong = ~((since >= 0) & (since <= low) & (low <= high) & np.isfinite(low))
    if wrong.any():
        i = int(np.flatnonzero(wrong)[0])
        raise ValueError(
            f"row {i}: entry {since[i]:g}, lower {low[i]:g}, upper {high[i]:g}; it must be "
            "0 <= entry <= lower <= upper, with only upper infinite. Leave out or mend such rows"
        )
    unwatched = (low == high) & (since == high)
    if unwatched.any():
        i = int(np.flatnonzero(unwatched)[0])
        raise ValueError(
            f"row {i}: failed at {high[i]:g}, the very age of entry, when it was not watched yet. "
            "Leave such rows out"
        )
    if not (np.isfinite(times) & (times >= 0)).all():
        raise ValueError("weights must be finite and not negative: they count lives")
    used = times > 0
    return Observed(since[used], low[used], high[used], times[used]).merged()


def on_grid(seen: Observed, step: float) -> Observed:
    """Ages rounded to multiples of a step, so that many lives share the same ones.

    A window of failure is rounded outward, so it never claims more than was
    seen; an exact age becomes the step it lies in. The ages between which a
    life was watched are rounded to the nearest multiple: outward would add time
    that nobody watched, or take some away, from every life.
    """
    near = 1e-9
    failed = np.isfinite(seen.upper)
    entry = np.rint(seen.entry / step)
    upper = np.full(len(entry), np.inf)
    upper[failed] = np.maximum(np.ceil(seen.upper[failed] / step - near), 1.0)
    lower = np.where(failed, np.floor(seen.lower / step + near), np.rint(seen.lower / step))
    lower = np.minimum(lower, upper - 1)
    # Failed within the step in which it was first watched: watched for the whole of it.
    entry = np.where(entry >= upper, lower, entry)
    lower = np.maximum(lower, entry)
    return Observed(entry * step, lower * step, upper * step, seen.weight).merged()


def given(seen: Observed, after: float) -> Observed:
    """Lives that were sound at an age, watched from it on; windows across it are left out."""
    kept = (seen.lower >= after) & (seen.upper > after)
    return Observed(
        np.maximum(seen.entry, after)[kept], seen.lower[kept], seen.upper[kept], seen.weight[kept]
    ).merged()


@dataclass(frozen=True)
class Innermost:
    """The innermost intervals, and lives as runs of them.

    Attributes
    ----------
    age_from, age_to : ndarray, shape (m,)
        Mass lies in (age_from, age_to], at just that age where they are equal. Rising.
    outlived : ndarray, shape (m,)
        Lives, by weight, that were watched before each and sound after it.
    first, last, count : ndarray, shape (r,)
        Failures known to lie in the intervals `first` to `last`, and how many.
    """

    age_from: Floats
    age_to: Floats
    outlived: Floats
    first: Ints
    last: Ints
    count: Floats

    @property
    def entangled(self) -> npt.NDArray[np.bool_]:
        """True for intervals that share a failure with another, shape (m,)."""
        many = self.last > self.first
        return run_sums(self.first[many], self.last[many], self.count[many], len(self.age_to)) > 0

    @property
    def must_hold(self) -> int:
        """Intervals that share a failure with another and hold one for certain as well."""
        certain = np.zeros(len(self.age_to), dtype=bool)
        certain[self.first[self.first == self.last]] = True
        return int((certain & self.entangled).sum())

    def alike(self, chosen: Ints) -> npt.NDArray[np.bool_]:
        """For some intervals, rising: whether the records cannot tell each from the one before.

        No run begins or ends between the two, and as many lives outlived both.
        """
        m = len(self.age_to)
        begins = np.cumsum(np.bincount(self.first, minlength=m + 1))
        ends = np.cumsum(np.bincount(self.last + 1, minlength=m + 1))
        same = np.diff(begins[chosen]) + np.diff(ends[chosen]) == 0
        same &= np.isclose(np.diff(self.outlived[chosen]), 0.0, atol=1e-9)
        return np.concatenate([[False], same])[: len(chosen)]


def run_sums(first: Ints, last: Ints, value: Floats, size: int) -> Floats:
    """For each of `size` places, the sum of the values of all runs that hold it."""
    steps = np.bincount(first, value, size + 1) - np.bincount(last + 1, value, size + 1)
    total = np.cumsum(steps)[:size]
    # What is only the rounding of sums that cancel is none.
    held = np.cumsum(np.bincount(first, minlength=size + 1) - np.bincount(last + 1, None, size + 1))
    return np.asarray(np.where(held[:size] > 0, np.maximum(total, 0.0), 0.0))


def innermost(seen: Observed) -> Innermost:
    """Find the innermost intervals of some lives, those in which a failure can lie.

    Every distinct age is two places, the age itself and all between it and the
    next, so that exact ages, windows and entries that touch keep their order: a
    window (lower, upper] begins after `lower`, and a life that enters at an age
    is not watched at it.
    """
    failed = np.isfinite(seen.upper)
    ages = np.unique(np.concatenate([seen.entry, seen.lower, seen.upper[failed]]))
    entry, lower = (2 * np.searchsorted(ages, part) for part in (seen.entry, seen.lower))
    upper = 2 * np.searchsorted(ages, seen.upper[failed])
    exact = lower[failed] == upper
    begin = np.where(exact, upper, lower[failed] + 1)

    # A life not yet failed is a window without end: it begins where the life was last sound.
    begins = np.unique(np.concatenate([begin, lower[~failed] + 1]))
    ends = np.unique(np.concatenate([upper, entry]))
    begins = begins[begins <= ends.max(initial=-1)]
    end = ends[np.searchsorted(ends, begins)]
    inner = np.append(begins[1:], np.iinfo(np.int64).max) > end
    begins, end = begins[inner], end[inner]

    watched_from = np.searchsorted(begins, entry + 1)
    sound_to = np.searchsorted(end, lower, side="right")
    # Sound up to just before an exact age, at which it failed.
    sound_to[np.flatnonzero(failed)[exact]] = np.searchsorted(end, upper[exact], side="left")
    sound = sound_to > watched_from
    outlived = run_sums(watched_from[sound], sound_to[sound] - 1, seen.weight[sound], len(begins))
    first = np.searchsorted(begins, begin)
    last = np.searchsorted(end, upper, side="right") - 1
    # Where nobody was watched and no failure can lie, any chance explains the records as well as
    # none: nothing failed there, so none is put there.
    steps = np.bincount(first, minlength=len(begins) + 1).astype(np.int64)
    steps -= np.bincount(last + 1, minlength=len(begins) + 1)
    held = np.cumsum(steps)[: len(begins)] > 0
    begins, end, outlived = begins[held], end[held], outlived[held]
    place = np.cumsum(held) - 1
    first, last = place[first], place[last]
    size = max(len(begins), 1)
    runs, at = np.unique(first * size + last, return_inverse=True)
    count = np.bincount(at, seen.weight[failed], len(runs)).astype(np.float64)
    return Innermost(
        age_from=ages[begins // 2] if len(begins) else np.empty(0),
        age_to=ages[end // 2] if len(begins) else np.empty(0),
        outlived=outlived,
        first=(runs // size).astype(np.int64),
        last=(runs % size).astype(np.int64),
        count=count,
    )
