from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem, Week
from analytics.decisions.haul_out.second_haul import second_hauls
from tests.analytics.decisions.haul_out.small_yards import job, week, yard


def two_jobs(*, hours: float, slots: int = 1, booked: frozenset[object] = frozenset()) -> Problem:
    """Two lines of seven hours each, in weeks of so many hours."""
    boat = BoatAsk(
        "Alder",
        (job("bellows P"), job("bellows S", saving=800.0, line="S")),
        haul_cost=300.0,
        booked=booked,
    )
    weeks = (Week(week(0), 1, hours=hours), Week(week(1), slots, hours=hours))
    return Problem(yard([], weeks=weeks), (boat,), currency="EUR")


def test_a_job_that_found_no_hours_may_pay_for_a_second_haul() -> None:
    problem = two_jobs(hours=10.0)
    plan = haul_out_plan(problem)
    assert plan.sets == {"Alder": (week(0), frozenset(["bellows P"]))}
    (found,) = second_hauls(problem, plan)
    assert (found.boat, found.week, found.jobs) == ("Alder", week(1), ("bellows S",))
    # 800 saved, less the haul and seven hours.
    assert found.saves == pytest.approx(800 - 300 - 70)
    assert found.text == (
        "A second haul-out of Alder in the week of 12 October 2026 for bellows S would save "
        "EUR 430, the haul paid twice."
    )


def test_it_needs_a_job_left_a_slot_and_a_week_without_charter() -> None:
    for problem in (
        two_jobs(hours=20.0),
        two_jobs(hours=10.0, slots=0),
        two_jobs(hours=10.0, booked=frozenset([week(1)])),
    ):
        assert second_hauls(problem, haul_out_plan(problem)) == ()


def test_it_takes_only_the_room_that_the_plan_leaves() -> None:
    """Birch has the only slot of the second week, or its hours."""
    hasty = two_jobs(hours=10.0)
    alder = replace(hasty.boats[0], waiting=(900.0, 0.0))
    birch = BoatAsk("Birch", (job(),), booked=frozenset([week(0)]))
    first, second = hasty.yard.weeks
    for later, pays in (
        (replace(second, slots=1, hours=30.0), False),
        (replace(second, slots=2, hours=10.0), False),
        (replace(second, slots=2, hours=30.0, places=1), False),
        (replace(second, slots=2, hours=30.0), True),
    ):
        problem = Problem(replace(hasty.yard, weeks=(first, later)), (alder, birch))
        plan = haul_out_plan(problem)
        assert plan.sets["Alder"] == (week(0), frozenset(["bellows P"]))
        assert bool(second_hauls(problem, plan)) == pays


def test_it_does_not_begin_while_she_is_still_ashore() -> None:
    boat = two_jobs(hours=10.0).boats[0]
    weeks = tuple(Week(week(number), 1, hours=10.0) for number in range(3))
    problem = Problem(yard([], weeks=weeks, least_days=9), (replace(boat, waiting=1.0),))
    plan = haul_out_plan(problem)
    assert plan.hauls[0].week == week(0)
    (found,) = second_hauls(problem, plan)
    assert found.week == week(2)
