"""The plan beside simpler rules: failures to expect, and what each rule is expected to cost.

One account for all: parts and labour of what is renewed (each strip-down once), haul-outs,
what may fail before a boat's week, and the cost to come of what is left in, beyond that of a
new part in its place (`value_to_go`). Nobody's rule is judged by money that another is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from analytics.decisions.haul_out.bundles import shared_labour
from analytics.decisions.haul_out.model import SECONDS
from analytics.decisions.haul_out.options import options_of
from analytics.decisions.haul_out.packing import Room
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import Problem
from analytics.decisions.haul_out.second_haul import SecondHaul, second_hauls
from analytics.decisions.haul_out.slot_worth import SlotWorth, slot_worths
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_weeks import in_season
from analytics.records.reading import Records
from analytics.records.seasons import Season
from analytics.records.tables import LIFTS

Sets = Mapping[str, tuple[date, frozenset[str]]]
"""Week and jobs of each boat that is lifted."""

PLAN, LIMITS, LAST_WEEKS, NOTHING = "plan", "limits", "last weeks", "nothing"

COLUMNS = [
    *("rule", "boats_lifted", "jobs", "must_undone", "failures"),
    *("parts_cost", "labour_cost", "haul_cost", "lay_up_cost", "left_cost", "cost"),
    *("failures_more", "cost_more", "currency"),
]


@dataclass(frozen=True)
class Compared:
    """The plan beside other rules, and what more room in the yard would be worth.

    Attributes
    ----------
    table : DataFrame
        `COLUMNS`, the plan first: boats lifted, jobs done, jobs that a rule asks for and that
        are not done; failures expected in the season; money of the parts, of labour, of
        haul-outs, of what may fail before a boat's week, of what is left in; their sum; and
        what failures and cost are more than the plan's.
    slots : tuple of SlotWorth
        For the tightest weeks, the dearest first.
    second : tuple of SecondHaul
        Boats that a second haul-out would pay for.
    """

    table: pd.DataFrame
    slots: tuple[SlotWorth, ...] = ()
    second: tuple[SecondHaul, ...] = ()


def yard_compared(
    found: HaulOuts, records: Records, *, seconds: float = SECONDS, seed: int = 0
) -> Compared:
    """The plan beside three rules.

    Every part at its limit: only what a rule asks for, in the cheapest weeks for that.
    The same in the weeks of the last lay-up lifts, each boat in the free week that is nearest
    to the anniversary of hers. Nothing renewed, and boats lifted as ever.
    Where the rules cannot be kept at all (see `Plan.conflicts`), they are left out.

    Parameters
    ----------
    seconds : float
        Of search at most, for each further plan.
    """
    if not found.made:
        return Compared(pd.DataFrame(columns=COLUMNS))
    problem = found.problem
    limits = _only_musts(problem)
    by_rule: dict[str, Sets] = {PLAN: found.plan.sets}
    cheapest = haul_out_plan(limits, seconds=seconds, seed=seed)
    if cheapest.status != "contradiction":
        by_rule[LIMITS] = cheapest.sets
        by_rule[LAST_WEEKS] = in_last_weeks(limits, last_lifts(records, found.season))
    rows = [_account(found, name, sets) for name, sets in by_rule.items()]
    rows.append(_nothing(found))
    table = pd.DataFrame(rows)
    for name in ("failures", "cost"):
        table[f"{name}_more"] = table[name] - table[name].iloc[0]
    table["currency"] = problem.currency
    searched = min(seconds, 10.0)
    return Compared(
        table[COLUMNS],
        slot_worths(problem, found.plan, seconds=searched, seed=seed),
        second_hauls(problem, found.plan),
    )


def last_lifts(records: Records, season: Season) -> dict[str, date]:
    """The last lift of each boat outside the season, as a day of the lay-up before it.

    Parameters
    ----------
    season : Season
        The one that the lay-up comes before.
    """
    table = records.tables[LIFTS.file]
    rule = records.settings.seasons
    found: dict[str, date] = {}
    ordered = table.sort_values(["lifted_on_lo", "boat", "row"], kind="stable")
    for boat, lifted in zip(ordered["boat"], ordered["lifted_on_lo"], strict=True):
        day = pd.Timestamp(lifted).date()
        if pd.isna(lifted) or in_season(day, rule.start, rule.end):
            continue
        found[str(boat)] = _anniversary(day, season.start)
    return found


def in_last_weeks(problem: Problem, days: Mapping[str, date]) -> Sets:
    """What must be done on each boat, in the free week nearest to a day of hers.

    Boats in the order of those days, those without one last and as early as there is room;
    promised and pinned boats first. A boat that finds no room is not lifted.
    """
    problem = problem.in_order()
    options = options_of(problem)
    room, starts = Room(options), [week.start for week in problem.yard.weeks]
    order = sorted(
        range(len(problem.boats)),
        key=lambda boat: (
            problem.boats[boat].fixed is None,
            days.get(problem.boats[boat].boat, date.max),
            boat,
        ),
    )
    sets: dict[str, tuple[date, frozenset[str]]] = {}
    for boat in order:
        ask, own = problem.boats[boat], options.of(boat)
        wanted = days.get(ask.boat, starts[0])
        fits = np.flatnonzero(room.fits(own)) + own.start
        if not len(fits):
            continue
        apart = [abs((starts[options.week[one]] - wanted).days) for one in fits]
        option = int(fits[int(np.argmin(apart))])
        room.take(option)
        jobs = frozenset(options.jobs(option).jobs)
        sets[ask.boat] = (starts[int(options.week[option])], jobs)
    return sets


def _only_musts(problem: Problem) -> Problem:
    """The problem with no job but those that a rule asks for, whoever accepts that they wait."""
    return replace(
        problem,
        moving_cost=0.0,
        boats=tuple(
            replace(
                ask,
                jobs=tuple(replace(job, accepted_by="") for job in ask.jobs if job.must),
            )
            for ask in problem.boats
        ),
    )


def _account(found: HaulOuts, rule: str, sets: Sets) -> dict[str, object]:
    problem = found.problem
    order = [week.start for week in problem.yard.weeks]
    labour = hauls = lay_up = left = parts = 0.0
    jobs = undone = 0
    priced = _priced(found.parts)
    for ask in problem.boats:
        week, done = sets.get(ask.boat, (None, frozenset[str]()))
        waited = [place for place, start in enumerate(order) if week is None or start < week]
        hauls += ask.left_cost if week is None else ask.haul_cost
        lay_up += sum(ask.weekly(len(order))[place] for place in waited)
        labour += problem.yard.labour * shared_labour([job for job in ask.jobs if job.key in done])
        jobs += len(done)
        for job in ask.jobs:
            price = priced[ask.boat, job.key]
            if job.key in done:
                parts += price
                lay_up += sum(job.waiting[place] for place in waited) if job.waiting else 0.0
            else:
                left += job.saving + price
                lay_up += sum(job.waiting)
                undone += job.must
    return {
        "rule": rule,
        "boats_lifted": len(sets),
        "jobs": jobs,
        "must_undone": undone,
        "failures": _failures(found.parts, sets),
        "parts_cost": parts,
        "labour_cost": labour,
        "haul_cost": hauls,
        "lay_up_cost": lay_up,
        "left_cost": left,
        "cost": parts + labour + hauls + lay_up + left,
    }


def _nothing(found: HaulOuts) -> dict[str, object]:
    """Nothing renewed. Every boat counts as lifted where all are anyway, else none is."""
    lifted = not any(ask.haul_cost for ask in found.problem.boats)
    boats = tuple(replace(ask, left_cost=0.0) for ask in found.problem.boats)
    bare = replace(found, problem=replace(found.problem, boats=boats))
    row = _account(bare, NOTHING, {})
    return {**row, "boats_lifted": len(boats) if lifted else 0}


def _failures(parts: pd.DataFrame, sets: Sets) -> float:
    """Expected failures in the season; what is renewed fails as a new part does."""
    renewed = [
        bool(done) or job in sets.get(boat, (None, frozenset()))[1]
        for boat, job, done in zip(parts["boat"], parts["job"], parts["done"], strict=True)
    ]
    chances = np.where(
        np.array(renewed, dtype=bool), parts["risk_renewed"], parts["risk"].astype(float)
    )
    return float(chances.sum())


def _priced(parts: pd.DataFrame) -> dict[tuple[str, str], float]:
    """Price of the part of each job; 0 where it is not known."""
    prices = parts["part_price"].fillna(0.0)
    return dict(zip(zip(parts["boat"], parts["job"], strict=True), prices, strict=True))


def _anniversary(day: date, season_start: date) -> date:
    """The same day of the year, within the year before the season."""
    years = [season_start.year - 1, season_start.year]
    # A leap day's anniversary is the day before.
    same = [
        day.replace(year=year, day=min(day.day, 28 if day.month == 2 else 31)) for year in years
    ]
    return next(one for one in reversed(same) if one < season_start)
