"""What a haul-out plan is made from: the yard's weeks, the boats, and the jobs they ask for.

A week runs seven days from its `start`. A boat is lifted at the start of a week at most once,
and stands ashore for as many days as her jobs take. All money is in one currency, and is the
cost expected from today on; what is past does not count.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property

WEEK = timedelta(days=7)

Sizes = tuple[tuple[str, str], ...]

SIZES: Sizes = (("length", "m"), ("beam", "m"), ("weight", "t"), ("draught", "m"))
"""What a lift limits, and in which unit."""


@dataclass(frozen=True)
class Week:
    """A week of the yard.

    Attributes
    ----------
    start : date
        Its first day, on which boats are lifted.
    slots : int
        Boats that the lift can take out; 0 in a week in which it is closed.
    hours : float or None
        Hours that the trades have for these jobs; None where they do not limit.
    places : int or None
        Boats that can stand ashore; None where they do not limit.
    depth : float or None
        Metres of water in the dock at the tide that is used; None where it does not limit.
    note : str
        What a reader should know: a holiday, a gale season.
    """

    start: date
    slots: int
    hours: float | None = None
    places: int | None = None
    depth: float | None = None
    note: str = ""


@dataclass(frozen=True)
class LiftLimits:
    """The largest boat that the lift takes: metres, and tonnes. None where it is not limited."""

    length: float | None = None
    beam: float | None = None
    weight: float | None = None
    draught: float | None = None


@dataclass(frozen=True)
class Yard:
    """The yard over the weeks that are planned.

    Attributes
    ----------
    weeks : tuple of Week
    labour : float
        Money an hour.
    hours_a_day : float
        Hours worked on one boat in a day.
    days_a_week : int
        Days worked in a week.
    least_days : int
        Days ashore of a boat however short her jobs.
    limits : LiftLimits
    name : str
    """

    weeks: tuple[Week, ...]
    labour: float = 0.0
    hours_a_day: float = 8.0
    days_a_week: int = 5
    least_days: int = 1
    limits: LiftLimits = field(default_factory=LiftLimits)
    name: str = ""

    @cached_property
    def by_start(self) -> dict[date, int]:
        """Place of each week in the list, by its first day."""
        return {week.start: place for place, week in enumerate(self.weeks)}

    def days_ashore(self, hours: float) -> int:
        """Days from lift to launch: days of work, the days off between them, at least the least."""
        if hours <= 0:
            return self.least_days
        worked = int(-(-(hours - 1e-9) // self.hours_a_day))
        off = (7 - self.days_a_week) * ((worked - 1) // self.days_a_week)
        return max(self.least_days, worked + off)

    def hours_by_week(self, hours: float) -> tuple[float, ...]:
        """Hours in each week ashore, the first first: worked off as early as the days allow."""
        days = self.days_ashore(hours)
        full = self.hours_a_day * self.days_a_week
        return tuple(min(max(hours - full * passed, 0.0), full) for passed in range(-(-days // 7)))


@dataclass(frozen=True)
class Job:
    """A job that a boat could have done while she is ashore.

    Attributes
    ----------
    key : str
        One of a kind on its boat.
    line : str
        Shaft line whose strip-down it shares with other jobs; "" for a job that shares none.
    kind : str
        Kind of component, in words.
    saving : float
        Money: expected cost of waiting until the lift after this season, from the last week
        planned on, less the price of the part and of what else the job alone brings. Labour
        is not in it. Below 0 where waiting is cheaper than the part.
    alone_hours : float
        Labour, done alone.
    shared_hours : float
        Labour, when the line is stripped down for another job.
    waiting : tuple of float
        Money: expected cost of each week planned, in their order, in which it is not yet
        done; empty where waiting within the season costs nothing.
    must : bool
        A rule above cost asks for it: a written limit passed, a risk ceiling exceeded, a
        promise.
    why_must : str
        That rule, in words that fit behind "because".
    accepted_by : str
        Who accepts that it is left undone; "" for nobody. A job accepted is weighed by cost.
    """

    key: str
    line: str
    kind: str
    saving: float
    alone_hours: float
    shared_hours: float
    waiting: tuple[float, ...] = ()
    must: bool = False
    why_must: str = ""
    accepted_by: str = ""

    @property
    def binding(self) -> bool:
        """Whether it must be done, and nobody has accepted that it is not."""
        return self.must and not self.accepted_by


@dataclass(frozen=True)
class BoatAsk:
    """A boat, and what she asks of the yard.

    Attributes
    ----------
    boat : str
    jobs : tuple of Job
    base : str
    haul_cost : float
        Money: lift, block, launch and storage of one haul-out.
    waiting : float or tuple of float
        Money: what each week before she is lifted costs whatever is done then; one number for
        every week, or one for each in their order.
    left_cost : float
        Money: what it costs, beside her jobs, that she is not lifted at all.
    booked : frozenset of date
        Starts of weeks in which she is on charter: she can neither be lifted nor stand ashore.
        See `weeks_touched`.
    forbidden : frozenset of date
        Starts of weeks in which the user does not want her lifted.
    pinned : date or None
        Start of the week in which the user wants her lifted.
    promised : date or None
        Start of the week that is promised already.
    last_week : date or None
        Start of her week in the last plan.
    last_jobs : frozenset of str
        Keys of her jobs in the last plan.
    length, beam, draught : float or None
        Metres; None where not known.
    weight : float or None
        Tonnes.
    """

    boat: str
    jobs: tuple[Job, ...] = ()
    base: str = ""
    haul_cost: float = 0.0
    waiting: float | tuple[float, ...] = 0.0
    left_cost: float = 0.0
    booked: frozenset[date] = frozenset()
    forbidden: frozenset[date] = frozenset()
    pinned: date | None = None
    promised: date | None = None
    last_week: date | None = None
    last_jobs: frozenset[str] = frozenset()
    length: float | None = None
    beam: float | None = None
    weight: float | None = None
    draught: float | None = None

    @property
    def fixed(self) -> date | None:
        """The week in which she must be lifted: what is promised comes before what is pinned."""
        return self.promised if self.promised is not None else self.pinned

    @property
    def binding(self) -> tuple[Job, ...]:
        """Her jobs that must be done."""
        return tuple(job for job in self.jobs if job.binding)

    def weekly(self, weeks: int) -> tuple[float, ...]:
        """Money of each week that she waits."""
        if isinstance(self.waiting, tuple):
            return self.waiting
        return (float(self.waiting),) * weeks


@dataclass(frozen=True)
class Problem:
    """One yard and the boats that it serves over one season.

    Attributes
    ----------
    yard : Yard
    boats : tuple of BoatAsk
        In any order: the plan does not depend on it.
    moving_cost : float
        Money at which a boat of the last plan is taken out of her week: of talk and of trust.
        It weighs in the choice, and is told apart from the cost of the plan.
    currency : str
    """

    yard: Yard
    boats: tuple[BoatAsk, ...]
    moving_cost: float = 0.0
    currency: str = ""

    def in_order(self) -> Problem:
        """The same, boats by name and weeks by day; costs by week go with their weeks."""
        weeks = self.yard.weeks
        places = sorted(range(len(weeks)), key=lambda place: weeks[place].start)
        boats = sorted(self.boats, key=lambda ask: ask.boat)
        if places == list(range(len(weeks))):
            return replace(self, boats=tuple(boats))
        return replace(
            self,
            yard=replace(self.yard, weeks=tuple(weeks[place] for place in places)),
            boats=tuple(
                replace(
                    ask,
                    waiting=_reordered(ask.weekly(len(weeks)), places),
                    jobs=tuple(
                        replace(job, waiting=_reordered(job.waiting, places)) for job in ask.jobs
                    ),
                )
                for ask in boats
            ),
        )


def _reordered(costs: tuple[float, ...], places: list[int]) -> tuple[float, ...]:
    """Costs by week in a new order; those that are not one for each week stay as they are."""
    return tuple(costs[place] for place in places) if len(costs) == len(places) else costs


def weeks_touched(weeks: Iterable[Week], first: date, last: date) -> frozenset[date]:
    """Starts of the weeks that have a day from `first` to `last`, both within.

    For charters: change-over days count as booked, for no lift fits into them.
    """
    return frozenset(
        week.start for week in weeks if week.start <= last and first < week.start + WEEK
    )
