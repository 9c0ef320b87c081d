"""The plan of least cost as an integer program.

Each boat takes one of her options (a week and a set of jobs) or is not lifted, which always is
possible and has its cost; so there always is a plan. In each week the slots, the hours of the
trades and the places ashore bound what is chosen. Rules stand above cost: first the number of
jobs that must be done and are not is brought as low as it goes, then cost, with that number held.

The form is assignment with several choices and knapsack limits, as any text on integer
programming has it (from memory); bound and gap are those of branch and cut in HiGHS.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from time import monotonic

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.options import STAY, Options
from analytics.decisions.haul_out.packing import first_plan, improved
from analytics.decisions.haul_out.solver import Program, Status, prices_of_rows, solved

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

GAP = 0.01
SECONDS = 60.0


@dataclass(frozen=True)
class Progress:
    """How far the search is.

    Attributes
    ----------
    seconds : float
        Since it started.
    cost : float
        Of the best plan so far, moves included.
    bound : float
        No plan costs less; -inf where nothing is known yet.
    """

    seconds: float
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """Share of the cost that a better plan could save at most."""
        return gap_of(self.cost, self.bound)


@dataclass(frozen=True, eq=False)
class Choice:
    """What was chosen, and how sure it is that nothing is cheaper.

    Attributes
    ----------
    chosen : array of int, shape (boats,)
        An option for each boat, or `STAY`.
    bound : float
        Money, moves included: no plan with as few must-do jobs undone costs less.
    status : str
        "within the gap", "out of time" or "stopped".
    fewest_proven : bool
        Whether no plan leaves fewer of the jobs undone that must be done.
    seconds : float
    """

    chosen: Ints
    bound: float
    status: Status
    fewest_proven: bool
    seconds: float


Watch = Callable[[Progress], None]
Stop = Callable[[], bool]


def gap_of(cost: float, bound: float) -> float:
    """Share of the cost that lies between it and the bound; 0 where they meet."""
    if cost - bound <= 1e-6:
        return 0.0
    return (cost - bound) / abs(cost) if cost else inf


def least_cost(
    options: Options,
    *,
    gap: float = GAP,
    seconds: float = SECONDS,
    seed: int = 0,
    start: Ints | None = None,
    watch: Watch | None = None,
    stop: Stop | None = None,
) -> Choice:
    """Choose an option for each boat so that the whole costs least.

    Parameters
    ----------
    gap : float
        Share of the cost; the search ends when no plan can be cheaper by more.
    seconds : float
        Of search at most; what is then best is returned. On a slower machine a plan that ran
        out of time may differ; one within its gap does not.
    seed : int
    start : array of int, shape (boats,), optional
        A plan that keeps the limits, from which to start.
    watch : callable, optional
        Told of the progress, ten times a second at most, in the thread that solves.
    stop : callable, optional
        Asked as often; True ends the search with the best plan so far.

    Raises
    ------
    ValueError
        If boats that are promised or pinned leave no plan: see `conflicts.conflicts`.
    """
    began = monotonic()

    def tell(cost: float, bound: float) -> None:
        if watch is not None:
            watch(Progress(monotonic() - began, cost, bound))

    def ended() -> bool:
        return stop is not None and stop()

    musts = (options.musts > 0) & ~options.fixed & (np.diff(options.first) > 0)
    best = first_plan(options, start)
    if (best[options.fixed] < 0).any():
        raise ValueError("boats that are promised or pinned do not fit beside each other")
    proven = not (best[musts] < 0).any()
    if not proven:
        needs = _Needs.fewest_undone(options, musts)
        begin = needs.taken_by(options, _leanest(options, best, musts | options.fixed))
        found = solved(
            needs.program,
            begin,
            gap=0.0,
            seconds=seconds / 3,
            seed=seed,
            tell=lambda cost, bound: None,
            stop=ended,
        )
        best = first_plan(options, needs.chosen(options, found.taken))
        proven = found.status == "within the gap"
    costs = _Needs.least_cost(options, best)
    found = solved(
        costs.program,
        costs.taken_by(options, best),
        gap=gap,
        seconds=max(seconds - (monotonic() - began), 0.1),
        seed=seed,
        tell=tell,
        stop=ended,
    )
    chosen = costs.chosen(options, found.taken)
    # The search ends within a gap; what one boat alone could still do better is put right.
    better = improved(options, chosen)
    bound = max(found.bound, _cheapest_of_each(options))
    status = found.status if proven or found.status == "stopped" else "out of time"
    return Choice(better, bound, status, proven, monotonic() - began)


def prices_of_limits(options: Options, chosen: Ints) -> tuple[Floats, Floats, Floats]:
    """What one more slot, hour and place in each week would save if boats could be split.

    A hint at where they are dear, each of shape (weeks,): the duals of the linear relaxation.
    """
    weeks, boats = len(options.slots), options.boats
    program = _Needs.least_cost(options, chosen).program
    if not len(program.cost):
        return np.zeros(weeks), np.zeros(weeks), np.zeros(weeks)
    slots, hours, places = prices_of_rows(program)[boats : boats + 3 * weeks].reshape(3, weeks)
    return slots, hours, places


@dataclass(frozen=True, eq=False)
class _Needs:
    """A program, and what its columns mean: first some options, then some boats that stay."""

    options: Ints
    stays: Ints
    program: Program

    @classmethod
    def fewest_undone(cls, options: Options, musts: Bools) -> _Needs:
        needed = musts | options.fixed
        # The leanest set of jobs takes least room: where it does not fit, no other does.
        keep = np.flatnonzero(needed[options.boat] & (options.bundle == 0))
        stays = np.flatnonzero(musts)
        undone = options.musts[stays].astype(np.float64)
        return cls(keep, stays, _program(options, keep, stays, np.zeros(len(keep)), undone, 0.0))

    @classmethod
    def least_cost(cls, options: Options, best: Ints) -> _Needs:
        """Least cost, with no more undone than in a plan."""
        total, stay = options.cost + options.moving, options.stay + options.stay_moving
        some = np.diff(options.first) > 0
        left = options.undone(np.where(some, best, 0))
        must = options.musts > 0
        # What costs more than staying is best only where a rule asks for it.
        asked = (must | options.fixed)[options.boat]
        keep = np.flatnonzero(asked | (total < stay[options.boat]))
        stays = np.flatnonzero(some & ~options.fixed & ~(must & (left == 0)))
        program = _program(options, keep, stays, total[keep], stay[stays], float(stay[~some].sum()))
        if left > 0:
            undone = np.concatenate([np.zeros(len(keep)), options.musts[stays]])
            program = program.with_row(undone, left)
        return cls(keep, stays, program)

    def taken_by(self, options: Options, chosen: Ints) -> Ints:
        taken = np.zeros(len(self.program.cost), dtype=np.int64)
        taken[: len(self.options)] = chosen[options.boat[self.options]] == self.options
        taken[len(self.options) :] = chosen[self.stays] < 0
        return taken

    def chosen(self, options: Options, taken: Ints) -> Ints:
        chosen = np.full(options.boats, STAY)
        lifted = self.options[taken[: len(self.options)] == 1]
        chosen[options.boat[lifted]] = lifted
        return chosen


def _program(
    options: Options, keep: Ints, stays: Ints, cost: Floats, stay_cost: Floats, constant: float
) -> Program:
    """Rows: one a boat, then slots, hours and places of each week."""
    boats, weeks, count = options.boats, len(options.slots), len(keep)
    columns = np.arange(count)
    cover, hours = options.cover[keep], options.hours[keep]
    ashore, span = cover >= 0, cover.shape[1]
    wide = np.repeat(columns, span).reshape(-1, span)
    row = np.concatenate(
        [
            options.boat[keep],
            stays,
            boats + options.week[keep],
            boats + weeks + cover[ashore],
            boats + 2 * weeks + cover[ashore],
        ]
    )
    column = np.concatenate(
        [columns, count + np.arange(len(stays)), columns, wide[ashore], wide[ashore]]
    )
    entry = np.ones(len(row))
    begin = 2 * count + len(stays)
    entry[begin : begin + int(ashore.sum())] = hours[ashore]
    high = np.concatenate([np.ones(boats), options.slots, options.hours_cap, options.places])
    low = np.full(len(high), -inf)
    filled = np.zeros(boats, dtype=bool)
    filled[options.boat[keep]] = True
    filled[stays] = True
    low[:boats][filled] = 1.0
    return Program(np.concatenate([cost, stay_cost]), row, column, entry, low, high, constant)


def _leanest(options: Options, chosen: Ints, which: Bools) -> Ints:
    """The same weeks with the leanest sets of jobs, of some boats; the others stay."""
    lean = np.full(options.boats, STAY)
    for boat in np.flatnonzero(which & (chosen >= 0)):
        own = options.of(int(boat))
        same = (options.week[own] == options.week[chosen[boat]]) & (options.bundle[own] == 0)
        lean[boat] = own.start + int(same.argmax())
    return lean


def _cheapest_of_each(options: Options) -> float:
    """What every boat would cost if she had the yard to herself: no plan costs less."""
    total, stay = options.cost + options.moving, options.stay + options.stay_moving
    least = np.where(options.fixed, inf, stay)
    np.minimum.at(least, options.boat, total)
    return float(least.sum())
