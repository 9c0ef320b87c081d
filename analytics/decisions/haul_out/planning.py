"""A problem planned: checked, solved, and told boat by boat."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from analytics.decisions.haul_out.conflicts import Conflict, conflicts, questions
from analytics.decisions.haul_out.model import (
    GAP,
    SECONDS,
    Choice,
    Stop,
    Watch,
    gap_of,
    least_cost,
)
from analytics.decisions.haul_out.options import Options, options_of
from analytics.decisions.haul_out.packing import kept_to, taken_up
from analytics.decisions.haul_out.plan import (
    Haul,
    JobChoice,
    LeftBoat,
    Move,
    Plan,
    Waiver,
    WeekLoad,
    WhyLeft,
)
from analytics.decisions.haul_out.problem import BoatAsk, Problem
from analytics.decisions.haul_out.reasons import Reasons

Ints = npt.NDArray[np.int64]


def haul_out_plan(
    problem: Problem,
    *,
    gap: float = GAP,
    seconds: float = SECONDS,
    seed: int = 0,
    watch: Watch | None = None,
    stop: Stop | None = None,
) -> Plan:
    """Plan the season at least cost, rules first.

    Parameters
    ----------
    gap : float
        Share of the cost at which the search may end.
    seconds : float
        Of search at most.
    seed : int
    watch, stop : callable, optional
        See `model.least_cost`.

    Returns
    -------
    Plan
        Of status "contradiction", and empty but for its conflicts, where the problem
        contradicts itself.
    """
    against = conflicts(problem)
    if any(one.blocks for one in against):
        return Plan(conflicts=against)
    problem = problem.in_order()
    options = options_of(problem)
    last = {
        ask.boat: (ask.last_week, ask.last_jobs)
        for ask in problem.boats
        if ask.last_week is not None
    }
    choice = least_cost(
        options,
        gap=gap,
        seconds=seconds,
        seed=seed,
        start=kept_to(options, wanted(problem, options, last)) if last else None,
        watch=watch,
        stop=stop,
    )
    return _told(problem, options, choice, against)


def wanted(
    problem: Problem, options: Options, sets: Mapping[str, tuple[date, frozenset[str]]]
) -> Ints:
    """The options nearest to some weeks and sets of jobs; -1 for a boat with none in that week."""
    starts = [week.start for week in problem.yard.weeks]
    found = np.full(options.boats, -1)
    for boat, ask in enumerate(problem.boats):
        week, jobs = sets.get(ask.boat, (None, frozenset()))
        own = options.of(boat)
        if week not in starts:
            continue
        here = own.start + np.flatnonzero(options.week[own] == starts.index(week))
        if len(here):
            apart = [len(jobs.symmetric_difference(options.jobs(int(one)).jobs)) for one in here]
            found[boat] = here[int(np.argmin(apart))]
    return found


def _told(
    problem: Problem, options: Options, choice: Choice, against: tuple[Conflict, ...]
) -> Plan:
    chosen = choice.chosen
    reasons = Reasons(problem, options, chosen)
    hauls, left, jobs, waivers = [], [], list[JobChoice](), list[Waiver]()
    for boat, ask in enumerate(problem.boats):
        stays = None
        if chosen[boat] >= 0:
            hauls.append(_haul(problem, options, reasons, boat, int(chosen[boat])))
        else:
            stays = _left(options, reasons, boat, ask)
            left.append(stays)
        own = _jobs(problem, options, reasons, boat, int(chosen[boat]))
        jobs += own
        waivers += [
            Waiver(
                ask.boat,
                job.key,
                job.why_must,
                job.accepted_by,
                told.because if stays is None else stays.because,
            )
            for job, told in zip(ask.jobs, own, strict=True)
            if job.must and not told.done
        ]
    cost, moving = options.money(chosen)
    return Plan(
        hauls=tuple(hauls),
        jobs=tuple(jobs),
        left=tuple(left),
        waivers=tuple(waivers),
        moves=_moves(problem, {haul.boat: haul for haul in hauls}),
        weeks=_loads(problem, options, chosen),
        cost=cost,
        moving=moving,
        bound=choice.bound,
        gap=gap_of(cost + moving, choice.bound),
        status=choice.status,
        exact=all(own.exact for own in options.bundles),
        fewest_proven=choice.fewest_proven,
        conflicts=against,
        questions=questions(problem),
        seconds=choice.seconds,
    )


def _haul(problem: Problem, options: Options, reasons: Reasons, boat: int, option: int) -> Haul:
    ask, bundle = problem.boats[boat], options.jobs(option)
    week = problem.yard.weeks[options.week[option]].start
    return Haul(
        boat=ask.boat,
        base=ask.base,
        week=week,
        launch=week + timedelta(days=bundle.days),
        days=bundle.days,
        hours=bundle.hours,
        jobs=bundle.jobs,
        left=tuple(job.key for job in ask.jobs if job.key not in bundle.jobs),
        cost=float(options.cost[option]),
        saves=float(options.stay[boat] - options.cost[option]),
        because=reasons.of_week(boat),
    )


def _left(options: Options, reasons: Reasons, boat: int, ask: BoatAsk) -> LeftBoat:
    costs = options.cost[options.of(boat)]
    stay = float(options.stay[boat])
    forgone = max(stay - float(costs.min()), 0.0) if len(costs) else 0.0
    must = tuple(job.key for job in ask.binding)
    why: WhyLeft = "no room"
    if not len(costs):
        why = "no week admits her"
    elif forgone <= 0 and not must:
        why = "does not pay"
    return LeftBoat(ask.boat, ask.base, why, stay, forgone, must, reasons.of_staying(boat))


def _jobs(
    problem: Problem, options: Options, reasons: Reasons, boat: int, option: int
) -> list[JobChoice]:
    ask = problem.boats[boat]
    week = problem.yard.weeks[options.week[option]].start if option >= 0 else None
    told = []
    for job in ask.jobs:
        why = reasons.of_job(boat, job)
        told.append(
            JobChoice(
                ask.boat,
                job.key,
                job.line,
                job.kind,
                week,
                why.done,
                job.must,
                why.saving,
                why.hours,
                why.text,
            )
        )
    return told


def _moves(problem: Problem, hauls: Mapping[str, Haul]) -> tuple[Move, ...]:
    if all(ask.last_week is None for ask in problem.boats):
        return ()
    moves = []
    for ask in problem.boats:
        haul = hauls.get(ask.boat)
        after = None if haul is None else haul.week
        now = frozenset() if haul is None else frozenset(haul.jobs)
        before = ask.last_jobs if ask.last_week is not None else frozenset()
        there = {job.key for job in ask.jobs}
        added = tuple(job.key for job in ask.jobs if job.key in now - before)
        # A job no longer asked for is done or withdrawn: that is no change of the plan.
        dropped = tuple(sorted((before & there) - now))
        if after != ask.last_week or added or dropped:
            text = Reasons.of_move(ask.boat, ask.last_week, after, added, dropped)
            moves.append(Move(ask.boat, ask.last_week, after, added, dropped, text))
    return tuple(moves)


def _loads(problem: Problem, options: Options, chosen: Ints) -> tuple[WeekLoad, ...]:
    slots, hours, places = taken_up(options, chosen)
    return tuple(
        WeekLoad(
            week=week.start,
            slots=float(week.slots),
            slots_used=float(slots[place]),
            hours=week.hours,
            hours_used=float(hours[place]),
            places=week.places,
            places_used=float(places[place]),
            note=week.note,
        )
        for place, week in enumerate(problem.yard.weeks)
    )
