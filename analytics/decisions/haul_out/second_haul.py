"""Boats that a second haul-out would pay for, looked at after the plan.

A boat is hauled once in the plan. Where jobs were left for want of hours or days in her week, a
second haul-out in a week with room may save more than it costs. That is looked at boat by boat,
in the room that the plan leaves: a hint for a person, and no part of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from analytics.decisions.haul_out.admission import day_words, listed
from analytics.decisions.haul_out.options import options_of
from analytics.decisions.haul_out.packing import Room, kept_to, taken_up
from analytics.decisions.haul_out.plan import Haul, Plan
from analytics.decisions.haul_out.planning import wanted
from analytics.decisions.haul_out.problem import WEEK, Problem


@dataclass(frozen=True)
class SecondHaul:
    """A second haul-out that pays.

    Attributes
    ----------
    boat : str
    week : date
        Start of its week.
    jobs : tuple of str
        Keys of what would be done.
    saves : float
        Money, after the haul and the labour.
    text : str
    """

    boat: str
    week: date
    jobs: tuple[str, ...]
    saves: float
    text: str


def second_hauls(problem: Problem, plan: Plan) -> tuple[SecondHaul, ...]:
    """For each boat, the second haul-out that saves most, if any pays; those that save most first.

    Each is found as if it were the only one: two of them may want the same slot.
    """
    if plan.status == "contradiction":
        return ()
    problem = problem.in_order()
    options = options_of(problem)
    chosen = kept_to(options, wanted(problem, options, plan.sets))
    hauls = {haul.boat: haul for haul in plan.hauls if haul.left}
    again = replace(
        problem,
        moving_cost=0.0,
        boats=tuple(
            replace(
                ask,
                jobs=tuple(job for job in ask.jobs if job.key in hauls[ask.boat].left),
                # Neither in the weeks in which she is ashore anyway, nor held to one of them.
                booked=ask.booked | _ashore(hauls[ask.boat]),
                pinned=None,
                promised=None,
                # She was lifted: waiting for that costs nothing more.
                waiting=0.0,
                left_cost=0.0,
            )
            for ask in problem.boats
            if ask.boat in hauls
        ),
    )
    ways = options_of(again)
    # What the plan takes up, against the options of the second haul-outs.
    slots, hours, places = taken_up(options, chosen)
    room = Room(ways)
    room.slots -= slots
    room.hours -= hours
    room.places -= places
    found = []
    for boat, ask in enumerate(again.boats):
        own = ways.of(boat)
        saves = np.where(room.fits(own), ways.stay[boat] - ways.cost[own], -np.inf)
        if saves.max(initial=0.0) <= 0.5:
            continue
        option = own.start + int(saves.argmax())
        week, jobs = again.yard.weeks[ways.week[option]].start, ways.jobs(option).jobs
        money = f"{problem.currency} {saves.max():,.0f}".strip()
        text = (
            f"A second haul-out of {ask.boat} in the week of {day_words(week)} for "
            f"{listed(jobs)} would save {money}, the haul paid twice."
        )
        found.append(SecondHaul(ask.boat, week, jobs, float(saves.max()), text))
    return tuple(sorted(found, key=lambda one: (-one.saves, one.boat)))


def _ashore(haul: Haul) -> frozenset[date]:
    return frozenset(haul.week + passed * WEEK for passed in range(-(-haul.days // 7)))
