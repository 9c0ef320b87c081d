"""Every way in which each boat could be hauled: week and jobs, what it costs and takes up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.admission import Bar, bar
from analytics.decisions.haul_out.bundles import Bundle, Bundles, bundles_of, undone_cost
from analytics.decisions.haul_out.problem import WEEK, BoatAsk, Problem

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

T = TypeVar("T", bound=np.generic)

STAY = -1
"""In place of an option: the boat is not lifted."""


@dataclass(frozen=True, eq=False)
class Options:
    """The options of all boats, those of one boat together, boats in the order of the problem.

    Attributes
    ----------
    boat, week, bundle : array of int, shape (options,)
        Which boat, which week, which of the boat's `bundles`.
    cost : array, shape (options,)
        Money of the boat over the season and until the lift after it: haul, labour, waiting,
        and what is left undone. The price of a part is in the saving of its job.
    moving : array, shape (options,)
        Money of leaving the week of the last plan.
    cover : array of int, shape (options, weeks ashore)
        Weeks in which the boat stands ashore; -1 past them, and in weeks that the yard's
        list does not hold.
    hours : array, shape (options, weeks ashore)
        Hours worked in each of them.
    first : array of int, shape (boats + 1,)
        Options of boat b are first[b] to first[b + 1].
    stay, stay_moving : array, shape (boats,)
        The same money where the boat is not lifted.
    musts : array of int, shape (boats,)
        Jobs that must be done, each of them undone where the boat is not lifted.
    fixed : array of bool, shape (boats,)
        Promised or pinned: not lifting her is no option.
    bundles : tuple of Bundles
        For each boat.
    bars : tuple of tuple of Bar or None
        For each boat and week, what stands against it for the leanest set.
    slots, hours_cap, places : array, shape (weeks,)
        What each week has; infinite where it does not limit.
    """

    boat: Ints
    week: Ints
    bundle: Ints
    cost: Floats
    moving: Floats
    cover: Ints
    hours: Floats
    first: Ints
    stay: Floats
    stay_moving: Floats
    musts: Ints
    fixed: Bools
    bundles: tuple[Bundles, ...]
    bars: tuple[tuple[Bar | None, ...], ...]
    slots: Floats
    hours_cap: Floats
    places: Floats

    def __len__(self) -> int:
        return len(self.cost)

    @property
    def boats(self) -> int:
        """How many."""
        return len(self.stay)

    def of(self, boat: int) -> slice:
        """Where the options of a boat stand."""
        return slice(int(self.first[boat]), int(self.first[boat + 1]))

    def jobs(self, option: int) -> Bundle:
        """The set of jobs of an option."""
        return self.bundles[int(self.boat[option])].sets[int(self.bundle[option])]

    def money(self, chosen: Ints) -> tuple[float, float]:
        """Cost of a choice and cost of its moves; `chosen` holds an option or `STAY` a boat."""
        lifted = chosen >= 0
        taken = chosen[lifted]
        return (
            float(self.cost[taken].sum() + self.stay[~lifted].sum()),
            float(self.moving[taken].sum() + self.stay_moving[~lifted].sum()),
        )

    def undone(self, chosen: Ints) -> int:
        """Jobs that must be done, and are not, of a choice."""
        return int(self.musts[chosen < 0].sum())


def options_of(problem: Problem) -> Options:
    """All options of a problem whose boats and weeks are in order."""
    yard, asks = problem.yard, problem.boats
    weeks = len(yard.weeks)
    bundles = tuple(bundles_of(ask, yard) for ask in asks)
    tables = [_of_boat(problem, ask, own) for ask, own in zip(asks, bundles, strict=True)]
    counts = [len(table.week) for table in tables]
    span = max((table.cover.shape[1] for table in tables), default=1)
    limits = yard.weeks
    return Options(
        boat=np.repeat(np.arange(len(asks)), counts),
        week=_joined([table.week for table in tables], np.int64),
        bundle=_joined([table.bundle for table in tables], np.int64),
        cost=_joined([table.cost for table in tables], np.float64),
        moving=_joined([table.moving for table in tables], np.float64),
        cover=_stacked([table.cover for table in tables], span, -1, np.int64),
        hours=_stacked([table.hours for table in tables], span, 0.0, np.float64),
        first=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        stay=np.array(
            [undone_cost(ask) + sum(ask.weekly(weeks)) + ask.left_cost for ask in asks], dtype=float
        ),
        stay_moving=np.array(
            [0.0 if ask.last_week is None else problem.moving_cost for ask in asks], dtype=float
        ),
        musts=np.array([len(ask.binding) for ask in asks], dtype=np.int64),
        fixed=np.array([ask.fixed is not None for ask in asks], dtype=bool),
        bundles=bundles,
        bars=tuple(table.bars for table in tables),
        slots=np.array([week.slots for week in limits], dtype=float),
        hours_cap=_caps([week.hours for week in limits]),
        places=_caps([week.places for week in limits]),
    )


@dataclass(frozen=True, eq=False)
class _OfBoat:
    week: Ints
    bundle: Ints
    cost: Floats
    moving: Floats
    cover: Ints
    hours: Floats
    bars: tuple[Bar | None, ...]


def _of_boat(problem: Problem, ask: BoatAsk, bundles: Bundles) -> _OfBoat:
    yard, sets = problem.yard, bundles.sets
    before = np.concatenate([[0.0], np.cumsum(ask.weekly(len(yard.weeks)))])
    undone = undone_cost(ask)
    worked = [yard.hours_by_week(one.hours) for one in sets]
    span = max(len(hours) for hours in worked)
    rows: list[tuple[int, int]] = []
    cover: list[list[int]] = []
    hours: list[list[float]] = []
    bars: list[Bar | None] = []
    for place, week in enumerate(yard.weeks):
        bars.append(bar(ask, yard, week, sets[0].hours))
        if bars[-1]:
            continue
        ahead = [yard.by_start.get(week.start + passed * WEEK, -1) for passed in range(span)]
        for number, one in enumerate(sets):
            if number and bar(ask, yard, week, one.hours):
                continue
            ashore = len(worked[number])
            rows.append((place, number))
            cover.append(ahead[:ashore] + [-1] * (span - ashore))
            hours.append([*worked[number], *[0.0] * (span - ashore)])
    at = np.array(rows, dtype=np.int64).reshape(-1, 2)
    values = np.stack([one.values for one in sets])
    moved = [
        problem.moving_cost if ask.last_week not in (None, week.start) else 0.0
        for week in yard.weeks
    ]
    return _OfBoat(
        week=at[:, 0],
        bundle=at[:, 1],
        cost=ask.haul_cost + before[at[:, 0]] + undone - values[at[:, 1], at[:, 0]],
        moving=np.array(moved, dtype=float)[at[:, 0]],
        cover=np.array(cover, dtype=np.int64).reshape(-1, span),
        hours=np.array(hours, dtype=float).reshape(-1, span),
        bars=tuple(bars),
    )


def _joined(arrays: list[npt.NDArray[T]], of: type[T]) -> npt.NDArray[T]:
    return np.concatenate([np.empty(0, of), *arrays])


def _stacked(arrays: list[npt.NDArray[T]], span: int, empty: float, of: type[T]) -> npt.NDArray[T]:
    """Rows of arrays of different widths, filled up on the right."""
    wide = np.full((sum(len(one) for one in arrays), span), empty, dtype=of)
    row = 0
    for one in arrays:
        wide[row : row + len(one), : one.shape[1]] = one
        row += len(one)
    return wide


def _caps(limits: Sequence[float | None]) -> Floats:
    return np.array([np.inf if one is None else one for one in limits], dtype=float)
