"""Small yards, where every plan can be tried: the plan found is the best of them all."""

from __future__ import annotations

import pytest

from analytics.decisions.haul_out.conflicts import conflicts
from analytics.decisions.haul_out.planning import haul_out_plan
from tests.analytics.decisions.haul_out.every_plan import best_by_trying
from tests.analytics.decisions.haul_out.small_yards import drawn_problem
from tests.analytics.decisions.haul_out.verifier import wrongs

SEEDS, GROUPS = 160, 4


@pytest.mark.parametrize("group", range(GROUPS))
def test_the_plan_is_the_best_of_all(group: int) -> None:
    """Fewest rules broken, then least cost, as found by trying every plan there is."""
    planned = 0
    for seed in range(group, SEEDS, GROUPS):
        boats, weeks = (6, 3) if seed % 4 == 0 else (4, 4)
        problem = drawn_problem(seed, boats, weeks, most_jobs=2)
        best = best_by_trying(problem)
        plan = haul_out_plan(problem, gap=0.0)
        # A contradiction is told where there is no plan, and only there (or in no open week).
        closed = all(week.slots == 0 for week in problem.yard.weeks)
        assert (plan.status == "contradiction") == (best is None or closed), seed
        assert plan.status != "contradiction" or any(one.blocks for one in conflicts(problem))
        if best is None or closed:
            continue
        planned += 1
        undone = len(plan.to_accept)
        assert wrongs(problem, plan) == [], seed
        assert (undone, plan.cost + plan.moving) == pytest.approx(best, abs=1e-6), seed
        assert plan.status == "within the gap"
        assert plan.gap == 0
    assert planned >= 25, "too few of the problems drawn have a plan"
