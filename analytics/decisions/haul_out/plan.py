"""The haul-out plan: week and jobs of each boat, why, what is left, what moved, what it costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date
from typing import Any, Literal

import pandas as pd

from analytics.decisions.haul_out.conflicts import Conflict

PlanStatus = Literal["within the gap", "out of time", "stopped", "contradiction"]

WhyLeft = Literal["no week admits her", "does not pay", "no room"]


@dataclass(frozen=True)
class Haul:
    """A boat lifted.

    Attributes
    ----------
    boat, base : str
    week : date
        Start of the week of her lift.
    launch : date
        First day on which she can be afloat again.
    days : int
        Ashore.
    hours : float
        Labour, each strip-down once.
    jobs : tuple of str
        Keys of what is done.
    left : tuple of str
        Keys of what is not.
    cost : float
        Money over the season and until the lift after it: haul, labour, waiting, and what is
        left undone.
    saves : float
        Money that not lifting her would cost more; below 0 where a rule or a promise asks for it.
    because : str
        Why this week.
    """

    boat: str
    base: str
    week: date
    launch: date
    days: int
    hours: float
    jobs: tuple[str, ...]
    left: tuple[str, ...]
    cost: float
    saves: float
    because: str


@dataclass(frozen=True)
class JobChoice:
    """A job, done or left.

    Attributes
    ----------
    boat, job, line, kind : str
    week : date or None
        Of the lift; None where the boat is not lifted.
    done : bool
    must : bool
        A rule asks for it.
    saving : float
        Money that doing it then saves, before labour; where the boat is not lifted, that of the
        first week.
    hours : float
        Labour that it adds, or would add, to the other work of that haul-out.
    because : str
    """

    boat: str
    job: str
    line: str
    kind: str
    week: date | None
    done: bool
    must: bool
    saving: float
    hours: float
    because: str


@dataclass(frozen=True)
class LeftBoat:
    """A boat that is not lifted.

    Attributes
    ----------
    boat, base : str
    why : str
        "no week admits her", "does not pay" or "no room".
    risk : float
        Money expected until the lift after this season, for what is left undone and for waiting.
    forgone : float
        Money that her best week would have saved, had she the yard to herself; 0 where none.
    must : tuple of str
        Keys of jobs that must be done, and are not.
    because : str
    """

    boat: str
    base: str
    why: WhyLeft
    risk: float
    forgone: float
    must: tuple[str, ...]
    because: str


@dataclass(frozen=True)
class Waiver:
    """A job that must be done and is left: an exception that a named person has to accept.

    Attributes
    ----------
    boat, job, why_must : str
    accepted_by : str
        "" where nobody has accepted it yet.
    because : str
        Why it is left.
    """

    boat: str
    job: str
    why_must: str
    accepted_by: str
    because: str


@dataclass(frozen=True)
class Move:
    """What differs from the last plan for a boat.

    Attributes
    ----------
    boat : str
    before, after : date or None
        Start of her week; None where she was not, or is not, lifted.
    added, dropped : tuple of str
        Keys of jobs.
    text : str
    """

    boat: str
    before: date | None
    after: date | None
    added: tuple[str, ...]
    dropped: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class WeekLoad:
    """What a week of the yard has, and what the plan takes. None where it does not limit."""

    week: date
    slots: float
    slots_used: float
    hours: float | None
    hours_used: float
    places: int | None
    places_used: float
    note: str

    @property
    def full(self) -> bool:
        """Whether no slot is left in a week that has some."""
        return 0 < self.slots <= self.slots_used


@dataclass(frozen=True)
class Plan:
    """A haul-out plan, or why there is none.

    Attributes
    ----------
    hauls : tuple of Haul
        By boat.
    jobs : tuple of JobChoice
        By boat, in the order of her jobs.
    left : tuple of LeftBoat
        Boats not lifted, by boat.
    waivers : tuple of Waiver
    moves : tuple of Move
        Against the last plan, if any boat has one.
    weeks : tuple of WeekLoad
    cost : float
        Money of all boats; the cost of moves is not in it.
    moving : float
        Money of moves, as it was weighed.
    bound : float
        No plan with as few must-do jobs undone costs less, moves included.
    gap : float
        Share of cost and moves by which a better plan could be cheaper at most.
    status : str
        "within the gap", "out of time", "stopped" or "contradiction" (then there is no plan).
    exact : bool
        Whether all useful sets of jobs were looked at; else the bound is of those that were.
    fewest_proven : bool
        Whether no plan leaves fewer of the jobs undone that must be done.
    conflicts : tuple of Conflict
    questions : tuple of str
    seconds : float
        That the search took: of the machine, not of the plan.
    """

    hauls: tuple[Haul, ...] = ()
    jobs: tuple[JobChoice, ...] = ()
    left: tuple[LeftBoat, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    moves: tuple[Move, ...] = ()
    weeks: tuple[WeekLoad, ...] = ()
    cost: float = 0.0
    moving: float = 0.0
    bound: float = 0.0
    gap: float = 0.0
    status: PlanStatus = "contradiction"
    exact: bool = True
    fewest_proven: bool = True
    conflicts: tuple[Conflict, ...] = ()
    questions: tuple[str, ...] = ()
    seconds: float = 0.0

    @property
    def sets(self) -> Mapping[str, tuple[date, frozenset[str]]]:
        """Week and jobs of each boat that is lifted."""
        return {haul.boat: (haul.week, frozenset(haul.jobs)) for haul in self.hauls}

    @property
    def to_accept(self) -> tuple[Waiver, ...]:
        """Exceptions that nobody has accepted yet."""
        return tuple(waiver for waiver in self.waivers if not waiver.accepted_by)


def table_of(rows: Sequence[Any], of: type) -> pd.DataFrame:
    """Rows of one of the dataclasses here as a table with a column for each field."""
    names = [field.name for field in fields(of)]
    return pd.DataFrame([asdict(row) for row in rows], columns=names)
