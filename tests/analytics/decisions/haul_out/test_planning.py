"""Plans of small yards worked out by hand: weeks, jobs, what is left, and the reason of each."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from analytics.decisions.haul_out.changes import keeping_to
from analytics.decisions.haul_out.plan import (
    Haul,
    JobChoice,
    LeftBoat,
    Move,
    Plan,
    Waiver,
    WeekLoad,
    table_of,
)
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem, Week
from tests.analytics.decisions.haul_out.small_yards import drawn_problem, job, week, yard
from tests.analytics.decisions.haul_out.verifier import wrongs


def planned(problem: Problem, **how: float) -> Plan:
    """To the last cent, and verified."""
    plan = haul_out_plan(problem, **({"gap": 0.0} | how))
    assert plan.status == "within the gap"
    assert wrongs(problem, plan) == []
    return plan


def told(plan: Plan, boat: str, key: str) -> JobChoice:
    """What is said of one job."""
    return next(one for one in plan.jobs if (one.boat, one.job) == (boat, key))


def test_a_boat_alone_has_her_cheapest_week() -> None:
    boat = BoatAsk(
        "Alder",
        (job(), job("cutless", saving=20.0, shared_hours=1.5), job("lip seal", saving=5.0)),
        base="North",
        haul_cost=300.0,
        waiting=(4.0, 5.0, 6.0),
    )
    problem = Problem(yard([1, 1, 1]), (boat,), currency="EUR")
    plan = planned(problem)
    (haul,) = plan.hauls
    # Bellows and cutless: 1 + 1.5 + 6 hours at 10. The lip seal adds an hour, for 5.
    assert haul.jobs == ("bellows", "cutless")
    assert haul.left == ("lip seal",)
    assert haul.hours == 8.5
    assert (haul.week, haul.days, haul.launch) == (week(0), 2, week(0) + timedelta(days=2))
    assert haul.cost == pytest.approx(300 + 85 + 5)
    assert haul.saves == pytest.approx(1025 + 15 - 390)
    assert haul.because == "It is the cheapest of the 3 weeks open to her."
    assert plan.cost == pytest.approx(390)
    assert told(plan, "Alder", "cutless").because == (
        "It saves EUR 20 against EUR 15 for 1.5 hours of labour with the line stripped down."
    )
    assert told(plan, "Alder", "lip seal").because == (
        "Doing it now saves EUR 5, and would take EUR 10 for 1 hour of labour with the line "
        "stripped down."
    )


def test_the_slot_goes_to_the_boat_that_gains_most() -> None:
    """Alder would gain 630, Birch 830; the only other week is booked for Birch."""
    alder = BoatAsk("Alder", (job(),), haul_cost=300.0, waiting=10.0)
    birch = BoatAsk("Birch", (job(saving=1200.0),), haul_cost=300.0, booked=frozenset([week(1)]))
    cedar = BoatAsk("Cedar", (job(saving=500.0),), haul_cost=300.0)
    dulse = BoatAsk("Dulse", (job(saving=100.0),), haul_cost=300.0)
    problem = Problem(yard([1, 1]), (alder, birch, cedar, dulse))
    plan = planned(problem)
    assert plan.sets == {
        "Alder": (week(1), frozenset(["bellows"])),
        "Birch": (week(0), frozenset(["bellows"])),
    }
    by_boat = {haul.boat: haul for haul in plan.hauls}
    assert by_boat["Alder"].because == (
        "The week of 5 October 2026 would cost 10 less, but other boats leave it no slot; "
        "of the weeks with room none is cheaper."
    )
    assert by_boat["Birch"].because == "This is the only week that admits her: she is on charter."
    assert [(one.boat, one.why, one.risk, one.forgone) for one in plan.left] == [
        ("Cedar", "no room", 500, 130),
        ("Dulse", "does not pay", 100, 0),
    ]
    assert plan.left[0].because == (
        "Lifting her would save 130, but of the 2 weeks in which that pays 2 have no slot left."
    )
    assert plan.left[1].because == (
        "Hauling her does not pay: at best it costs 270 more than it saves."
    )
    assert told(plan, "Cedar", "bellows").because == "She is not lifted."
    assert [load.full for load in plan.weeks] == [True, True]


def test_what_must_be_done_comes_before_any_gain() -> None:
    """Alder loses by it, and still has the slot; Birch would have gained 800."""
    must = job(saving=-50.0, must=True, why_must="its written limit is passed")
    alder = BoatAsk("Alder", (must,), haul_cost=300.0)
    birch = BoatAsk("Birch", (job(saving=1200.0),), haul_cost=330.0)
    problem = Problem(yard([1]), (alder, birch))
    plan = planned(problem)
    assert list(plan.sets) == ["Alder"]
    assert plan.waivers == ()
    assert plan.hauls[0].saves == pytest.approx(-300 - 70 - 50)
    assert told(plan, "Alder", "bellows").because == "It must be done: its written limit is passed."
    # Where a named person accepts that it waits, cost decides, and the exception is listed.
    named = replace(must, accepted_by="R. Example")
    plan = planned(Problem(yard([1]), (replace(alder, jobs=(named,)), birch)))
    assert list(plan.sets) == ["Birch"]
    assert plan.to_accept == ()
    assert [(one.job, one.accepted_by) for one in plan.waivers] == [("bellows", "R. Example")]


def test_of_two_that_must_the_cheaper_is_lifted_and_the_other_listed() -> None:
    must = job(must=True, why_must="its written limit is passed")
    boats = (
        BoatAsk("Alder", (must,), haul_cost=300.0),
        BoatAsk("Birch", (replace(must, saving=1100.0),), haul_cost=300.0),
    )
    plan = planned(Problem(yard([1, 0]), boats))
    assert list(plan.sets) == ["Birch"]
    (waiver,) = plan.to_accept
    assert (waiver.boat, waiver.job, waiver.why_must) == (
        "Alder",
        "bellows",
        "its written limit is passed",
    )
    assert plan.left[0].must == ("bellows",)
    assert waiver.because == plan.left[0].because
    assert plan.left[0].because == (
        "Lifting her would save 630, but the one week open to her has no slot left."
    )


def test_more_jobs_that_must_count_for_more() -> None:
    """Two rules kept on Birch before one on Alder, whatever the money."""
    must = job(must=True)
    boats = (
        BoatAsk("Alder", (replace(must, saving=9000.0),)),
        BoatAsk("Birch", (must, replace(must, key="cutless", saving=-500.0))),
    )
    plan = planned(Problem(yard([1]), boats))
    assert list(plan.sets) == ["Birch"]


def test_hours_and_places_decide_what_is_done() -> None:
    """Nine hours in the week: one boat's bellows, and no other job."""
    weeks = (Week(week(0), 2, hours=9.0),)
    alder = BoatAsk("Alder", (job(), job("cutless", saving=400.0, shared_hours=2.5)))
    birch = BoatAsk("Birch", (job(saving=300.0),))
    plan = planned(Problem(yard([], weeks=weeks), (alder, birch)))
    assert plan.sets == {"Alder": (week(0), frozenset(["bellows"]))}
    assert told(plan, "Alder", "cutless").because == (
        "It would save 400, but with it her work takes 9.5 hours in the week of 5 October 2026, "
        "and the trades have 9."
    )
    assert plan.left[0].because == (
        "Lifting her would save 230, but the one week in which that pays has too few hours left."
    )
    assert (plan.weeks[0].hours_used, plan.weeks[0].slots_used) == (7.0, 1.0)
    # With 14 hours it is Birch, who gains more by hers, that leaves none for the cutless.
    weeks = (Week(week(0), 2, hours=14.0),)
    plan = planned(Problem(yard([], weeks=weeks), (alder, BoatAsk("Birch", (job(saving=500.0),)))))
    assert told(plan, "Alder", "cutless").because == (
        "It would save 400, but in the week of 5 October 2026 the hours of the trades are taken "
        "by other boats."
    )


