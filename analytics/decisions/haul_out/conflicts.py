"""What contradicts itself in a problem, in plain words, before anything is solved."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import isfinite

from analytics.decisions.haul_out.admission import (
    bar,
    bars_counted,
    day_words,
    fixed_by,
    listed,
    sizes_not_known,
    too_large,
)
from analytics.decisions.haul_out.bundles import bundles_of, shared_labour
from analytics.decisions.haul_out.problem import SIZES, WEEK, BoatAsk, Problem, Week, Yard


@dataclass(frozen=True)
class Conflict:
    """Something that cannot be as it was asked for.

    Attributes
    ----------
    boat : str
        "" where it is of no boat.
    week : date or None
    text : str
        A sentence that names what stands against what, and what can be done.
    blocks : bool
        Whether no plan can be made before it is put right; otherwise the boat is left out.
    """

    boat: str
    week: date | None
    text: str
    blocks: bool


def conflicts(problem: Problem) -> tuple[Conflict, ...]:
    """Every contradiction of a problem, those that block first.

    Numbers and names are looked at first: where they do not hold, the rest is not looked at.
    """
    found = list(_of_form(problem))
    if not found:
        problem = problem.in_order()
        found = [*_of_fixed(problem), *_of_fixed_together(problem), *_of_boats_left_out(problem)]
    return tuple(sorted(found, key=lambda one: not one.blocks))


def questions(problem: Problem) -> tuple[str, ...]:
    """What a person should look up: sizes that the lift limits, of boats that do not give them."""
    asked = []
    for size, _ in SIZES:
        boats = [ask.boat for ask in problem.boats if size in sizes_not_known(ask, problem.yard)]
        if boats:
            asked.append(
                f"What is the {size} of {listed(boats)}? The lift limits it; "
                "they are planned as if they fitted."
                if len(boats) > 1
                else f"What is the {size} of {boats[0]}? The lift limits it; "
                "she is planned as if she fitted."
            )
    return tuple(asked)


def _blocking(text: str, boat: str = "", week: date | None = None) -> Conflict:
    return Conflict(boat, week, text, True)


def _of_form(problem: Problem) -> Iterator[Conflict]:
    yard, weeks = problem.yard, problem.yard.weeks
    if not weeks:
        yield _blocking("The yard has no weeks: give at least one week with a slot.")
    elif not any(week.slots > 0 for week in weeks):
        yield _blocking("The lift is closed in every week: give at least one week with a slot.")
    for start, times in Counter(week.start for week in weeks).items():
        if times > 1:
            yield _blocking(f"The week of {day_words(start)} is given {times} times.", week=start)
    first = min((week.start for week in weeks), default=None)
    for week in weeks:
        if first is not None and (week.start - first) % WEEK:
            yield _blocking(
                f"The week of {day_words(week.start)} begins on a {week.start:%A}, the first week "
                f"on a {first:%A}: let all begin on the same day of the week.",
                week=week.start,
            )
        yield from _of_week(week)
    yield from _of_yard(yard)
    if not _is_amount(problem.moving_cost):
        yield _blocking("The cost of moving a boat must be 0 or more.")
    for boat, times in Counter(ask.boat for ask in problem.boats).items():
        if times > 1:
            yield _blocking(f"{boat} is given {times} times.", boat)
    for ask in problem.boats:
        yield from _of_numbers(ask, len(weeks))


def _is_amount(number: float | None) -> bool:
    return number is None or (isfinite(number) and number >= 0)


def _of_week(week: Week) -> Iterator[Conflict]:
    for what, number in (
        ("slots", week.slots),
        ("hours", week.hours),
        ("places ashore", week.places),
        ("depth", week.depth),
    ):
        if not _is_amount(number):
            yield _blocking(
                f"The {what} of the week of {day_words(week.start)} must be 0 or more.",
                week=week.start,
            )


def _of_yard(yard: Yard) -> Iterator[Conflict]:
    if not _is_amount(yard.labour):
        yield _blocking("The yard's price of an hour must be 0 or more.")
    if not (isfinite(yard.hours_a_day) and 0 < yard.hours_a_day <= 24):
        yield _blocking("The hours worked in a day must be above 0 and at most 24.")
    if not 1 <= yard.days_a_week <= 7:
        yield _blocking("The days worked in a week must be 1 to 7.")
    if yard.least_days < 1:
        yield _blocking("A boat is ashore for at least one day.")


def _of_numbers(ask: BoatAsk, weeks: int) -> Iterator[Conflict]:
    waiting = ask.waiting if isinstance(ask.waiting, tuple) else (ask.waiting,)
    if not all(_is_amount(cost) for cost in (ask.haul_cost, ask.left_cost, *waiting)):
        yield _blocking(f"What {ask.boat} costs to haul or to wait must be 0 or more.", ask.boat)
    for key, times in Counter(job.key for job in ask.jobs).items():
        if times > 1:
            yield _blocking(f"The job {key} of {ask.boat} is given {times} times.", ask.boat)
    for costs in (ask.waiting, *(job.waiting for job in ask.jobs if job.waiting)):
        if isinstance(costs, tuple) and len(costs) != weeks:
            yield _blocking(
                f"A cost of waiting of {ask.boat} is given for {_number(len(costs), 'week')}, "
                f"and the yard has {weeks}.",
                ask.boat,
            )
    for job in ask.jobs:
        if not (isfinite(job.saving) and all(_is_amount(cost) for cost in job.waiting)):
            yield _blocking(
                f"What {job.key} of {ask.boat} saves must be a number, "
                "and each week of waiting must cost 0 or more.",
                ask.boat,
            )
        if not 0 <= job.shared_hours <= job.alone_hours < float("inf"):
            yield _blocking(
                f"{job.key} of {ask.boat} takes {job.shared_hours:g} hours beside other work and "
                f"{job.alone_hours:g} alone: it cannot take longer beside other work.",
                ask.boat,
            )


def _of_fixed(problem: Problem) -> Iterator[Conflict]:
    yard = problem.yard
    for ask in problem.boats:
        if ask.fixed is None:
            continue
        promised, pinned = ask.promised, ask.pinned
        if promised is not None and pinned is not None and promised != pinned:
            yield _blocking(
                f"{ask.boat} is promised to the week of {day_words(promised)} and pinned to "
                f"that of {day_words(pinned)}: release one of them.",
                ask.boat,
                promised,
            )
        what = f"{ask.boat} is {fixed_by(ask)} to the week of {day_words(ask.fixed)}"
        place = yard.by_start.get(ask.fixed)
        if place is None:
            yield _blocking(f"{what}, which is none of the yard's weeks.", ask.boat, ask.fixed)
            continue
        against = bar(ask, yard, yard.weeks[place], shared_labour(ask.binding))
        if against is not None:
            yield _blocking(f"{what}, but {against.text}.", ask.boat, ask.fixed)


def _of_fixed_together(problem: Problem) -> Iterator[Conflict]:
    yard = problem.yard
    fixed = [ask for ask in problem.boats if ask.fixed is not None]
    for week in yard.weeks:
        of_week = f"the week of {day_words(week.start)}"
        lifted = [ask.boat for ask in fixed if ask.fixed == week.start]
        if len(lifted) > week.slots > 0:
            yield _blocking(
                f"{listed(lifted)} are promised or pinned to {of_week}, "
                f"which has {_number(week.slots, 'slot')}: release {len(lifted) - week.slots}.",
                week=week.start,
            )
        ashore: list[str] = []
        working, total = list[str](), 0.0
        for ask in fixed:
            by_week = yard.hours_by_week(shared_labour(ask.binding))
            passed = (week.start - (ask.fixed or week.start)) // WEEK
            if 0 <= passed < len(by_week):
                ashore.append(ask.boat)
                total += by_week[passed]
                if by_week[passed] > 0:
                    working.append(ask.boat)
        if week.places is not None and len(ashore) > week.places > 0:
            yield _blocking(
                f"{listed(ashore)} would stand ashore in {of_week} as promised or pinned, "
                f"and there {'is' if week.places == 1 else 'are'} "
                f"{_number(week.places, 'place')}: release {len(ashore) - week.places}.",
                week=week.start,
            )
        if week.hours is not None and total > week.hours + 1e-9 and len(working) > 1:
            yield _blocking(
                f"What must be done on {listed(working)} takes {total:g} hours in {of_week}, "
                f"and the trades have {week.hours:g}: release one, or let a named person "
                "accept that a job waits.",
                week=week.start,
            )


def _of_boats_left_out(problem: Problem) -> Iterator[Conflict]:
    yard = problem.yard
    for ask in problem.boats:
        if ask.fixed is not None:
            continue
        hours = bundles_of(ask, yard).sets[0].hours
        bars = [bar(ask, yard, week, hours) for week in yard.weeks]
        if None in bars:
            continue
        large = too_large(ask, yard)
        why = (
            f"The lift cannot take {ask.boat}: {large}."
            if large
            else f"No week admits {ask.boat}: {bars_counted(bars)}."
        )
        must = [
            f"{job.key} (because {job.why_must})" if job.why_must else job.key
            for job in ask.binding
        ]
        if must:
            why += f" But she must have done: {listed(must)}."
        yield Conflict(ask.boat, None, why, False)


def _number(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
