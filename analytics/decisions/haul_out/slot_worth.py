"""What one more slot would be worth, week by week: the plan made again with it.

In the same way a place ashore more, or a day more of the trades' hours: where these bind, a
slot alone changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from analytics.decisions.haul_out.admission import day_words
from analytics.decisions.haul_out.model import GAP, SECONDS, Stop, least_cost, prices_of_limits
from analytics.decisions.haul_out.options import options_of
from analytics.decisions.haul_out.packing import kept_to, taken_up
from analytics.decisions.haul_out.plan import Plan
from analytics.decisions.haul_out.planning import wanted
from analytics.decisions.haul_out.problem import Problem

MOST_WEEKS = 5
"""Weeks for which the plan is made again."""

Limit = Literal["slot", "place", "hours"]


@dataclass(frozen=True)
class SlotWorth:
    """What a little more of one limit in one week would be worth, the others as they are.

    Attributes
    ----------
    week : date
    limit : str
        "slot": one more; "place": one more ashore; "hours": as many as are worked on one boat
        in a day.
    worth : float
        Money by which the plan found with it is cheaper, moves included.
    low, high : float
        Between which the true worth lies, for both plans were searched only to a gap.
    fewer_undone : int
        Jobs that must be done, and that it would bring in beside; where not 0, worth counts
        only the money and can be below 0, and low and high are NaN.
    text : str
    """

    week: date
    limit: Limit
    worth: float
    low: float
    high: float
    fewer_undone: int
    text: str


def slot_worths(
    problem: Problem,
    plan: Plan,
    *,
    limit: Limit = "slot",
    most: int = MOST_WEEKS,
    gap: float = GAP / 10,
    seconds: float = SECONDS,
    seed: int = 0,
    stop: Stop | None = None,
) -> tuple[SlotWorth, ...]:
    """The worth of one more slot in the tightest weeks, the dearest first.

    A week is looked at where its slots are all taken (for hours: where less than a day of them
    is left); of these so many as are asked for, those first whose slots are dearest in the
    linear relaxation. Each is solved again, never read off that relaxation, which takes boats
    as if they could be split.

    Parameters
    ----------
    problem : Problem
        The one that the plan was made of.
    limit : str
        "slot", "place" or "hours".
    most : int
        Weeks looked at.
    gap : float
        To which each is solved.
    seconds : float
        Of search for each, and for the plan itself, which is first brought to that gap.
    """
    if plan.status == "contradiction":
        return ()
    problem = problem.in_order()
    options = options_of(problem)
    start = kept_to(options, wanted(problem, options, plan.sets))
    base = least_cost(options, gap=gap, seconds=seconds, seed=seed, start=start, stop=stop)
    cost, undone = sum(options.money(base.chosen)), options.undone(base.chosen)
    sets = {
        problem.boats[boat].boat: (
            problem.yard.weeks[options.week[option]].start,
            frozenset(options.jobs(int(option)).jobs),
        )
        for boat, option in enumerate(base.chosen)
        if option >= 0
    }
    order = ("slot", "hours", "place").index(limit)
    caps = (options.slots, options.hours_cap, options.places)[order]
    more = problem.yard.hours_a_day if limit == "hours" else 1.0
    left = caps - taken_up(options, base.chosen)[order]
    full = (caps > 0) & (left < more - 1e-6)
    prices = np.where(full, prices_of_limits(options, base.chosen)[order], -np.inf)
    found = []
    for place in np.argsort(-prices, kind="stable")[: min(most, int(full.sum()))]:
        wider = _wider(problem, int(place), limit, more)
        # Made anew: with more hours, sets of jobs fit that no week admitted.
        ways = options_of(wider)
        with_it = least_cost(
            ways,
            gap=gap,
            seconds=seconds,
            seed=seed,
            start=kept_to(ways, wanted(wider, ways, sets)),
            stop=stop,
        )
        saved = cost - sum(ways.money(with_it.chosen))
        fewer = undone - ways.undone(with_it.chosen)
        low, high = max(base.bound - cost + saved, 0.0), max(cost - with_it.bound, 0.0)
        if fewer:
            low = high = float("nan")
        week = problem.yard.weeks[place].start
        text = _text(limit, more, week, saved, low, high, fewer, problem.currency)
        found.append(SlotWorth(week, limit, saved, low, high, fewer, text))
    return tuple(sorted(found, key=lambda one: (-one.fewer_undone, -one.worth, one.week)))


def _wider(problem: Problem, place: int, limit: Limit, more: float) -> Problem:
    weeks = list(problem.yard.weeks)
    week = weeks[place]
    if limit == "slot":
        week = replace(week, slots=week.slots + int(more))
    elif limit == "place" and week.places is not None:
        week = replace(week, places=week.places + int(more))
    elif limit == "hours" and week.hours is not None:
        week = replace(week, hours=week.hours + more)
    weeks[place] = week
    return replace(problem, yard=replace(problem.yard, weeks=tuple(weeks)))


def _text(
    limit: Limit,
    more: float,
    week: date,
    worth: float,
    low: float,
    high: float,
    fewer: int,
    currency: str,
) -> str:
    def money(amount: float) -> str:
        return f"{currency} {amount:,.0f}".strip()

    what = {
        "slot": "One more slot",
        "place": "One more place ashore",
        "hours": f"{more:g} hours more of the trades",
    }[limit]
    what += f" in the week of {day_words(week)}"
    if fewer:
        jobs = "one more job" if fewer == 1 else f"{fewer} more jobs"
        price = f"saves {money(worth)}" if worth >= 0 else f"costs {money(-worth)} more"
        return f"{what} would make room for {jobs} that must be done; the plan then {price}."
    if high < 0.5:
        return f"{what} would change nothing: something else binds."
    doubt = "" if high - low < 1 else f" (between {money(low)} and {money(high)})"
    return f"{what} would save {money(worth)}{doubt}."
