"""The search: against a method of another kind, ended early, and told of while it runs."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from analytics.decisions.haul_out.changes import keeping_to
from analytics.decisions.haul_out.model import Progress, gap_of, least_cost
from analytics.decisions.haul_out.options import options_of
from analytics.decisions.haul_out.packing import first_plan, taken_up
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem
from tests.analytics.decisions.haul_out.big_yards import big_problem
from tests.analytics.decisions.haul_out.small_yards import job, week, yard
from tests.analytics.decisions.haul_out.verifier import wrongs


@pytest.mark.parametrize("seed", range(3))
def test_one_boat_a_week_is_the_assignment_problem(seed: int) -> None:
    """Source: SciPy's linear_sum_assignment (shortest augmenting paths), another method."""
    rng = np.random.default_rng(seed)
    weeks, boats = 16, 20
    waiting = rng.uniform(0, 40, (boats, weeks)).round(2)
    haul, left = rng.uniform(100, 300, boats).round(2), rng.uniform(0, 600, boats).round(2)
    asks = tuple(
        BoatAsk(
            f"B{b:02d}",
            haul_cost=float(haul[b]),
            waiting=tuple(float(cost) for cost in waiting[b]),
            left_cost=float(left[b]),
        )
        for b in range(boats)
    )
    plan = haul_out_plan(Problem(yard([1] * weeks), asks), gap=0.0)
    before = np.cumsum(waiting, axis=1) - waiting
    stay = np.full((boats, boats), 1e6)
    np.fill_diagonal(stay, waiting.sum(axis=1) + left)
    costs = np.hstack([haul[:, None] + before, stay])
    rows, columns = linear_sum_assignment(costs)
    assert plan.cost == pytest.approx(costs[rows, columns].sum())


def test_ended_at_once_it_still_gives_a_plan() -> None:
    problem = big_problem(40, 20)
    plan = haul_out_plan(problem, stop=lambda: True)
    assert plan.status == "stopped"
    assert wrongs(problem, plan) == []
    assert len(plan.hauls) > 10
    # Its bound is poor, but it is one: the best plan is between the two.
    best = haul_out_plan(problem, gap=0.0)
    assert plan.bound <= best.cost <= plan.cost
    assert 1 > plan.gap > best.gap == 0
    # With a plan to keep to, that is where it begins, and where it ends.
    kept = haul_out_plan(keeping_to(problem, best), stop=lambda: True)
    assert kept.sets == best.sets


def test_out_of_time_it_still_gives_a_plan() -> None:
    problem = big_problem(150, 40, hours_a_slot=8.0)
    plan = haul_out_plan(problem, gap=0.0, seconds=0.05)
    assert plan.status == "out of time"
    assert wrongs(problem, plan) == []


def test_its_progress_is_told_and_a_stop_is_heard() -> None:
    """Cost never rises, the bound never passes it, and the gap told is between them."""
    seen: list[Progress] = []
    options = options_of(big_problem(60, 30, hours_a_slot=8.0).in_order())
    choice = least_cost(options, gap=0.0, watch=seen.append, stop=lambda: len(seen) >= 1)
    assert choice.status == "stopped"
    assert len(seen) == 1
    assert seen[0].bound <= seen[0].cost <= sum(options.money(first_plan(options))) + 1e-6
    assert seen[0].gap == gap_of(seen[0].cost, seen[0].bound)


def test_an_error_of_whoever_watches_comes_through() -> None:
    options = options_of(big_problem(20, 10).in_order())

    def watch(_: Progress) -> None:
        raise RuntimeError("the window was closed")

    with pytest.raises(RuntimeError, match="the window was closed"):
        least_cost(options, gap=0.0, watch=watch)


def test_promises_that_do_not_fit_are_refused() -> None:
    boats = tuple(BoatAsk(name, promised=week(0)) for name in ("Alder", "Birch"))
    with pytest.raises(ValueError, match="do not fit beside each other"):
        least_cost(options_of(Problem(yard([1]), boats)))


def test_the_same_seed_gives_the_same_plan() -> None:
    options = options_of(big_problem(30, 20).in_order())
    first, second = least_cost(options, seed=3), least_cost(options, seed=3)
    assert (first.chosen == second.chosen).all()
    assert first.bound == second.bound


def test_the_gap_is_kept() -> None:
    options = options_of(big_problem(40, 15, hours_a_slot=9.0).in_order())
    choice = least_cost(options, gap=0.05)
    cost = sum(options.money(choice.chosen))
    assert choice.status == "within the gap"
    assert choice.bound <= cost
    assert gap_of(cost, choice.bound) <= 0.05
    assert least_cost(options, gap=0.01).bound >= choice.bound - 1e-6


@pytest.mark.parametrize("stopped", [False, True])
def test_no_boat_alone_could_do_better(stopped: bool) -> None:
    """Neither where the search ended in its gap nor where it never began."""
    options = options_of(big_problem(40, 15, hours_a_slot=9.0).in_order())
    choice = least_cost(options, gap=0.05, stop=lambda: stopped)
    slots, hours, places = taken_up(options, choice.chosen)
    total = options.cost + options.moving
    for boat in range(options.boats):
        mine = int(choice.chosen[boat])
        now = total[mine] if mine >= 0 else options.stay[boat]
        for option in range(options.first[boat], options.first[boat + 1]):
            if total[option] >= now - 1e-3:
                continue
            own = np.array([option, mine] if mine >= 0 else [option])
            one, other = taken_up(options, own[:1]), taken_up(options, own[1:])
            over = [
                (used + more - less > cap + 1e-6).any()
                for used, more, less, cap in zip(
                    (slots, hours, places),
                    one,
                    other,
                    (options.slots, options.hours_cap, options.places),
                    strict=True,
                )
            ]
            assert any(over), (boat, option)


def test_a_fleet_with_nothing_to_do_stays_afloat() -> None:
    boats = (BoatAsk("Alder", haul_cost=10.0), BoatAsk("Birch", (job(saving=-5.0),)))
    plan = haul_out_plan(Problem(yard([1, 1]), boats))
    assert plan.hauls == ()
    assert (plan.cost, plan.gap, plan.status) == (0, 0, "within the gap")
    assert haul_out_plan(Problem(yard([1]), ())).cost == 0