def test_a_place_ashore_is_taken_for_as_long_as_she_stands() -> None:
    """Nine days ashore, one place: every other week at most."""
    made = yard([1, 1, 1], least_days=9)
    weeks = tuple(replace(one, places=1) for one in made.weeks)
    boats = tuple(BoatAsk(name, (job(),), haul_cost=100.0) for name in ("Alder", "Birch", "Cedar"))
    plan = planned(Problem(replace(made, weeks=weeks), boats))
    assert {haul.week for haul in plan.hauls} == {week(0), week(2)}
    assert plan.left[0].because == (
        "Lifting her would save 830, but of the 3 weeks in which that pays 2 have no slot and "
        "1 has no place ashore left."
    )


def test_a_plan_is_kept_to_unless_moving_pays() -> None:
    """The cheaper week saves 30: less than a move of 50, more than one of 20."""
    boat = BoatAsk("Alder", (job(),), haul_cost=100.0, waiting=30.0, last_week=week(1))
    boat = replace(boat, last_jobs=frozenset(["bellows"]))
    kept = planned(Problem(yard([1, 1]), (boat,), moving_cost=50.0))
    assert kept.hauls[0].week == week(1)
    assert kept.moves == ()
    assert kept.hauls[0].because == (
        "The week of 5 October 2026 would cost 30 less, which is not worth moving her from her "
        "week of the last plan."
    )
    moved = planned(Problem(yard([1, 1]), (boat,), moving_cost=20.0))
    assert moved.hauls[0].week == week(0)
    assert (moved.moving, moved.cost) == (20, pytest.approx(kept.cost - 30))
    assert [move.text for move in moved.moves] == [
        "Alder moves from the week of 12 October 2026 to that of 5 October 2026."
    ]


