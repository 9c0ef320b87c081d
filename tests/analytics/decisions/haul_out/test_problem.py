from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.decisions.haul_out.problem import Problem, Week, weeks_touched
from tests.analytics.decisions.haul_out.small_yards import MONDAY, drawn_problem, week, yard
from tests.analytics.decisions.haul_out.verifier import days_and_hours


@given(
    hours=st.integers(0, 120).map(lambda quarter: quarter / 4 * 3),
    hours_a_day=st.sampled_from([4.0, 6.0, 8.0]),
    days_a_week=st.integers(1, 7),
    least_days=st.integers(1, 15),
)
def test_days_and_hours_are_those_of_a_calendar(
    hours: float, hours_a_day: float, days_a_week: int, least_days: int
) -> None:
    """Reckoned in one line, and walked day by day by the verifier."""
    made = yard([1], hours_a_day=hours_a_day, days_a_week=days_a_week, least_days=least_days)
    days, worked = days_and_hours(made, MONDAY, hours)
    assert made.days_ashore(hours) == days
    by_week = made.hours_by_week(hours)
    assert len(by_week) == -(-days // 7)
    for passed, of_week in enumerate(by_week):
        first = week(passed)
        walked = sum(n for day, n in worked.items() if first <= day < first + timedelta(days=7))
        assert of_week == pytest.approx(walked)


def test_a_charter_takes_every_week_that_it_touches() -> None:
    """From the Saturday of the first week to the Monday of the third: change-over days count."""
    weeks = yard([1, 1, 1, 1]).weeks
    first, last = week(0) + timedelta(days=5), week(2)
    assert weeks_touched(weeks, first, last) == {week(0), week(1), week(2)}
    assert weeks_touched(weeks, date(2025, 1, 1), week(0) - timedelta(days=1)) == frozenset()


def test_in_order_takes_the_costs_with_their_weeks() -> None:
    problem = drawn_problem(3, 4, 4)
    back = tuple(reversed(range(4)))
    turned = Problem(
        replace(problem.yard, weeks=tuple(problem.yard.weeks[place] for place in back)),
        tuple(
            replace(
                ask,
                waiting=tuple(ask.weekly(4)[place] for place in back),
                jobs=tuple(
                    replace(job, waiting=tuple(job.waiting[place] for place in back))
                    if job.waiting
                    else job
                    for job in ask.jobs
                ),
            )
            for ask in reversed(problem.boats)
        ),
        problem.moving_cost,
    ).in_order()
    assert [one.start for one in turned.yard.weeks] == [week(number) for number in range(4)]
    assert [ask.boat for ask in turned.boats] == ["B0", "B1", "B2", "B3"]
    for ask, given_ask in zip(turned.boats, problem.boats, strict=True):
        assert ask.weekly(4) == given_ask.weekly(4)
        assert ask.jobs == given_ask.jobs


def test_a_week_without_limits_has_none() -> None:
    assert (Week(MONDAY, 2).hours, Week(MONDAY, 2).places, Week(MONDAY, 2).depth) == (None,) * 3
