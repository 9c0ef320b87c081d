"""Every contradiction is named: what stands against what, and of which boat and week."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import nan

import pytest

from analytics.decisions.haul_out.conflicts import Conflict, conflicts, questions
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, LiftLimits, Problem, Week, Yard
from tests.analytics.decisions.haul_out.small_yards import MONDAY, job, week, yard


def the_one(yard_: Yard, *boats: BoatAsk) -> Conflict:
    """The only conflict of a problem; the plan says the same."""
    problem = Problem(yard_, boats)
    found = conflicts(problem)
    assert len(found) == 1, [one.text for one in found]
    plan = haul_out_plan(problem)
    assert plan.conflicts == found
    assert (plan.status == "contradiction") == found[0].blocks
    return found[0]


def test_a_plain_problem_has_none() -> None:
    assert conflicts(Problem(yard([1, 1]), (BoatAsk("Alder", (job(must=True),)),))) == ()


def test_no_weeks() -> None:
    assert the_one(yard([])).text == "The yard has no weeks: give at least one week with a slot."


def test_closed_in_every_week() -> None:
    assert "closed in every week" in the_one(yard([0, 0]), BoatAsk("Alder")).text


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        (
            {"booked": frozenset([week(1)])},
            "Alder is pinned to the week of 12 October 2026, but she is on charter.",
        ),
        (
            {"forbidden": frozenset([week(1)])},
            "Alder is pinned to the week of 12 October 2026, but it is ruled out for her.",
        ),
        (
            {"beam": 7.2},
            "Alder is pinned to the week of 12 October 2026, but her beam of 7.2 m is over the "
            "5 m that the lift takes.",
        ),
        (
            {"draught": 2.5},
            "Alder is pinned to the week of 12 October 2026, but her draught of 2.5 m is over the "
            "2 m that the tide gives.",
        ),
        (
            {"jobs": (job(must=True, alone_hours=48.0),)},
            "Alder is pinned to the week of 12 October 2026, but her work takes 40 hours in the "
            "week of 12 October 2026, and the trades have 30.",
        ),
        (
            {"pinned": week(2)},
            "Alder is pinned to the week of 19 October 2026, but the lift is closed.",
        ),
        (
            {"pinned": MONDAY + timedelta(days=1)},
            "Alder is pinned to the week of 6 October 2026, which is none of the yard's weeks.",
        ),
        (
            {"promised": week(0)},
            "Alder is promised to the week of 5 October 2026 and pinned to that of "
            "12 October 2026: release one of them.",
        ),
    ],
)
def test_pinned_to_a_week_that_does_not_take_her(changes: dict[str, object], text: str) -> None:
    weeks = (
        Week(week(0), 1),
        Week(week(1), 1, hours=30.0, depth=2.0),
        Week(week(2), 0),
    )
    made = yard([], weeks=weeks, limits=LiftLimits(beam=5.0))
    found = the_one(made, BoatAsk("Alder", **({"pinned": week(1)} | changes)))
    assert found.text == text
    assert (found.boat, found.blocks) == ("Alder", True)


def test_work_that_would_run_into_a_charter() -> None:
    boat = BoatAsk(
        "Alder", (job(must=True, alone_hours=50.0),), pinned=week(0), booked=frozenset([week(1)])
    )
    found = the_one(yard([1, 1]), boat)
    assert "her work would run into a charter in the week of 12 October 2026" in found.text


def test_two_promises_for_one_slot() -> None:
    found = the_one(
        yard([1, 1]), BoatAsk("Birch", promised=week(0)), BoatAsk("Alder", promised=week(0))
    )
    assert found.text == (
        "Alder and Birch are promised or pinned to the week of 5 October 2026, which has 1 slot: "
        "release 1."
    )
    assert found.week == week(0)


def test_promises_that_meet_ashore() -> None:
    made = yard([1, 1, 1], least_days=9)
    weeks = tuple(replace(one, places=1) for one in made.weeks)
    found = the_one(
        replace(made, weeks=weeks),
        BoatAsk("Alder", promised=week(0)),
        BoatAsk("Birch", pinned=week(1)),
    )
    assert found.text.startswith(
        "Alder and Birch would stand ashore in the week of 12 October 2026 as promised or pinned, "
        "and there is 1 place"
    )


def test_promises_over_the_hours_of_a_week() -> None:
    made = yard([], weeks=(Week(week(0), 2, hours=10.0),))
    boats = [BoatAsk(name, (job(must=True),), promised=week(0)) for name in ("Alder", "Birch")]
    found = the_one(made, *boats)
    assert found.text.startswith(
        "What must be done on Alder and Birch takes 14 hours in the week of 5 October 2026, "
        "and the trades have 10"
    )


def test_what_must_be_done_on_a_boat_that_no_week_admits() -> None:
    """The plan goes on without her, and her jobs are exceptions to be accepted."""
    boat = BoatAsk(
        "Alder",
        (job(must=True, why_must="its written limit is passed"),),
        booked=frozenset([week(0), week(2)]),
    )
    problem = Problem(yard([1, 0, 1]), (boat, BoatAsk("Birch", (job(),))))
    (found,) = conflicts(problem)
    assert found.text == (
        "No week admits Alder: she is on charter (2 weeks), the lift is closed (1). But she must "
        "have done: bellows (because its written limit is passed)."
    )
    assert not found.blocks
    plan = haul_out_plan(problem)
    assert [haul.boat for haul in plan.hauls] == ["Birch"]
    assert [(one.boat, one.job) for one in plan.to_accept] == [("Alder", "bellows")]


def test_a_boat_that_the_lift_cannot_take() -> None:
    made = yard([1], limits=LiftLimits(weight=20.0, length=15.0))
    found = the_one(made, BoatAsk("Alder", weight=25.0, length=14.0))
    assert found.text == (
        "The lift cannot take Alder: her weight of 25 t is over the 20 t that the lift takes."
    )
    assert not found.blocks


def test_sizes_not_known_are_asked_for() -> None:
    made = yard([], weeks=(Week(week(0), 1, depth=2.0),), limits=LiftLimits(beam=5.0))
    problem = Problem(made, (BoatAsk("Alder", beam=4.0), BoatAsk("Birch", draught=1.5)))
    assert conflicts(problem) == ()
    assert questions(problem) == (
        "What is the beam of Birch? The lift limits it; she is planned as if she fitted.",
        "What is the draught of Alder? The lift limits it; she is planned as if she fitted.",
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"boats": (BoatAsk("Alder"), BoatAsk("Alder"))}, "Alder is given 2 times"),
        ({"boats": (BoatAsk("Alder", (job(), job())),)}, "bellows of Alder is given 2 times"),
        ({"boats": (BoatAsk("Alder", haul_cost=nan),)}, "What Alder costs to haul or to wait"),
        ({"boats": (BoatAsk("Alder", waiting=(1.0,)),)}, "is given for 1 week, and the yard has 2"),
        ({"boats": (BoatAsk("Alder", (job(saving=nan),)),)}, "must be a number"),
        ({"boats": (BoatAsk("Alder", (job(shared_hours=9.0),)),)}, "cannot take longer beside"),
        ({"moving_cost": -1.0}, "cost of moving"),
        ({"yard": yard([1], hours_a_day=0.0)}, "hours worked in a day"),
        ({"yard": yard([1], days_a_week=8)}, "days worked in a week"),
        ({"yard": yard([1], least_days=0)}, "at least one day"),
        ({"yard": yard([1], labour=nan)}, "price of an hour"),
        ({"yard": yard([1, -1])}, "slots of the week of 12 October 2026 must be 0 or more"),
        (
            {"yard": yard([], weeks=(Week(week(0), 1), Week(week(0), 1)))},
            "week of 5 October 2026 is given 2 times",
        ),
        (
            {"yard": yard([], weeks=(Week(week(0), 1), Week(date(2026, 10, 13), 1)))},
            "begins on a Tuesday, the first week on a Monday",
        ),
    ],
)
def test_numbers_and_names_that_do_not_hold(changes: dict[str, object], words: str) -> None:
    problem = replace(Problem(yard([1, 1]), (BoatAsk("Alder"),)), **changes)
    found = conflicts(problem)
    assert any(words in one.text for one in found), [one.text for one in found]
    assert all(one.blocks for one in found)
    plan = haul_out_plan(problem)
    assert (plan.status, plan.hauls) == ("contradiction", ())
