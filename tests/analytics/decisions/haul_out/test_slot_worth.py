from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.decisions.haul_out.changes import with_slots
from analytics.decisions.haul_out.planning import haul_out_plan
from analytics.decisions.haul_out.problem import BoatAsk, Problem, Week
from analytics.decisions.haul_out.slot_worth import slot_worths
from tests.analytics.decisions.haul_out.big_yards import big_problem
from tests.analytics.decisions.haul_out.every_plan import best_by_trying
from tests.analytics.decisions.haul_out.small_yards import drawn_problem, job, week, yard


def test_a_slot_is_worth_what_the_boat_left_would_gain() -> None:
    """Cedar is left; she would gain 130. In the second week Alder is in no hurry: nothing more."""
    alder = BoatAsk("Alder", (job(),), haul_cost=300.0, waiting=10.0)
    cedar = BoatAsk("Cedar", (job(saving=500.0),), haul_cost=300.0, waiting=(0.0, 200.0))
    problem = Problem(yard([1, 0]), (alder, cedar), currency="EUR")
    plan = haul_out_plan(problem)
    (found,) = slot_worths(problem, plan)
    assert (found.week, found.worth, found.fewer_undone) == (week(0), pytest.approx(330), 0)
    assert (found.low, found.high) == (pytest.approx(330), pytest.approx(330))
    assert found.text == "One more slot in the week of 5 October 2026 would save EUR 330."


def test_worths_are_those_of_trying_every_plan() -> None:
    """Twice, without and with the slot; and the weeks that are not full are worth nothing."""
    looked_at = dear = 0
    for seed in range(18):
        problem = drawn_problem(seed, 5, 3, most_jobs=2)
        plan = haul_out_plan(problem, gap=0.0)
        if plan.status == "contradiction":
            continue
        before = best_by_trying(problem)
        found = {one.week: one for one in slot_worths(problem, plan, gap=0.0)}
        for one in problem.yard.weeks:
            after = best_by_trying(with_slots(problem, one.start, one.slots + 1))
            assert before is not None
            assert after is not None
            told = found.get(one.start)
            if told is None:
                assert one.slots == 0 or after == pytest.approx(before)
                continue
            looked_at += 1
            dear += told.worth > 1
            assert (before[0] - after[0], before[1] - after[1]) == pytest.approx(
                (told.fewer_undone, told.worth), abs=1e-6
            )
    assert looked_at >= 14
    assert dear >= 4


def test_where_hours_or_places_bind_a_slot_alone_changes_nothing() -> None:
    weeks = (Week(week(0), 1, hours=7.0, places=1),)
    boats = (BoatAsk("Alder", (job(),)), BoatAsk("Cedar", (job(saving=500.0),)))
    problem = Problem(yard([], weeks=weeks), boats)
    plan = haul_out_plan(problem)
    (slot,) = slot_worths(problem, plan)
    assert slot.worth == 0
    assert slot.text.endswith("would change nothing: something else binds.")
    roomy = replace(weeks[0], slots=2, hours=None)
    of_place = replace(problem, yard=yard([], weeks=(roomy,)))
    (place,) = slot_worths(of_place, haul_out_plan(of_place), limit="place")
    assert place.worth == pytest.approx(430)
    assert place.text == "One more place ashore in the week of 5 October 2026 would save 430."
    roomy = replace(weeks[0], slots=2, places=None)
    of_hours = replace(problem, yard=yard([], weeks=(roomy,)))
    (hours,) = slot_worths(of_hours, haul_out_plan(of_hours), limit="hours")
    assert hours.worth == pytest.approx(430)
    assert hours.text.startswith("8 hours more of the trades in the week of")


def test_a_slot_for_what_must_be_done_is_told_in_jobs() -> None:
    must = job(saving=-100.0, must=True)
    boats = (BoatAsk("Alder", (must,)), BoatAsk("Cedar", (must,), haul_cost=50.0))
    problem = Problem(yard([1]), boats)
    (found,) = slot_worths(problem, haul_out_plan(problem))
    assert found.fewer_undone == 1
    assert found.worth == pytest.approx(-220)
    assert found.text == (
        "One more slot in the week of 5 October 2026 would make room for one more job that must "
        "be done; the plan then costs 220 more."
    )


def test_the_true_worth_lies_between_its_bounds() -> None:
    problem = big_problem(24, 12, slots_a_boat=0.5, hours_a_slot=40.0, places_a_slot=3.0, must=0.0)
    plan = haul_out_plan(problem)
    rough = {one.week: one for one in slot_worths(problem, plan, most=3, gap=0.05)}
    fine = {one.week: one for one in slot_worths(problem, plan, most=3, gap=0.0)}
    hasty = slot_worths(problem, plan, most=12, stop=lambda: True)
    assert len(rough) == len(fine) == 3
    for one in [*rough.values(), *hasty]:
        if one.week in fine:
            assert one.low - 1e-6 <= fine[one.week].worth <= one.high + 1e-6
    assert all(one.high - one.low < 1e-3 for one in fine.values())
    # Not searched at all, a worth is not told as if it were known.
    assert any(one.low < one.worth < one.high for one in hasty)
    assert any("(between " in one.text for one in hasty)
    assert max(one.worth for one in fine.values()) > 50


def test_without_a_plan_there_is_no_worth() -> None:
    problem = Problem(yard([0]), (BoatAsk("Alder"),))
    assert slot_worths(problem, haul_out_plan(problem)) == ()
