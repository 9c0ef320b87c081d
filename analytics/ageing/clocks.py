"""Ages of every life on both clocks, at the days that the likelihood asks about.

A known day of fitting is one node; a window is many (Gauss-Legendre), so that
an integral over the unknown day is a weighted sum over nodes. Wear-out runs on
the kind's own clock, early failures on years: calendar years for a part that
ages by the calendar, years of use for one that ages by shaft hours, because a
bad fit shows itself only once the shaft turns. Both ages are kept for each node.

Shaft hours are known at services only. Where those of a life that has ended may be
far from the straight line between services (`hours_run`), each of its nodes becomes
two, with the same mean, spread and skewness of hours. A part in service keeps one:
what its hours may be belongs to the outlook, together with those to come.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.hours_run import HoursRun, hours_run
from analytics.ageing.removals import known_start, removals, taken_out
from analytics.lives import IN_SERVICE, Lives
from analytics.usage import DAYS_PER_YEAR, day_numbers

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

EXACT, INTERVAL, CENSORED = 0, 1, 2

HALF_DAY = 0.5
"""A part removed on the day it was fitted has run for half a day: zero ages fit no curve."""

HALF_HOUR = 0.5
"""The least that a failed part on the hours clock has run, where its meter shows nothing."""

UNSURE = 0.1
"""Standard deviation of the hours of a life, as a share of them, from which on it is carried along:
beside a spread of lives of 25 % (a Weibull shape of 5) a tenth adds less than a tenth to it."""

_NODES = {False: 6, True: 16}
"""Nodes in a window: of up to a year and a half, and of more."""


@dataclass(frozen=True)
class Nodes:
    """Ages of lives at every node of their fitting windows.

    Attributes
    ----------
    life : ndarray of int, shape (n_nodes,)
        Position of the life in the table given; nodes of a life lie together.
    first : ndarray of int, shape (n_lives,)
        First node of each life.
    weight : ndarray, shape (n_nodes,)
        Weights of a day of fitting; they add up to 1 in each life. Uniform over
        the window, and in a wide one times the chance that nothing but ageing
        took the part out before its end (and that it was taken out then, if it
        was), see `removals`.
    start : ndarray, shape (n_nodes,)
        Day of fitting, days since 1970-01-01.
    entry, lower, upper : ndarray, shape (n_nodes,)
        Age on the kind's clock when first watched, and at both ends of the end
        window; 0 <= entry <= lower <= upper.
    entry_years, lower_years, upper_years : ndarray, shape (n_nodes,)
        The same in years: of the calendar, or of use (see `usage.active_years`)
        where the clock is shaft hours.
    outcome : ndarray of int, shape (n_lives,)
        `EXACT` failure at `upper`, failure in an `INTERVAL` (lower, upper], or
        `CENSORED` at `lower`.
    count : ndarray, shape (n_lives,)
        How many identical lives each one stands for.
    entry_weight : ndarray, shape (n_nodes,), or None
        Weights of a day of fitting for a part of which it is known only that
        it was in place when first watched; None where they are `weight`.
    """

    life: Ints
    first: Ints
    weight: Floats
    start: Floats
    entry: Floats
    lower: Floats
    upper: Floats
    entry_years: Floats
    lower_years: Floats
    upper_years: Floats
    outcome: Ints
    count: Floats
    entry_weight: Floats | None = None

    @property
    def n_lives(self) -> int:
        """Number of (distinct) lives."""
        return len(self.first)


def nodes_of(lives: Lives, table: pd.DataFrame, *, ignore_entry: bool = False) -> Nodes:
    """Ages of the lives of one kind.

    Parameters
    ----------
    lives : Lives
        For the shaft hours.
    table : DataFrame
        Rows of `lives.table`, all on the same clock.
    ignore_entry : bool
        Pretend that every life was watched from its fitting. Wrong for parts
        that were fitted before the records began; here to show how wrong.
    """
    seen = day_numbers(table["seen_from"])
    end_lo, end_hi = day_numbers(table["end_lo"]), day_numbers(table["end_hi"])
    failed = (table["outcome"] == "failed").to_numpy()
    outcome = np.where(failed, np.where(end_lo < end_hi, INTERVAL, EXACT), CENSORED)

    life, start, weight = _fitting_days(lives, table, failed)
    days = _days(life, start, outcome, seen, end_lo, end_hi, ignore_entry=ignore_entry)
    spread = _unsure_hours(lives, table, life, start, days)
    if spread.any():
        life = np.repeat(life, 1 + spread)
        start, weight = np.repeat(start, 1 + spread), np.repeat(weight, 1 + spread)
        days = {name: np.repeat(day, 1 + spread) for name, day in days.items()}
    ages, years, share = _ages(lives, table, life, start, days, spread, outcome)
    first = np.searchsorted(life, np.arange(len(table))).astype(np.int64)
    by_end, by_entry = _weighed(table, weight, first, life, days, start)
    if share is not None:
        at_end, at_entry = share
        by_end = _shares(by_end * at_end, first, life)
        by_entry = _shares(by_entry * at_entry, first, life)
    return Nodes(
        life=life,
        first=first,
        weight=by_end,
        entry_weight=by_entry,
        start=start,
        outcome=outcome.astype(np.int64),
        count=np.ones(len(table)),
        **ages,
        **{f"{name}_years": spent for name, spent in years.items()},
    )


def _days(
    life: Ints,
    start: Floats,
    outcome: Ints,
    seen: Floats,
    end_lo: Floats,
    end_hi: Floats,
    *,
    ignore_entry: bool,
) -> dict[str, Floats]:
    """Day first watched, and both ends of the end window, at every node."""
    exact, censored = (outcome[life] == kind for kind in (EXACT, CENSORED))
    watched = start if ignore_entry else np.fmax(start, seen[life])
    upper = np.maximum(end_hi[life], start + HALF_DAY)
    lower = np.where(exact, upper, np.maximum(end_lo[life], start))
    watched = np.minimum(watched, np.where(censored, lower, upper))
    # Nothing is known of a life before it was watched, so no failure window reaches back past it.
    return {"entry": watched, "lower": np.maximum(lower, watched), "upper": upper}


def _fitting_days(
    lives: Lives, table: pd.DataFrame, failed: npt.NDArray[np.bool_]
) -> tuple[Ints, Floats, Floats]:
    """Nodes of every fitting window: the life each belongs to, its day and its weight."""
    lo, hi = day_numbers(table["start_lo"]), day_numbers(table["start_hi"])
    seen = day_numbers(table["seen_from"])
    end_lo, end_hi = day_numbers(table["end_lo"]), day_numbers(table["end_hi"])
    began = table["place_began"].to_numpy()
    early_days = lives.settings.kind(table["kind"].iloc[0]).early_days if len(table) else 0
    nodes = []
    for i in range(len(table)):
        corners = [seen[i], end_lo[i]]
        if failed[i]:
            # Fitted later than this, a part that failed can have failed early.
            corners += [end_lo[i] - early_days, end_hi[i] - early_days]
        if began[i]:
            corners.append(lo[i] + DAYS_PER_YEAR)
        nodes.append(_window_nodes(lo[i], hi[i], corners))
    if not nodes:
        return np.empty(0, dtype=np.int64), np.empty(0), np.empty(0)
    life = np.repeat(np.arange(len(nodes), dtype=np.int64), [len(day) for day, _ in nodes])
    days, weights = (np.concatenate(part) for part in zip(*nodes, strict=True))
    return life, days, weights


def _unsure_hours(
    lives: Lives, table: pd.DataFrame, life: Ints, start: Floats, days: dict[str, Floats]
) -> npt.NDArray[np.bool_]:
    """Nodes of ended lives whose hours may be far from those of the straight line."""
    if not len(table) or table["clock"].iloc[0] == "years":
        return np.zeros(len(life), dtype=bool)
    line = lives.usage.line_of(table["boat"], table["position"])[life]
    run = hours_run(lives.usage, line, start, days["upper"])
    unsure = run.sd > UNSURE * run.mean
    ended = (table["outcome"] != IN_SERVICE).to_numpy()[life]
    # All nodes of a life or none, so that its days keep their weights.
    return np.asarray(ended & np.bincount(life, unsure, len(table)).astype(bool)[life])


def _ages(
    lives: Lives,
    table: pd.DataFrame,
    life: Ints,
    start: Floats,
    days: dict[str, Floats],
    spread: npt.NDArray[np.bool_],
    outcome: Ints,
) -> tuple[dict[str, Floats], dict[str, Floats], tuple[Floats, Floats] | None]:
    """Ages on the clock, and in years (of use for the hours clock), at the days named.

    The third answer is what the weights of nodes are multiplied by where hours are spread, at
    the end and at the entry.
    """
    if not len(table) or table["clock"].iloc[0] == "years":
        years = {name: (day - start) / DAYS_PER_YEAR for name, day in days.items()}
        return years, years, None
    usage = lives.usage
    line = usage.line_of(table["boat"], table["position"])[life]
    used = usage.years_of_use(line, start)
    years = {name: usage.years_of_use(line, day) - used for name, day in days.items()}
    # All days of a line in one go: each look-up goes from line to line.
    every = np.concatenate([start, *days.values()])
    ran, *ran_by = np.split(usage.hours_at(np.tile(line, 1 + len(days)), every), 1 + len(days))
    ages = {name: np.maximum(by - ran, 0.0) for name, by in zip(days, ran_by, strict=True)}
    share = None
    if spread.any():
        pairs = np.flatnonzero(np.repeat(spread, 1 + spread))
        share = _spread(lives, line[pairs], start[pairs], days, ages, pairs, outcome[life[pairs]])
    # A meter that stands still must not make a failure impossible.
    least = np.where(days["lower"] < days["upper"], ages["lower"], 0.0) + HALF_HOUR
    ages["upper"] = np.maximum(ages["upper"], least)
    return ages, years, share


def _spread(
    lives: Lives,
    line: Ints,
    start: Floats,
    days: dict[str, Floats],
    ages: dict[str, Floats],
    pairs: Ints,
    outcome: Ints,
) -> tuple[Floats, Floats]:
    """Move the ages of pairs of nodes apart, in place; weights of the nodes at end and entry."""
    ends: dict[str, HoursRun] = {
        name: hours_run(lives.usage, line, start, day[pairs]) for name, day in days.items()
    }
    points, weights = ends["upper"].two_points()
    which = np.arange(len(pairs)) % 2
    point, weight = (of[np.arange(len(pairs)), which] for of in (points, weights))
    at_entry = np.ones(len(days["upper"]))
    at_entry[pairs] = weight
    at_end = at_entry.copy()
    before = np.zeros(len(pairs))
    for name in ("entry", "lower", "upper"):
        ages[name][pairs] = before = np.maximum(ends[name].at(point), before)
    # A failure is dated by day: a boat that runs more passes through its hours in fewer days.
    end = ends["upper"]
    faster = np.divide(ages["upper"][pairs], end.mean, out=np.ones(len(pairs)), where=end.mean > 0)
    at_end[pairs] *= np.where((outcome == EXACT) & end.end_assumed, faster, 1.0)
    return at_end, at_entry


def collapsed(nodes: Nodes) -> Nodes:
    """Lives whose nodes are the same become one, counted; the likelihood is unchanged."""
    ages = np.column_stack(
        [
            nodes.weight,
            _entry_weight(nodes),
            nodes.entry,
            nodes.lower,
            nodes.upper,
            nodes.entry_years,
            nodes.lower_years,
            nodes.upper_years,
        ]
    )
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    seen: dict[bytes, int] = {}
    kept: list[int] = []
    count: list[float] = []
    for i in range(nodes.n_lives):
        key = bytes([nodes.outcome[i]]) + ages[nodes.first[i] : nodes.first[i] + sizes[i]].tobytes()
        if key in seen:
            count[seen[key]] += nodes.count[i]
        else:
            seen[key] = len(kept)
            kept.append(i)
            count.append(nodes.count[i])
    return _chosen(nodes, np.array(kept, dtype=np.int64), np.array(count))


def _chosen(nodes: Nodes, kept: Ints, count: Floats) -> Nodes:
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[kept]
    rows = np.concatenate(
        [np.arange(nodes.first[i], nodes.first[i] + n) for i, n in zip(kept, sizes, strict=True)]
        or [np.empty(0, dtype=np.int64)]
    ).astype(np.int64)
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)[: len(kept)]
    per_node = {
        name: getattr(nodes, name)[rows]
        for name in (
            "weight",
            "start",
            "entry",
            "lower",
            "upper",
            "entry_years",
            "lower_years",
            "upper_years",
        )
    }
    life = np.repeat(np.arange(len(kept), dtype=np.int64), sizes)
    return Nodes(
        life=life,
        first=first,
        outcome=nodes.outcome[kept],
        count=count,
        entry_weight=_entry_weight(nodes)[rows],
        **per_node,
    )


def _entry_weight(nodes: Nodes) -> Floats:
    return nodes.weight if nodes.entry_weight is None else nodes.entry_weight


def _weighed(
    table: pd.DataFrame,
    weight: Floats,
    first: Ints,
    life: Ints,
    days: dict[str, Floats],
    start: Floats,
) -> tuple[Floats, Floats]:
    """Weights of the days of fitting: given how the life ended, and given that it was watched."""
    undated = ~known_start(table)[life]
    if not undated.any():
        return weight, weight
    others = removals(table)
    # Where a part must have been fitted when the window begins, it most likely still is that one:
    # the first of a place comes for certain in its first year, a later one at the fleet's rate.
    since_lo = start - day_numbers(table["start_lo"])[life]
    later = table["place_began"].to_numpy()[life] & (since_lo > DAYS_PER_YEAR)
    weight = np.where(later, weight * others.renewals, weight)
    end_age = ((days["lower"] + days["upper"]) / 2 - start) / DAYS_PER_YEAR
    kept = np.exp(-others.cumulative(end_age))
    ended = np.where(taken_out(table)[life], others.rate_at(end_age), 1.0)
    entered = np.exp(-others.cumulative((days["entry"] - start) / DAYS_PER_YEAR))
    return (
        _shares(np.where(undated, weight * kept * ended, weight), first, life),
        _shares(np.where(undated, weight * entered, weight), first, life),
    )


def _shares(weight: Floats, first: Ints, life: Ints) -> Floats:
    return np.asarray(weight / np.add.reduceat(weight, first)[life])


@lru_cache(maxsize=4)
def _gauss_legendre(n: int) -> tuple[Floats, Floats]:
    x, w = np.polynomial.legendre.leggauss(n)
    return x, w


def _window_nodes(lo: float, hi: float, kinks: list[float]) -> tuple[Floats, Floats]:
    """Days and weights that integrate over a window, split where the integrand has a corner."""
    if hi - lo < 1:
        return np.array([lo]), np.array([1.0])
    edges = [lo, *sorted(k for k in set(kinks) if lo < k < hi), hi]
    days, weights = [], []
    for a, b in pairwise(edges):
        x, w = _gauss_legendre(_NODES[b - a > 550])
        days.append((a + b) / 2 + (b - a) / 2 * x)
        weights.append((b - a) / (2 * (hi - lo)) * w)
    return np.concatenate(days), np.concatenate(weights)
