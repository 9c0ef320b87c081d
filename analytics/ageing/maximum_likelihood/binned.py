"""Ages of lives reduced to the few sums that their log-likelihood is made of.

With S = exp(-H), a life watched from age e adds to the log-likelihood::

    failed at b                 log h(b) - H(b) + H(e)
    failed somewhere in (a, b]  log(1 - exp(H(a) - H(b))) - H(a) + H(e)
    sound when last seen at a   - H(a) + H(e)

so that H enters as a sum over ages at exit less a sum over ages at entry, and no
life needs both at once. Each margin is counted on its own, age by age, where ages
are whole days (or halves, or hours): a million lives become a few thousand
counts, without any rounding. Only failures in a window keep their two ages together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.float64] | npt.NDArray[np.int64]

UNITS = (1.0, 0.5 / DAYS_PER_YEAR)
"""Steps that ages may come in: whole days or hours; half days, where ages are in years."""

_OFF_GRID = 1e-7
"""Share of a step that an age in years may lie off a whole one: what division leaves."""


@dataclass(frozen=True)
class Ages:
    """Ages of lives whose fitting is known: 0 <= entry <= lower <= upper < infinity.

    Attributes
    ----------
    entry : ndarray, shape (n,), or None
        Age when first watched; None where all were watched from new.
    lower, upper : ndarray, shape (n,)
        Both ends of the end window; the same array but for failures in a window.
    exact : ndarray of bool, shape (n,)
        Failed at `upper`.
    inside : ndarray of bool, shape (n,), or None
        Failed somewhere in (lower, upper]; None where none did. Lives that are
        neither were sound at `lower`.
    count : ndarray, shape (n,), or None
        Identical lives that each row stands for; None for one each.
    """

    entry: Numbers | None
    lower: Numbers
    upper: Numbers
    exact: Flags
    inside: Flags | None = None
    count: Floats | None = None

    @classmethod
    def seen_through(
        cls,
        age: npt.ArrayLike,
        failed: npt.ArrayLike,
        entry: npt.ArrayLike | None = None,
        count: npt.ArrayLike | None = None,
    ) -> Ages:
        """Lives that failed at their age exactly, or were sound at it.

        Raises
        ------
        ValueError
            Where not 0 <= entry <= age < infinity.
        """
        at = _numbers(age)
        return cls(
            _entries(entry, at), at, at, np.asarray(failed, dtype=bool), None, _counts(count, at)
        )

    @classmethod
    def inspected(
        cls,
        lower: npt.ArrayLike,
        upper: npt.ArrayLike,
        entry: npt.ArrayLike | None = None,
        count: npt.ArrayLike | None = None,
    ) -> Ages:
        """Failures in (lower, upper]; exact where both are equal, none yet where upper is infinite.

        Raises
        ------
        ValueError
            Where not 0 <= entry <= lower <= upper, or lower is infinite.
        """
        low, high = _numbers(lower), np.asarray(upper, dtype=float)
        if not (low <= high).all():
            raise ValueError("an end window runs from its lower age to its upper one")
        known = np.isfinite(high)
        exact = low == high
        inside = known & ~exact
        return cls(
            _entries(entry, low),
            low,
            np.where(known, high, low),
            exact,
            inside if inside.any() else None,
            _counts(count, low),
        )

    @classmethod
    def of_nodes(cls, nodes: Nodes, lives: Flags) -> Ages:
        """Those of the lives chosen that have a single node."""
        at = nodes.first[lives]
        outcome = nodes.outcome[lives]
        inside = outcome == INTERVAL
        upper = np.where(outcome == CENSORED, nodes.lower[at], nodes.upper[at])
        exact = outcome == EXACT
        return cls(
            nodes.entry[at],
            np.where(exact, upper, nodes.lower[at]),
            upper,
            exact,
            inside if inside.any() else None,
            nodes.count[lives],
        )


@dataclass(frozen=True)
class Margins:
    """What a log-likelihood needs of lives whose fitting is known.

    Attributes
    ----------
    log_age, net : ndarray, shape (n,)
        Logarithms of ages, and how many lives left less how many entered at each.
    log_failed, failed : ndarray, shape (m,)
        Logarithms of the ages of exact failures, and how many at each.
    log_after, log_by, found : ndarray, shape (k,)
        Failures in windows: logarithms of both ages (minus infinity at age 0), and how many.
    lives, failures : float
        Lives, and failures, exact and in windows.
    at_zero : bool
        A failure at age 0 is among them.
    one_age : bool
        A single age of failure, the same for all, would make the lives certain.
    never_watched : bool
        Every life ended at the age at which its watching began.
    """

    log_age: Floats
    net: Floats
    log_failed: Floats
    failed: Floats
    log_after: Floats
    log_by: Floats
    found: Floats
    lives: float
    failures: float
    at_zero: bool
    one_age: bool
    never_watched: bool


def margins(ages: Ages) -> Margins:
    """Lives counted by age; row by row where their ages come in no whole steps."""
    grid = _grid(ages)
    at_zero = bool((ages.exact & (ages.upper == 0)).any()) if _touches_zero(ages) else False
    log_age, net, log_failed, failed = _counted(ages, grid) if grid else _row_by_row(ages)
    log_after, log_by, found = _windows(ages, grid)
    soonest = min(log_failed.min(initial=np.inf), log_by.min(initial=np.inf))
    last = float(ages.lower.max()) if len(ages.lower) else 0.0
    return Margins(
        log_age,
        net,
        log_failed,
        failed,
        log_after,
        log_by,
        found,
        lives=float(len(ages.lower) if ages.count is None else ages.count.sum()),
        failures=_deaths(ages),
        at_zero=at_zero,
        # No life outlasted the age by which the first failure was over. A last age of 0 is less.
        one_age=last == 0 or bool(np.log(last) <= soonest + 1e-12),
        never_watched=not len(found) and not _watched(ages),
    )


@dataclass(frozen=True)
class _Grid:
    """Ages as whole steps."""

    step: float
    entry: Ints | None
    lower: Ints
    upper: Ints

    def log_age(self, cells: Ints) -> Floats:
        """Logarithms of the ages; minus infinity at 0."""
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(cells * self.step))


def _grid(ages: Ages) -> _Grid | None:
    """Ages as whole steps, where they come in them and steps are not many more than lives."""
    n = len(ages.lower)
    if not n:
        return None
    oldest = float(ages.upper.max())
    for step in UNITS:
        if oldest / step > 4 * n + 100_000:
            continue
        # A glance at a few ages spares the work on all of them where the step is wrong.
        if _cells(ages.lower[:50], step) is None:
            continue
        lower = _cells(ages.lower, step)
        upper = lower if ages.upper is ages.lower else _cells(ages.upper, step)
        entry = None if ages.entry is None else _cells(ages.entry, step)
        if lower is not None and upper is not None and (ages.entry is None or entry is not None):
            return _Grid(step, entry, lower, upper)
    return None


def _cells(age: Numbers, step: float) -> Ints | None:
    if age.dtype.kind in "iu":
        return age.astype(np.int64, copy=False) if step == 1 else None
    if step == 1:
        cells = age.astype(np.int64)
        return cells if bool((cells == age).all()) else None
    scaled = age / step
    whole = np.rint(scaled)
    return whole.astype(np.int64) if bool((np.abs(scaled - whole) < _OFF_GRID).all()) else None


def _counted(ages: Ages, grid: _Grid) -> tuple[Floats, Floats, Floats, Floats]:
    size = int(grid.upper.max()) + 1
    net = np.bincount(grid.lower, weights=ages.count, minlength=size).astype(float)
    if grid.entry is not None:
        net -= np.bincount(grid.entry, weights=ages.count, minlength=size)
    exact = ages.exact.astype(float) if ages.count is None else ages.exact * ages.count
    failed = np.bincount(grid.lower, weights=exact, minlength=size).astype(float)
    # Age 0 has no cumulative hazard, and its logarithm no place in a sum.
    used, died = np.flatnonzero(net[1:]) + 1, np.flatnonzero(failed[1:]) + 1
    return grid.log_age(used), net[used], grid.log_age(died), failed[died]


def _row_by_row(ages: Ages) -> tuple[Floats, Floats, Floats, Floats]:
    count = np.ones(len(ages.lower)) if ages.count is None else ages.count
    lived = ages.lower > 0
    with np.errstate(divide="ignore"):
        log_lower = np.log(ages.lower)
    log_age, net = log_lower[lived], count[lived]
    if ages.entry is not None:
        late = ages.entry > 0
        log_age = np.concatenate([log_age, np.log(ages.entry[late])])
        net = np.concatenate([net, -count[late]])
    died = ages.exact & lived
    return log_age, net, log_lower[died], count[died]


def _windows(ages: Ages, grid: _Grid | None) -> tuple[Floats, Floats, Floats]:
    """Failures in windows, those of the same two ages counted together."""
    if ages.inside is None:
        return np.empty(0), np.empty(0), np.empty(0)
    count = np.ones(int(ages.inside.sum())) if ages.count is None else ages.count[ages.inside]
    if grid is None:
        with np.errstate(divide="ignore"):
            return np.log(ages.lower[ages.inside]), np.log(ages.upper[ages.inside]), count
    lower, upper = grid.lower[ages.inside], grid.upper[ages.inside]
    wide = int((upper - lower).max()) + 1
    code = lower * wide + (upper - lower)
    if int(code.max()) < 8 * len(code) + 100_000:
        found = np.bincount(code, weights=count)
        distinct = np.flatnonzero(found)
        found = found[distinct]
    else:
        distinct, which = np.unique(code, return_inverse=True)
        found = np.bincount(which, weights=count)
    weight: Floats = found.astype(float)
    after = distinct // wide
    return grid.log_age(after), grid.log_age(after + distinct % wide), weight


def _deaths(ages: Ages) -> float:
    failed = ages.exact if ages.inside is None else ages.exact | ages.inside
    return float(failed.sum() if ages.count is None else failed @ ages.count)


def _watched(ages: Ages) -> bool:
    if ages.entry is None or not len(ages.entry):
        return len(ages.lower) > 0
    # The first life mostly answers for all.
    return bool(ages.lower[0] > ages.entry[0]) or bool((ages.lower > ages.entry).any())


def _touches_zero(ages: Ages) -> bool:
    return len(ages.upper) > 0 and float(ages.upper.min()) == 0


def _numbers(age: npt.ArrayLike) -> Numbers:
    given = np.asarray(age)
    at: Numbers = given if given.dtype.kind in "iu" else given.astype(float, copy=False)
    if len(at) and not (at.min() >= 0 and at.max() < np.inf):
        raise ValueError("ages are finite and not below 0")
    return at


def _entries(entry: npt.ArrayLike | None, lower: Numbers) -> Numbers | None:
    if entry is None:
        return None
    at = _numbers(np.broadcast_to(np.asarray(entry), lower.shape))
    if (at > lower).any():
        raise ValueError("no life is watched from an age beyond its end")
    return at


def _counts(count: npt.ArrayLike | None, lower: Numbers) -> Floats | None:
    if count is None:
        return None
    lives = np.asarray(count, dtype=float)
    if lives.shape != lower.shape or not (lives >= 0).all():
        raise ValueError("there is one count a row, not below 0")
    return lives
