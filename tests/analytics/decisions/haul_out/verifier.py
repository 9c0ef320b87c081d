"""A haul-out plan checked against its problem day by day. Shares no code with what made it."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date, timedelta
from math import isclose

from analytics.decisions.haul_out.plan import Plan
from analytics.decisions.haul_out.problem import BoatAsk, Job, Problem, Yard

DAY = timedelta(days=1)


def labour_of(jobs: list[Job]) -> float:
    """Work with the line stripped, and the longest strip-down of each line once."""
    total = 0.0
    for line in {job.line for job in jobs}:
        here = [job for job in jobs if job.line == line]
        if line == "":
            total += sum(job.alone_hours for job in here)
        else:
            total += sum(job.shared_hours for job in here)
            total += max(job.alone_hours - job.shared_hours for job in here)
    return total


def days_and_hours(yard: Yard, lift: date, hours: float) -> tuple[int, dict[date, float]]:
    """Days ashore, and hours by day of the calendar, walking from the day of the lift."""
    worked: dict[date, float] = {}
    left, day = hours, 0
    while left > 1e-9:
        if day % 7 < yard.days_a_week:
            worked[lift + day * DAY] = min(left, yard.hours_a_day)
            left -= worked[lift + day * DAY]
        day += 1
    return max(day, yard.least_days), worked


def cost_of(problem: Problem, ask: BoatAsk, week: date | None, jobs: set[str]) -> float:
    """What a boat costs with these jobs done in the week that starts then; None: not lifted."""
    starts = sorted(one.start for one in problem.yard.weeks)
    order = [one.start for one in problem.yard.weeks]
    waited = [start for start in starts if week is None or start < week]
    cost = 0.0
    for start in waited:
        place = order.index(start)
        cost += ask.waiting[place] if isinstance(ask.waiting, tuple) else ask.waiting
    if week is None:
        cost += ask.left_cost
    else:
        done = [job for job in ask.jobs if job.key in jobs]
        cost += ask.haul_cost + problem.yard.labour * labour_of(done)
    for job in ask.jobs:
        whole = job.saving + sum(job.waiting)
        if job.key not in jobs:
            cost += max(whole, 0.0)
            continue
        cost += max(whole, 0.0) - whole
        if job.waiting:
            cost += sum(job.waiting[order.index(start)] for start in waited)
    return cost


def moving_of(problem: Problem, ask: BoatAsk, week: date | None) -> float:
    """What leaving the week of the last plan is weighed at."""
    return problem.moving_cost if ask.last_week not in (None, week) else 0.0


def wrongs(problem: Problem, plan: Plan) -> list[str]:
    """Everything in which a plan breaks what its problem asks; empty where it keeps all."""
    wrong: list[str] = []
    yard = problem.yard
    weeks = {week.start: week for week in yard.weeks}
    asks = {ask.boat: ask for ask in problem.boats}
    told = Counter([haul.boat for haul in plan.hauls] + [left.boat for left in plan.left])
    if told != Counter(list(asks)):
        wrong.append(f"boats told: {told}")
    lifted: Counter[date] = Counter()
    ashore: dict[date, set[str]] = defaultdict(set)
    hours: dict[date, float] = defaultdict(float)
    cost = moving = 0.0
    undone: set[tuple[str, str]] = set()

    def week_of(day: date) -> date | None:
        return next((start for start in weeks if start <= day < start + 7 * DAY), None)

    for haul in plan.hauls:
        ask, name = asks[haul.boat], haul.boat
        week = weeks.get(haul.week)
        if week is None:
            wrong.append(f"{name}: no such week")
            continue
        jobs = set(haul.jobs)
        if not jobs <= {job.key for job in ask.jobs} or len(jobs) != len(haul.jobs):
            wrong.append(f"{name}: jobs {haul.jobs}")
        labour = labour_of([job for job in ask.jobs if job.key in jobs])
        days, worked = days_and_hours(yard, haul.week, labour)
        if haul.days != days or not isclose(haul.hours, labour, abs_tol=1e-9):
            wrong.append(f"{name}: {haul.days} days and {haul.hours} hours, not {days}, {labour}")
        if haul.launch != haul.week + days * DAY:
            wrong.append(f"{name}: launched on {haul.launch}")
        lifted[haul.week] += 1
        for day in range(days):
            start = week_of(haul.week + day * DAY)
            if start is not None:
                ashore[start].add(name)
        for booked in ask.booked:
            if haul.week < booked + 7 * DAY and booked < haul.week + days * DAY:
                wrong.append(f"{name}: on charter on {booked}")
        for day_worked, number in worked.items():
            start = week_of(day_worked)
            if start is not None:
                hours[start] += number
        if haul.week in ask.forbidden:
            wrong.append(f"{name}: forbidden week")
        if any(fixed not in (None, haul.week) for fixed in (ask.promised, ask.pinned)):
            wrong.append(f"{name}: not in the week promised or pinned")
        for size in ("length", "beam", "weight", "draught"):
            own, most = getattr(ask, size), getattr(yard.limits, size)
            if own is not None and most is not None and own > most:
                wrong.append(f"{name}: {size} over what the lift takes")
        if None not in (ask.draught, week.depth) and ask.draught > week.depth:
            wrong.append(f"{name}: too little water")
        undone |= {(name, job.key) for job in ask.jobs if job.must and job.key not in jobs}
        if any(job.must and not job.accepted_by and job.key not in jobs for job in ask.jobs):
            wrong.append(f"{name}: lifted without what must be done")
        own_cost = cost_of(problem, ask, haul.week, jobs)
        if not isclose(own_cost, haul.cost, abs_tol=1e-6):
            wrong.append(f"{name}: costs {own_cost}, not {haul.cost}")
        cost += own_cost
        moving += moving_of(problem, ask, haul.week)
    for left in plan.left:
        ask = asks[left.boat]
        if ask.promised is not None or ask.pinned is not None:
            wrong.append(f"{left.boat}: promised or pinned, and left")
        own_cost = cost_of(problem, ask, None, set())
        if not isclose(own_cost, left.risk, abs_tol=1e-6):
            wrong.append(f"{left.boat}: risks {own_cost}, not {left.risk}")
        undone |= {(left.boat, job.key) for job in ask.jobs if job.must}
        cost += own_cost
        moving += moving_of(problem, ask, None)
    if {(waiver.boat, waiver.job) for waiver in plan.waivers} != undone:
        wrong.append(f"exceptions {plan.waivers}, not {undone}")
    for start, week in weeks.items():
        if lifted[start] > week.slots:
            wrong.append(f"{start}: {lifted[start]} lifts")
        if week.places is not None and len(ashore[start]) > week.places:
            wrong.append(f"{start}: {len(ashore[start])} ashore")
        if week.hours is not None and hours[start] > week.hours + 1e-6:
            wrong.append(f"{start}: {hours[start]} hours")
    for load in plan.weeks:
        used = (load.slots_used, load.places_used, load.hours_used)
        found = (lifted[load.week], len(ashore[load.week]), hours[load.week])
        if not all(isclose(a, b, abs_tol=1e-6) for a, b in zip(used, found, strict=True)):
            wrong.append(f"{load.week}: told {used}, found {found}")
    if not isclose(cost, plan.cost, abs_tol=1e-6) or not isclose(moving, plan.moving, abs_tol=1e-6):
        wrong.append(f"cost {plan.cost} and {plan.moving}, not {cost} and {moving}")
    if plan.bound > cost + moving + 1e-6 * max(1.0, cost):
        wrong.append(f"bound {plan.bound} over {cost + moving}")
    return wrong
