"""A problem changed by hand: pin, forbid, a job done, a boat or a slot more, a plan to keep to."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from analytics.decisions.haul_out.plan import Plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem


def pinned(problem: Problem, boat: str, week: date | None) -> Problem:
    """A boat held to the week that starts on a day; None releases her.

    Raises
    ------
    KeyError
        Here and below, if there is no such boat.
    """
    return _changed(problem, replace(_asked(problem, boat), pinned=week))


def forbidden(problem: Problem, boat: str, week: date) -> Problem:
    """A boat kept out of a week."""
    ask = _asked(problem, boat)
    return _changed(problem, replace(ask, forbidden=ask.forbidden | {week}))


def allowed(problem: Problem, boat: str, week: date) -> Problem:
    """A boat no longer kept out of a week."""
    ask = _asked(problem, boat)
    return _changed(problem, replace(ask, forbidden=ask.forbidden - {week}))


def job_done(problem: Problem, boat: str, key: str) -> Problem:
    """A job taken off the list: it is done.

    Raises
    ------
    KeyError
        If there is no such boat or job.
    """
    ask = _with_job(problem, boat, key)
    return _changed(problem, replace(ask, jobs=tuple(job for job in ask.jobs if job.key != key)))


def accepted(problem: Problem, boat: str, key: str, person: str) -> Problem:
    """A job that must be done, which a named person accepts may wait; "" takes that back."""
    ask = _with_job(problem, boat, key)
    jobs = tuple(
        replace(job, accepted_by=person.strip()) if job.key == key else job for job in ask.jobs
    )
    return _changed(problem, replace(ask, jobs=jobs))


def with_boat(problem: Problem, ask: BoatAsk) -> Problem:
    """One boat more, or another asking in place of that of the same name."""
    return _changed(problem, ask)


def without_boat(problem: Problem, boat: str) -> Problem:
    """One boat less."""
    return replace(problem, boats=tuple(ask for ask in problem.boats if ask.boat != boat))


def with_slots(problem: Problem, week: date, slots: int) -> Problem:
    """A week with another number of slots."""
    weeks = tuple(
        replace(one, slots=slots) if one.start == week else one for one in problem.yard.weeks
    )
    return replace(problem, yard=replace(problem.yard, weeks=weeks))


def keeping_to(problem: Problem, plan: Plan) -> Problem:
    """The problem with a plan as the last one: what leaves it costs the moving cost."""
    hauls = {haul.boat: haul for haul in plan.hauls}
    boats = tuple(
        replace(
            ask,
            last_week=hauls[ask.boat].week if ask.boat in hauls else None,
            last_jobs=frozenset(hauls[ask.boat].jobs) if ask.boat in hauls else frozenset(),
        )
        for ask in problem.boats
    )
    return replace(problem, boats=boats)


def _asked(problem: Problem, boat: str) -> BoatAsk:
    for ask in problem.boats:
        if ask.boat == boat:
            return ask
    raise KeyError(boat)


def _with_job(problem: Problem, boat: str, key: str) -> BoatAsk:
    ask = _asked(problem, boat)
    if key not in {job.key for job in ask.jobs}:
        raise KeyError(key)
    return ask


def _changed(problem: Problem, ask: BoatAsk) -> Problem:
    """With another asking in place of the boat of that name, or at the end if she is new."""
    if ask.boat not in {one.boat for one in problem.boats}:
        return replace(problem, boats=(*problem.boats, ask))
    boats = tuple(ask if one.boat == ask.boat else one for one in problem.boats)
    return replace(problem, boats=boats)
