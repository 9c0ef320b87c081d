"""Which sets of jobs are worth thinking about for one boat: more hours only for more value.

Jobs of one shaft line share one strip-down: together they take the sum of the hours that each
takes with the line stripped, and the longest strip-down among them once. Lines add up, so the
sets of each line are found first, all of them, and then put together; what takes longer than
another set and is worth no more in any week is dropped on the way.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.problem import BoatAsk, Job, Yard

Floats = npt.NDArray[np.float64]

EXACT_JOBS = 10
"""Jobs of one line, beside those that must be done, of which every set is looked at."""

MOST_SETS = 200
"""Sets kept while lines are put together."""

MOST_BUNDLES = 24
"""Sets of jobs of one boat that the plan chooses from."""


@dataclass(frozen=True, eq=False)
class Bundle:
    """A set of jobs done in one haul-out.

    Attributes
    ----------
    jobs : tuple of str
        Their keys, in the order of the boat's jobs.
    hours : float
        Labour, each strip-down once.
    days : int
        Ashore.
    values : array, shape (weeks,)
        Money that it saves if done in each week, labour taken off.
    """

    jobs: tuple[str, ...]
    hours: float
    days: int
    values: Floats


@dataclass(frozen=True)
class Bundles:
    """The sets of jobs of one boat, the leanest first.

    Attributes
    ----------
    sets : tuple of Bundle
        The first holds only what must be done.
    exact : bool
        Whether nothing that could be best was left out: not where a line has more than
        `EXACT_JOBS` jobs worth doing, nor where more than `MOST_BUNDLES` sets stand.
    """

    sets: tuple[Bundle, ...] = field(compare=False)
    exact: bool


def shared_labour(jobs: tuple[Job, ...] | list[Job]) -> float:
    """Hours of some jobs of one boat, the strip-down of each line once."""
    total, strip_downs = 0.0, dict[str, float]()
    for job in jobs:
        total += job.shared_hours if job.line else job.alone_hours
        if job.line:
            own = job.alone_hours - job.shared_hours
            strip_downs[job.line] = max(strip_downs.get(job.line, own), own)
    return total + sum(strip_downs.values())


def job_values(job: Job, weeks: int) -> Floats:
    """Money that a job saves if done in each week, before labour; shape (weeks,)."""
    if not job.waiting:
        return np.full(weeks, float(job.saving))
    return float(job.saving) + np.cumsum(np.asarray(job.waiting, dtype=float)[::-1])[::-1]


def undone_cost(ask: BoatAsk) -> float:
    """Money that a boat's jobs cost if none of them is done; what saves nothing counts 0."""
    return float(sum(max(job.saving + sum(job.waiting), 0.0) for job in ask.jobs))


def bundles_of(ask: BoatAsk, yard: Yard) -> Bundles:
    """The sets of a boat's jobs from which the plan chooses.

    Each holds all jobs that must be done. A job is left out where even beside a strip-down
    that is paid for it saves less than its labour costs, in every week. Of a line with more
    than `EXACT_JOBS` others, sets are built up one job at a time, or all the rest at once,
    whichever then saves most for each hour added.
    """
    weeks = len(yard.weeks)
    groups: dict[tuple[str, int], list[int]] = {}
    for place, job in enumerate(ask.jobs):
        groups.setdefault((job.line, -1) if job.line else ("", place), []).append(place)
    found = [_Set(frozenset(), 0.0, np.zeros(weeks))]
    exact = True
    for places in groups.values():
        sets, all_looked_at = _sets_of_line(ask.jobs, places, yard.labour, weeks)
        exact &= all_looked_at
        found = _worth_keeping(
            [
                _Set(one.places | other.places, one.hours + other.hours, one.values + other.values)
                for one in found
                for other in sets
            ]
        )
        if len(found) > MOST_SETS:
            found, exact = _spread(found, MOST_SETS), False
    if len(found) > MOST_BUNDLES:
        found, exact = _spread(found, MOST_BUNDLES), False
    return Bundles(
        tuple(
            Bundle(
                tuple(ask.jobs[place].key for place in sorted(one.places)),
                one.hours,
                yard.days_ashore(one.hours),
                one.values,
            )
            for one in found
        ),
        exact,
    )


@dataclass(frozen=True, eq=False)
class _Set:
    places: frozenset[int]
    hours: float
    values: Floats


def _sets_of_line(
    jobs: tuple[Job, ...], places: list[int], labour: float, weeks: int
) -> tuple[list[_Set], bool]:
    values = {place: job_values(jobs[place], weeks) for place in places}

    def as_set(chosen: list[int]) -> _Set:
        hours = shared_labour([jobs[place] for place in chosen])
        saved = np.sum([values[place] for place in chosen], axis=0) if chosen else np.zeros(weeks)
        return _Set(frozenset(chosen), hours, saved - labour * hours)

    must = [place for place in places if jobs[place].binding]
    free = [
        place
        for place in places
        if not jobs[place].binding and values[place].max(initial=0.0) > labour * _least(jobs[place])
    ]
    if len(free) <= EXACT_JOBS:
        subsets = (
            [place for bit, place in enumerate(free) if mask >> bit & 1]
            for mask in range(1 << len(free))
        )
        return _worth_keeping([as_set(must + subset) for subset in subsets]), True
    chosen, sets = must, [as_set(must)]
    while free:
        now = sets[-1]
        steps = [(as_set([*chosen, place]), [place]) for place in free]
        steps.append((as_set(chosen + free), free))
        best, added = max(steps, key=lambda step: _gain_per_hour(now, step[0]))
        sets.append(best)
        chosen = chosen + added
        free = [place for place in free if place not in added]
    return _worth_keeping(sets), False


def _least(job: Job) -> float:
    return job.shared_hours if job.line else job.alone_hours


def _gain_per_hour(before: _Set, after: _Set) -> float:
    gain = float((after.values - before.values).max(initial=-np.inf))
    return gain / max(after.hours - before.hours, 1e-6)


def _worth_keeping(sets: list[_Set]) -> list[_Set]:
    """Those that no other beats: fewer hours, or more value in some week."""
    sets.sort(key=lambda one: (one.hours, -one.values.sum(), len(one.places), sorted(one.places)))
    kept: list[_Set] = []
    front = np.empty((len(sets), sets[0].values.size))
    for one in sets:
        if not (front[: len(kept)] >= one.values - 1e-9).all(axis=1).any():
            front[len(kept)] = one.values
            kept.append(one)
    return kept


def _spread(sets: list[_Set], most: int) -> list[_Set]:
    """So many of them, evenly over their order by hours, both ends among them."""
    return [
        sets[place] for place in np.unique(np.linspace(0, len(sets) - 1, most).round().astype(int))
    ]
