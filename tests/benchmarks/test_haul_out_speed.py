"""Speed of a haul-out plan: a fleet of 60 boats and one of 1,000, from the problem to its reasons.

Slots are short, charters take two weeks in five, hours and places ashore bind. Run with
`--benchmark-enable -n 0` to time them; without it the large fleet is of 40 boats.
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics.decisions.haul_out.planning import haul_out_plan
from tests.analytics.decisions.haul_out.big_yards import big_problem
from tests.analytics.decisions.haul_out.verifier import wrongs

THOUSAND, FEW = 1_000, 40


@pytest.mark.benchmark(group="Haul-out plan", min_rounds=3)
def test_sixty_boats_over_thirty_weeks(benchmark: BenchmarkFixture) -> None:
    """To 1 %; meant within 5 s."""
    problem = big_problem(60, 30)
    plan = benchmark(haul_out_plan, problem, gap=0.01)
    assert plan.status == "within the gap"
    assert plan.gap <= 0.01
    assert wrongs(problem, plan) == []
    assert _within(benchmark, 5.0)


@pytest.mark.benchmark(group="Haul-out plan")
def test_a_thousand_boats_over_a_year(benchmark: BenchmarkFixture) -> None:
    """To 2 %; meant within 60 s on two cores."""
    problem = big_problem(THOUSAND if benchmark.enabled else FEW, 52)
    plan = benchmark.pedantic(haul_out_plan, (problem,), {"gap": 0.02, "seconds": 300.0}, rounds=1)
    assert plan.status == "within the gap"
    assert plan.gap <= 0.02
    assert wrongs(problem, plan) == []
    assert _within(benchmark, 60.0)


def _within(benchmark: BenchmarkFixture, seconds: float) -> bool:
    """Of the rounds timed, if any."""
    return benchmark.stats is None or benchmark.stats.stats.median < seconds
