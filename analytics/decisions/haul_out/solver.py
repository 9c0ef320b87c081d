"""An integer program of columns that are taken or not, handed to HiGHS, watched while it runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, isfinite
from time import monotonic
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

Status = Literal["within the gap", "out of time", "stopped"]


@dataclass(frozen=True, eq=False)
class Program:
    """Minimise cost @ x over x of 0 and 1, with low <= A x <= high.

    Attributes
    ----------
    cost : array, shape (columns,)
    row, column : array of int, shape (entries,)
        Where A is not 0.
    entry : array, shape (entries,)
    low, high : array, shape (rows,)
    constant : float
        Added to the cost.
    """

    cost: Floats
    row: Ints
    column: Ints
    entry: Floats
    low: Floats
    high: Floats
    constant: float = 0.0

    def with_row(self, entries: Floats, high: float) -> Program:
        """The same with one more row over all columns: entries @ x <= high."""
        some = np.flatnonzero(entries)
        return Program(
            self.cost,
            np.concatenate([self.row, np.full(len(some), len(self.low))]),
            np.concatenate([self.column, some]),
            np.concatenate([self.entry, entries[some]]),
            np.append(self.low, -inf),
            np.append(self.high, high),
            self.constant,
        )


@dataclass(frozen=True, eq=False)
class Found:
    """What the search found.

    Attributes
    ----------
    taken : array of int, shape (columns,)
        0 or 1.
    bound : float
        No x costs less; the constant is in it.
    status : str
    """

    taken: Ints
    bound: float
    status: Status


def solved(
    program: Program,
    start: Ints,
    *,
    gap: float,
    seconds: float,
    seed: int,
    tell: Callable[[float, float], None],
    stop: Callable[[], bool],
) -> Found:
    """Search for the x of least cost.

    Parameters
    ----------
    start : array of int, shape (columns,)
        An x that keeps every row; the answer costs no more.
    gap : float
        Share of the cost.
    seconds : float
    seed : int
    tell : callable
        Told cost and bound of the best x so far.
    stop : callable
        Asked over and over; True ends the search.
    """
    from highspy import HighsModelStatus, SolutionStatus

    if not len(program.cost):
        return Found(start, program.constant, "within the gap")
    watching = _Watching(program.constant + float(program.cost @ start), tell, stop)
    if stop():
        return Found(start, -inf, "stopped")
    highs = _handed_over(program, gap, seconds, seed)
    highs.cbMipInterrupt.subscribe(watching)
    highs.run()
    if watching.failed is not None:
        raise watching.failed
    info, taken = highs.getInfo(), start
    if info.primal_solution_status == SolutionStatus.kSolutionStatusFeasible:
        found = np.rint(highs.getSolution().col_value).astype(np.int64)
        if _keeps(program, found) and program.cost @ found < program.cost @ start:
            taken = found
    ended: Status = "out of time"
    if watching.stopped:
        ended = "stopped"
    elif highs.getModelStatus() == HighsModelStatus.kOptimal:
        ended = "within the gap"
    bound = float(info.mip_dual_bound)
    return Found(taken, bound if isfinite(bound) else -inf, ended)


def prices_of_rows(program: Program) -> Floats:
    """What one unit more of each row's `high` would save, if columns could be split.

    The duals of the linear relaxation: a hint at where room is dear, not its worth.
    """
    highs = _handed_over(program, 0.0, inf, 0, whole=False)
    highs.run()
    return -np.asarray(highs.getSolution().row_dual)


class _Watching:
    """Passes on what HiGHS reports, and asks whether to go on."""

    def __init__(
        self, cost: float, tell: Callable[[float, float], None], stop: Callable[[], bool]
    ) -> None:
        self.cost, self.tell, self.stop = cost, tell, stop
        self.stopped = False
        self.failed: Exception | None = None
        self._last = -inf

    def __call__(self, event: Any) -> None:
        now = monotonic()
        if self.stopped:
            event.interrupt()
        # Asking a hundred times a second would cost more than it tells.
        if now - self._last < 0.1:
            return
        self._last = now
        try:
            self.tell(
                min(self.cost, event.data_out.mip_primal_bound), event.data_out.mip_dual_bound
            )
            self.stopped = self.stop()
        except Exception as failed:  # an exception cannot pass through the solver
            self.failed, self.stopped = failed, True
        if self.stopped:
            event.interrupt()


def _keeps(program: Program, taken: Ints) -> bool:
    sums = np.bincount(program.row, program.entry * taken[program.column], len(program.low))
    return bool((sums >= program.low - 1e-6).all() and (sums <= program.high + 1e-6).all())


def _handed_over(
    program: Program, gap: float, seconds: float, seed: int, whole: bool = True
) -> Any:
    import highspy

    order = np.argsort(program.column, kind="stable")
    columns, rows = len(program.cost), len(program.low)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = columns, rows
    model.col_cost_ = program.cost
    model.col_lower_, model.col_upper_ = np.zeros(columns), np.ones(columns)
    model.row_lower_ = np.where(np.isfinite(program.low), program.low, -highspy.kHighsInf)
    model.row_upper_ = np.where(np.isfinite(program.high), program.high, highspy.kHighsInf)
    model.offset_ = program.constant
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    counts = np.bincount(program.column, minlength=columns)
    model.a_matrix_.start_ = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
    model.a_matrix_.index_ = program.row[order].astype(np.int32)
    model.a_matrix_.value_ = program.entry[order]
    if whole:
        model.integrality_ = [highspy.HighsVarType.kInteger] * columns

    class Quiet(highspy.Highs):
        """It prints who it is as soon as callbacks are set, unless silent before."""

        def enableCallbacks(self) -> None:  # noqa: N802
            self.silent()
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    highs = Quiet()  # type: ignore[no-untyped-call]
    # One thread: the same plan on every machine, and a core left for whoever watches. Without
    # presolve: a fleet of 1,000 boats takes a third of the time, and HiGHS 1.16 carried a start
    # into the presolved program at too low a cost, and called it the best. For the same reason
    # no start is handed over; the caller compares.
    settings: dict[str, str | int | float] = {
        "threads": 1,
        "parallel": "off",
        "presolve": "off",
        "random_seed": seed,
        "mip_rel_gap": gap,
        "mip_abs_gap": 1e-6,
        "time_limit": min(seconds, 1e9),
    }
    for option, value in settings.items():
        highs.setOptionValue(option, value)
    highs.passModel(model)
    return highs