def test_what_moved_is_told_boat_by_boat() -> None:
    alder = BoatAsk("Alder", (job(), job("lip seal", saving=50.0)), haul_cost=100.0)
    birch = BoatAsk("Birch", (job(saving=400.0),), haul_cost=100.0)
    problem = Problem(yard([1, 1]), (alder, birch), moving_cost=50.0)
    first = planned(problem)
    cedar = BoatAsk("Cedar", (job(saving=900.0),), haul_cost=100.0)
    alone = replace(alder, jobs=alder.jobs[:1])
    again = keeping_to(replace(problem, boats=(alone, birch, cedar)), first)
    plan = planned(again)
    kept = {haul.boat: haul.week for haul in first.hauls}
    assert [move.text for move in plan.moves] == [
        f"Birch leaves the plan; she was in the week of {_words(kept['Birch'])}.",
        f"Cedar is new in the plan, in the week of {_words(kept['Birch'])}.",
    ]
    # A job that is back on the list is told as added.
    back = planned(keeping_to(replace(again, boats=(alder, cedar)), plan))
    assert [(move.boat, move.added) for move in back.moves] == [("Alder", ("lip seal",))]
    assert back.moves[0].text == "Alder keeps her week, with lip seal added."


def _words(day: object) -> str:
    return f"{day:%-d %B %Y}"


def test_a_plan_made_again_moves_nothing() -> None:
    """Against its own plan no boat leaves her week, and nothing grows dearer."""
    made = 0
    for seed in range(16):
        problem = drawn_problem(seed, 5, 4)
        first = haul_out_plan(problem, gap=0.0)
        if first.status == "contradiction":
            continue
        made += 1
        same = planned(keeping_to(replace(problem, moving_cost=35.0), first))
        assert {boat: sets[0] for boat, sets in same.sets.items()} == {
            boat: sets[0] for boat, sets in first.sets.items()
        }
        assert same.cost <= first.cost + first.moving + 1e-6
    assert made >= 8


@pytest.mark.parametrize("seed", [1, 5, 9])
def test_order_of_rows_and_time_of_day_do_not_matter(seed: int) -> None:
    problem = drawn_problem(seed, 8, 6)
    turned = replace(problem, boats=tuple(reversed(problem.boats)))
    first, second, third = (haul_out_plan(one) for one in (problem, turned, problem))
    assert replace(first, seconds=0) == replace(third, seconds=0)
    assert replace(first, seconds=0) == replace(second, seconds=0)


def test_every_part_of_a_plan_is_a_table() -> None:
    plan = planned(Problem(yard([1]), (BoatAsk("Alder", (job(),)), BoatAsk("Birch", (job(),)))))
    hauls = table_of(plan.hauls, Haul)
    assert hauls.loc[0, ["boat", "week"]].tolist() == ["Alder", week(0)]
    assert table_of(plan.left, LeftBoat)["boat"].tolist() == ["Birch"]
    assert table_of(plan.jobs, JobChoice)["done"].tolist() == [True, False]
    assert table_of(plan.weeks, WeekLoad)["slots_used"].tolist() == [1.0]
    for rows, of in ((plan.waivers, Waiver), (plan.moves, Move)):
        assert table_of(rows, of).empty
        assert "boat" in table_of(rows, of)
