"""Every plan of a small problem tried: the fewest rules broken, then the least cost.

Built on what the verifier knows of days and money, and on nothing of the model.
"""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from itertools import combinations
from math import inf

from analytics.decisions.haul_out.problem import BoatAsk, Problem
from tests.analytics.decisions.haul_out.verifier import (
    cost_of,
    days_and_hours,
    labour_of,
    moving_of,
)

Way = tuple[int, float, Counter[tuple[str, int]]]
"""Must-do jobs undone, money, and what it takes up: by limit and week, in hundredths."""


def best_by_trying(problem: Problem) -> tuple[int, float] | None:
    """Must-do jobs undone and money of the best plan; None where there is none."""
    weeks = problem.yard.weeks
    room = Counter[tuple[str, int]]()
    for place, week in enumerate(weeks):
        room["slots", place] = week.slots * 100
        room["hours", place] = 10**9 if week.hours is None else round(week.hours * 100)
        room["places", place] = 10**9 if week.places is None else week.places * 100
    ways = [sorted(_ways(problem, ask), key=lambda way: way[:2]) for ask in problem.boats]
    if not all(ways):
        return None
    # The best that the boats still to come can do, each alone: no branch does better.
    ahead = [(0, 0.0)]
    for own in reversed(ways):
        undone, money = min(way[0] for way in own), min(way[1] for way in own)
        ahead.append((ahead[-1][0] + undone, ahead[-1][1] + money))
    ahead.reverse()
    best = (10**9, inf)

    def walk(boat: int, undone: int, money: float) -> None:
        nonlocal best
        if (undone + ahead[boat][0], money + ahead[boat][1]) >= best:
            return
        if boat == len(ways):
            best = (undone, money)
            return
        for more, own, takes in ways[boat]:
            if all(room[limit] >= amount for limit, amount in takes.items()):
                for limit, amount in takes.items():
                    room[limit] -= amount
                walk(boat + 1, undone + more, money + own)
                for limit, amount in takes.items():
                    room[limit] += amount

    walk(0, 0, 0.0)
    return None if best[1] == inf else best


def _ways(problem: Problem, ask: BoatAsk) -> list[Way]:
    yard, fixed = problem.yard, ask.promised or ask.pinned
    must = [job for job in ask.jobs if job.must and not job.accepted_by]
    free = [job for job in ask.jobs if job not in must]
    found: list[Way] = []
    if fixed is None:
        money = cost_of(problem, ask, None, set()) + moving_of(problem, ask, None)
        found.append((len(must), money, Counter()))
    for place, week in enumerate(yard.weeks):
        large = any(
            None not in (getattr(ask, size), getattr(yard.limits, size))
            and getattr(ask, size) > getattr(yard.limits, size)
            for size in ("length", "beam", "weight", "draught")
        )
        shallow = None not in (ask.draught, week.depth) and ask.draught > week.depth
        if large or shallow or fixed not in (None, week.start) or week.start in ask.forbidden:
            continue
        for count in range(len(free) + 1):
            for some in combinations(free, count):
                jobs = [*must, *some]
                days, worked = days_and_hours(yard, week.start, labour_of(jobs))
                stay = {week.start + timedelta(days=day) for day in range(days)}
                if any(
                    start + timedelta(days=day) in stay for start in ask.booked for day in range(7)
                ):
                    continue
                takes = Counter({("slots", place): 100})
                for other, met in enumerate(yard.weeks):
                    of_week = {met.start + timedelta(days=day) for day in range(7)}
                    if stay & of_week:
                        takes["places", other] = 100
                        takes["hours", other] = round(
                            100 * sum(worked.get(day, 0.0) for day in of_week)
                        )
                money = cost_of(problem, ask, week.start, {job.key for job in jobs})
                found.append((0, money + moving_of(problem, ask, week.start), takes))
    return found
