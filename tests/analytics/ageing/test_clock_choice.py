"""Years or shaft hours, on fleets that are known to wear by one or the other.

Outside checks: where all boats run alike the two clocks are one model in two units, so that
their densities, turned into the same unit, are equal; multiplying hours by a number changes no
probability (change of variable, any textbook; from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics import job
from analytics.ageing.clock_choice import ClockChoice, clock_choice
from analytics.job import Fleet
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.ageing.worn_by import HEAD, worn_by


def choice_of(fleet: Fleet) -> ClockChoice:
    return clock_choice(fleet.lives, fleet.lives.table)


@pytest.mark.parametrize("seed", [1, 2])
def test_parts_that_wear_by_hours_are_foretold_by_hours(seed: int) -> None:
    choice = choice_of(worn_by("hours", seed=seed))
    assert choice.verdict == choice.better == "hours"
    assert choice.lead > 10
    assert choice.sentence == (
        "Shaft hours foretell these lives better than years "
        f"(difference {choice.lead:.1f}, standard error {choice.error:.1f})."
    )


@pytest.mark.parametrize("seed", [1, 2])
def test_parts_that_wear_by_years_are_foretold_by_years(seed: int) -> None:
    choice = choice_of(worn_by("years", seed=seed))
    assert choice.verdict == choice.better == "years"
    assert choice.lead < -10
    assert choice.sentence.startswith("Years foretell these lives better than shaft hours")


@pytest.mark.parametrize("clock", ["hours", "years"])
def test_where_all_boats_run_alike_no_clock_leads(clock: str) -> None:
    choice = choice_of(worn_by(clock, apart=0.0))  # type: ignore[arg-type]
    assert choice.verdict == "cannot tell"
    # Without the hours of the year in each density it would lead by failures times log 300.
    assert choice.failures > 90
    assert abs(choice.lead) < 0.5
    assert choice.better == choice.kind.clock


def test_failures_found_ashore_are_probabilities_on_both_clocks() -> None:
    choice = choice_of(worn_by("hours", apart=0.0, found="ashore", kind="cutless_bearing"))
    assert choice.years is not None
    assert (choice.years.nodes.outcome == 1).sum() > 90
    assert abs(choice.lead) < 0.5


def test_the_unit_of_hours_changes_nothing() -> None:
    one, ten = (choice_of(worn_by("hours", apart=0.3, unit=unit)) for unit in (1.0, 10.0))
    assert ten.lead == pytest.approx(one.lead, abs=0.1)
    assert ten.error == pytest.approx(one.error, abs=0.1)
    assert one.hours is not None
    assert ten.hours is not None
    np.testing.assert_allclose(
        ten.hours.ages_worn_out([0.5]), 10 * one.hours.ages_worn_out([0.5]), rtol=0.01
    )


def test_scores_do_not_hang_on_the_order_of_rows() -> None:
    fleet = worn_by("hours", boats=10)
    table = fleet.lives.table
    mixed = table.sample(frac=1.0, random_state=1)
    one, other = (clock_choice(fleet.lives, of) for of in (table, mixed))
    assert one.lines == other.lines
    assert other.lead == pytest.approx(one.lead, abs=0.05)


def test_no_hours_at_all_is_years_only() -> None:
    choice = choice_of(worn_by("years", reading_every=0.0))
    assert choice.verdict == "years only"
    assert choice.better == "years"
    assert choice.sentence == "No shaft hours are known: years only."
    assert choice.years is choice.hours is None
    assert choice.table.empty
    assert choice.left_out > 90


def test_lines_without_hours_are_left_out_on_both_clocks() -> None:
    parts = [
        f"{boat},single,face_seal,,,2012-01-01,{year}-06-01,failed,afloat"
        for boat, year in (("A", 2014), ("B", 2016), ("C", 2018), ("D", 2015))
    ] + [f"{boat},single,face_seal,,,2019-01-01" for boat in "ABCD"]
    hours = [
        f"{boat},single,{day},{shown}"
        for boat in "ABC"
        for day, shown in (("2012-01-01", 0), ("2023-01-01", 3300))
    ]
    choice = choice_of(fleet_of(parts, head=HEAD, hours=hours))
    assert choice.lines == (("A", "single"), ("B", "single"), ("C", "single"))
    assert (len(choice.table), choice.left_out, choice.failures) == (6, 2, 3)
    assert choice.verdict == "cannot tell"


HOURS = [
    f"{boat},single,{day},{shown}"
    for boat in "AB"
    for day, shown in (("2012-01-01", 0), ("2023-01-01", 3300))
]


@pytest.mark.parametrize(
    ("parts", "reason"),
    [
        (["A,single,face_seal,,,2014-01-01"], "there is one shaft line only"),
        (
            ["A,single,face_seal,,,2014-01-01", "B,single,face_seal,,,2014-01-01"],
            "no part has failed yet",
        ),
        (
            [
                "A,single,face_seal,,,2014-01-01",
                "B,single,face_seal,,,2014-01-01,2016-01-01,failed",
            ],
            "one part has failed, no more",
        ),
        (
            [
                f"{boat},single,face_seal,,,{year}-01-01,{year + 1}-01-01,failed"
                for boat in "AB"
                for year in (2013, 2014, 2015)
            ],
            "there are failures and no survivors",
        ),
    ],
)
def test_where_nothing_can_be_compared_it_says_why(parts: list[str], reason: str) -> None:
    choice = choice_of(fleet_of(parts, head=HEAD, hours=HOURS))
    assert choice.verdict == "cannot tell"
    assert choice.sentence == f"The records cannot tell which clock ages it: {reason}."
    assert choice.better == choice.kind.clock == "hours"


def test_everything_failed_on_one_day_is_no_trouble() -> None:
    parts = [
        f"{boat},single,face_seal,,,2014-01-01,2016-01-01,failed,afloat" for boat in "ABCD"
    ] + [f"{boat},single,face_seal,,,2016-01-01" for boat in "ABCD"]
    hours = [line.replace("A", boat, 1) for boat in "ABCD" for line in HOURS[:2]]
    choice = choice_of(fleet_of(parts, head=HEAD, hours=hours))
    assert choice.verdict == "cannot tell"
    assert np.isfinite([choice.lead, choice.error]).all()


def test_no_kind_of_the_sample_fleet_is_put_on_the_wrong_clock(sample: job.Fleet) -> None:
    for name in sample.lives.table["kind"].unique():
        table = sample.lives.table[sample.lives.table["kind"] == name]
        choice = clock_choice(sample.lives, table)
        assert choice.verdict in ("cannot tell", choice.kind.clock)
        assert (choice.lead > 0) == (choice.kind.clock == "hours")


def test_the_belief_in_force_plays_no_part() -> None:
    fleet = worn_by("hours", boats=12)
    kind = fleet.lives.settings.kind("packed_gland")
    wrong = replace(kind, prior=replace(kind.prior, shape=9.0, at=40.0, worn_out=(0.5, 0.9)))
    settings = replace(fleet.lives.settings, kinds={"packed_gland": wrong})
    one = clock_choice(fleet.lives, fleet.lives.table)
    other = clock_choice(replace(fleet.lives, settings=settings), fleet.lives.table)
    assert (other.lead, other.error) == (one.lead, one.error)
