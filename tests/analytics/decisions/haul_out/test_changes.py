from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.decisions.haul_out.changes import (
    accepted,
    allowed,
    forbidden,
    job_done,
    keeping_to,
    pinned,
    with_boat,
    with_slots,
    without_boat,
)
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem
from tests.analytics.decisions.haul_out.small_yards import job, week, yard

ALDER = BoatAsk("Alder", (job(must=True), job("cutless")))
BIRCH = BoatAsk("Birch")
PROBLEM = Problem(yard([1, 1]), (ALDER, BIRCH))


def alder(problem: Problem) -> BoatAsk:
    """What Alder asks for."""
    return next(ask for ask in problem.boats if ask.boat == "Alder")


def test_each_change_changes_one_thing() -> None:
    assert alder(pinned(PROBLEM, "Alder", week(1))) == replace(ALDER, pinned=week(1))
    assert alder(pinned(pinned(PROBLEM, "Alder", week(1)), "Alder", None)) == ALDER
    out = forbidden(PROBLEM, "Alder", week(0))
    assert alder(out).forbidden == {week(0)}
    assert alder(allowed(out, "Alder", week(0))) == ALDER
    assert [one.key for one in alder(job_done(PROBLEM, "Alder", "bellows")).jobs] == ["cutless"]
    named = accepted(PROBLEM, "Alder", "bellows", " R. Example ")
    assert alder(named).jobs[0].accepted_by == "R. Example"
    assert alder(named).binding == ()
    assert alder(accepted(named, "Alder", "bellows", "")) == ALDER
    assert with_boat(PROBLEM, BoatAsk("Cedar")).boats == (ALDER, BIRCH, BoatAsk("Cedar"))
    assert without_boat(PROBLEM, "Alder").boats == (BIRCH,)
    assert [one.slots for one in with_slots(PROBLEM, week(1), 3).yard.weeks] == [1, 3]


def test_what_is_not_there_cannot_be_changed() -> None:
    with pytest.raises(KeyError, match="Cedar"):
        pinned(PROBLEM, "Cedar", week(0))
    with pytest.raises(KeyError, match="shaft"):
        job_done(PROBLEM, "Alder", "shaft")
    with pytest.raises(KeyError, match="shaft"):
        accepted(PROBLEM, "Alder", "shaft", "R. Example")


def test_keeping_to_a_plan_gives_each_boat_her_week_and_jobs() -> None:
    plan = haul_out_plan(PROBLEM)
    kept = keeping_to(PROBLEM, plan)
    assert alder(kept).last_week == week(0)
    assert alder(kept).last_jobs == {"bellows", "cutless"}
    assert next(ask for ask in kept.boats if ask.boat == "Birch") == BIRCH
