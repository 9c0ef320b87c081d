from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from analytics.decisions.haul_out.bundles import (
    EXACT_JOBS,
    bundles_of,
    job_values,
    shared_labour,
    undone_cost,
)
from analytics.decisions.haul_out.problem import BoatAsk, Job
from tests.analytics.decisions.haul_out.small_yards import drawn_problem, job, yard
from tests.analytics.decisions.haul_out.verifier import labour_of


def test_jobs_of_a_line_share_one_strip_down() -> None:
    """Hours of each job: invented. That the shaft is drawn once: common practice, no source."""
    bellows = job()
    cutless = job("cutless", shared_hours=1.5)
    lip_seal = job("lip seal", alone_hours=4.0, shared_hours=0.8)
    other_line = job("bellows S", line="S")
    rudder = job("rudder bush", line="", alone_hours=3.0, shared_hours=1.0)
    assert shared_labour([bellows]) == 7
    assert shared_labour([bellows, cutless]) == pytest.approx(1 + 1.5 + 6)
    assert shared_labour([lip_seal, cutless]) == pytest.approx(0.8 + 1.5 + 5.5)
    assert shared_labour([bellows, other_line]) == 14
    assert shared_labour([bellows, rudder, rudder]) == 7 + 6
    assert shared_labour([]) == 0


def test_a_job_done_later_saves_less() -> None:
    """Each week of waiting is saved only from the lift on."""
    values = job_values(job(saving=100.0, waiting=(5.0, 7.0, 9.0)), 3)
    assert values == pytest.approx([121, 116, 109])
    assert undone_cost(BoatAsk("A", (job(saving=100.0, waiting=(5.0, 7.0, 9.0)),))) == 121
    assert undone_cost(BoatAsk("A", (job(saving=-50.0),))) == 0


@pytest.mark.parametrize("seed", range(20))
def test_no_set_of_jobs_is_better_than_those_kept(seed: int) -> None:
    """Every set of a boat's jobs is matched by one kept: no more hours, no less value."""
    problem = drawn_problem(seed, 1, 3, most_jobs=7)
    ask, made = problem.boats[0], problem.yard
    found = bundles_of(ask, made)
    assert found.exact
    must = {one.key for one in ask.jobs if one.must and not one.accepted_by}
    assert found.sets[0].hours == min(one.hours for one in found.sets)
    for one in found.sets:
        jobs = [each for each in ask.jobs if each.key in one.jobs]
        assert must <= set(one.jobs)
        assert one.hours == pytest.approx(labour_of(jobs))
        assert one.values == pytest.approx(_values(jobs, made.labour))
    for count in range(len(ask.jobs) + 1):
        for some in combinations(ask.jobs, count):
            if must <= {each.key for each in some}:
                hours, values = labour_of(list(some)), _values(list(some), made.labour)
                assert any(
                    one.hours <= hours + 1e-9 and (one.values >= values - 1e-6).all()
                    for one in found.sets
                )
    # And none of them is matched by another.
    for one, other in combinations(found.sets, 2):
        assert other.hours > one.hours - 1e-9
        assert (other.values > one.values).any()


def _values(jobs: list[Job], labour: float) -> np.ndarray:
    total = np.full(3, -labour * labour_of(jobs))
    for one in jobs:
        waiting = one.waiting or (0.0,) * 3
        total += [one.saving + sum(waiting[start:]) for start in range(3)]
    return total


def test_past_ten_jobs_of_a_line_sets_are_built_up_and_that_is_said() -> None:
    many = tuple(
        job(f"J{number:02d}", saving=300.0 - 10 * number, shared_hours=1.0)
        for number in range(EXACT_JOBS + 2)
    )
    found = bundles_of(BoatAsk("A", many), yard([1]))
    assert not found.exact
    # All pay beside one strip-down; with equal hours the dearest to leave come first.
    assert len(found.sets[-1].jobs) == len(many)
    for one in found.sets:
        assert one.jobs == tuple(each.key for each in many[: len(one.jobs)])


def test_a_job_that_never_pays_for_its_labour_is_in_no_set() -> None:
    found = bundles_of(BoatAsk("A", (job(), job("lip seal", saving=9.0))), yard([1]))
    assert found.exact
    assert [one.jobs for one in found.sets] == [(), ("bellows",)]
