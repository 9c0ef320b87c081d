"""What holds of every plan, over many yards drawn by chance."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from analytics.decisions.haul_out.changes import pinned, with_slots
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import Problem
from tests.analytics.decisions.haul_out.big_yards import big_problem
from tests.analytics.decisions.haul_out.small_yards import drawn_problem
from tests.analytics.decisions.haul_out.verifier import wrongs


def drawn(seed: int, boats: int = 6, weeks: int = 4) -> Problem:
    """Without what a person fixed, so that there always is a plan."""
    problem = drawn_problem(seed, boats, weeks)
    free = tuple(replace(ask, promised=None, pinned=None) for ask in problem.boats)
    first = replace(problem.yard.weeks[0], slots=1)
    yard = replace(problem.yard, weeks=(first, *problem.yard.weeks[1:]))
    return replace(problem, yard=yard, boats=free)


def test_one_slot_more_never_costs_more() -> None:
    """At the same number of rules broken; and it never breaks one more."""
    cheaper = 0
    for seed in range(14):
        problem = drawn(seed)
        first = haul_out_plan(problem, gap=0.0)
        week = problem.yard.weeks[seed % 4]
        more = haul_out_plan(with_slots(problem, week.start, week.slots + 1), gap=0.0)
        assert len(more.to_accept) <= len(first.to_accept)
        if len(more.to_accept) == len(first.to_accept):
            assert more.cost + more.moving <= first.cost + first.moving + 1e-6
            cheaper += more.cost + more.moving < first.cost + first.moving - 1e-6
    assert cheaper >= 2


def test_a_dearer_failure_never_lowers_how_often_the_part_is_renewed() -> None:
    """The saving of one kind rises by the same on every boat: never fewer of its jobs."""
    risen = 0
    for seed in range(5):
        problem = big_problem(14, 8, seed=seed, slots_a_boat=0.6, hours_a_slot=9.0)
        counts = []
        for more in (-400.0, 0.0, 400.0):
            boats = tuple(
                replace(
                    ask,
                    jobs=tuple(
                        replace(job, saving=job.saving + more) if job.kind == "bellows" else job
                        for job in ask.jobs
                    ),
                )
                for ask in problem.boats
            )
            plan = haul_out_plan(replace(problem, boats=boats), gap=0.0)
            done = Counter(job.kind for job in plan.jobs if job.done)
            counts.append(done["bellows"])
        assert counts == sorted(counts)
        risen += counts[-1] > counts[0]
    assert risen >= 3


@pytest.mark.parametrize("seed", range(3))
def test_what_is_promised_or_pinned_stays(seed: int) -> None:
    """A promise into any week that admits her, at whatever cost to the others."""
    problem = drawn(seed)
    free = haul_out_plan(problem, gap=0.0)
    for ask in problem.boats[:3]:
        for week in problem.yard.weeks:
            for held in (
                pinned(problem, ask.boat, week.start),
                replace(
                    problem,
                    boats=tuple(
                        replace(one, promised=week.start) if one.boat == ask.boat else one
                        for one in problem.boats
                    ),
                ),
            ):
                plan = haul_out_plan(held, gap=0.0)
                if plan.status == "contradiction":
                    assert plan.conflicts[0].boat == ask.boat
                    continue
                assert plan.sets[ask.boat][0] == week.start
                assert wrongs(held, plan) == []
                if len(plan.to_accept) == len(free.to_accept):
                    assert plan.cost + plan.moving >= free.cost + free.moving - 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_a_fleet_is_planned_within_every_limit(seed: int) -> None:
    problem = big_problem(40, 20, seed=seed, slots_a_boat=0.7, hours_a_slot=12.0)
    plan = haul_out_plan(problem)
    assert wrongs(problem, plan) == []
    assert plan.gap <= 0.01
    assert plan.exact
