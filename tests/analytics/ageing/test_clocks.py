"""Ages on both clocks, windows as nodes, identical lives as one."""

from dataclasses import fields, replace

import numpy as np
import pytest

from analytics.ageing.clocks import (
    CENSORED,
    EXACT,
    INTERVAL,
    UNSURE,
    Nodes,
    collapsed,
    nodes_of,
)
from analytics.ageing.families import FAMILIES
from analytics.ageing.hours_run import hours_run
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.maximum_likelihood.maximum import maximum_likelihood
from analytics.job import Fleet
from analytics.usage import day_numbers
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.ageing.worn_by import worn_by

WEIBULL = FAMILIES["weibull"]


def draws(n: int = 40, scale: float = 10.0) -> Parameters:
    rng = np.random.default_rng(1)
    return Parameters(
        rng.normal(np.log(3.0), 0.4, n), rng.normal(np.log(scale), 0.4, n), rng.uniform(0, 0.05, n)
    )


def test_ages_of_a_part_whose_days_are_known() -> None:
    # Fitted 2003-06-30, first watched 2005-01-01 (551 days on), failed 2011-06-30 (2922 days on).
    fleet = fleet_of(["A,single,bellows,,,2003-06-30,2011-06-30,failed,afloat"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.outcome.tolist() == [EXACT]
    assert nodes.entry.tolist() == pytest.approx([551 / 365.25])
    assert nodes.upper.tolist() == pytest.approx([2922 / 365.25])
    ignored = nodes_of(fleet.lives, fleet.lives.table, ignore_entry=True)
    assert ignored.entry.tolist() == [0.0]
    assert ignored.upper.tolist() == nodes.upper.tolist()


def test_a_failure_found_ashore_lies_between_two_days() -> None:
    fleet = fleet_of(["A,single,bellows,,,2010-06-30,2016-06-30,failed,ashore,2014-06-30"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.outcome.tolist() == [INTERVAL]
    assert nodes.lower.tolist() == pytest.approx([1461 / 365.25])
    assert nodes.upper.tolist() == pytest.approx([2192 / 365.25])


@pytest.mark.parametrize("reason", ["replaced_sound", "other_work", "accident", "unknown"])
def test_everything_but_a_failure_is_censoring(reason: str) -> None:
    fleet = fleet_of([f"A,single,bellows,,,2010-06-30,2016-06-30,{reason},afloat"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.outcome.tolist() == [CENSORED]
    assert nodes.lower.tolist() == pytest.approx([2192 / 365.25])


def test_shaft_hours_age_a_part_of_the_hours_clock() -> None:
    # 400 h a year between two readings; watched from the first of the records.
    fleet = fleet_of(
        ["A,single,face_seal,,,2004-01-01"],
        hours=["A,single,2000-01-01,0", "A,single,2024-06-30,9799.04"],
    )
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    years = 7486 / 365.25
    assert nodes.lower_years.tolist() == pytest.approx([years])
    assert nodes.lower.tolist() == pytest.approx([400 * years], rel=1e-4)
    assert nodes.entry.tolist() == pytest.approx([400 * 366 / 365.25], rel=1e-4)


def test_a_window_is_nodes_whose_weights_add_up_to_one() -> None:
    fleet = fleet_of(["A,single,bellows,,,2003..2009", "B,single,bellows,,,2007-03-01"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert np.add.reduceat(nodes.weight, nodes.first).tolist() == pytest.approx([1.0, 1.0])
    first = nodes.life == 0
    assert first.sum() > 10
    # Nothing was ever taken out of this fleet: the day is uniform, 2003-01-01 to 2009-12-31.
    middle = (np.datetime64("2003-01-01") - np.datetime64("1970-01-01")).astype(int) + 2556 / 2
    assert (nodes.weight * nodes.start)[first].sum() == pytest.approx(middle, abs=2.0)


@pytest.fixture(scope="module")
def mixed() -> Fleet:
    rows = []
    for number in range(30):
        boat, year = f"B{number:02d}", 2008 + number % 3
        rows += [
            f"{boat},port,bellows,,,{year}-05-01,{year + 6}-05-01,replaced_sound",
            f"{boat},port,bellows,,,{year + 6}-05-01",
            f"{boat},starboard,bellows,,,2003..2006,2012-07-15,failed,afloat",
            f"{boat},starboard,bellows,,,2012-07-15,2019-11-05,failed,ashore,2018-11-05",
        ]
    return fleet_of(rows)


@pytest.mark.parametrize("early", [True, False])
def test_identical_lives_become_one_and_the_likelihood_stays(mixed: Fleet, early: bool) -> None:
    nodes = nodes_of(mixed.lives, mixed.lives.table)
    fewer = collapsed(nodes)
    # Six years are 2191 days twice and 2192 once; three still run; two lives to starboard.
    assert fewer.n_lives == 7
    assert fewer.count.sum() == nodes.n_lives == 120
    theta = draws() if early else replace(draws(), early=np.zeros(40))
    np.testing.assert_allclose(
        log_likelihood(WEIBULL, theta, fewer, 0.25),
        log_likelihood(WEIBULL, theta, nodes, 0.25),
        rtol=1e-12,
    )


def test_collapsing_twice_changes_nothing(mixed: Fleet) -> None:
    once = collapsed(nodes_of(mixed.lives, mixed.lives.table))
    twice = collapsed(once)
    for field in fields(Nodes):
        np.testing.assert_array_equal(getattr(once, field.name), getattr(twice, field.name))


def test_no_lives_are_no_nodes(mixed: Fleet) -> None:
    none = nodes_of(mixed.lives, mixed.lives.table.iloc[:0])
    assert none.n_lives == 0
    assert collapsed(none).n_lives == 0
    assert log_likelihood(WEIBULL, draws(), none, 0.25).tolist() == [0.0] * 40


SPARSE = ["A,single,2012-01-01,0", "A,single,2018-01-01,2400"]


def test_hours_far_from_any_reading_are_two_nodes_within_their_bounds() -> None:
    # Six years of 400 hours; half a year in their middle may be anything from 0 to 2400.
    parts = ["A,single,face_seal,,,2014-01-01,2014-07-01,failed,afloat"]
    fleet = fleet_of(parts, hours=SPARSE)
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.first.tolist() == [0]
    low, high = nodes.upper.tolist()
    straight = 400 * 181 / 365.33
    assert 0 < low < straight < high < 2400
    assert nodes.weight.sum() == pytest.approx(1.0)
    assert float(nodes.weight @ nodes.upper) == pytest.approx(straight, rel=1e-3)
    run = hours_run(
        fleet.lives.usage,
        np.zeros(1, dtype=np.int64),
        day_numbers(fleet.lives.table["start_lo"]),
        day_numbers(fleet.lives.table["end_hi"]),
    )
    spread = np.sqrt(float(nodes.weight @ (nodes.upper - run.mean) ** 2))
    assert spread == pytest.approx(float(run.sd[0]))
    assert spread > UNSURE * straight
    # Years are known, whatever ran.
    assert nodes.upper_years[0] == nodes.upper_years[1]


def test_hours_read_at_both_ends_stay_one_node() -> None:
    parts = ["A,single,face_seal,,,2012-01-01,2018-01-01,failed,afloat"]
    fleet = fleet_of(parts, hours=SPARSE)
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.upper.tolist() == pytest.approx([2400.0])
    assert nodes.weight.tolist() == [1.0]


def test_a_part_in_service_keeps_the_hours_that_the_outlook_counts_from() -> None:
    fleet = fleet_of(["A,single,face_seal,,,2014-01-01"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert len(nodes.life) == 1


def test_a_failure_of_a_boat_without_hours_is_likelier_dated_where_it_runs_more() -> None:
    parts = [
        "A,single,face_seal,,,2014-01-01,2018-01-01,failed,afloat",
        "A,single,face_seal,,,2018-01-01,2022-01-01,replaced_sound",
    ]
    fleet = fleet_of(parts)
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.entry_weight is not None
    failed, sound = nodes.life == 0, nodes.life == 1
    # By day, and a boat that runs twice the hours passes them in half the days.
    assert (nodes.weight / nodes.entry_weight)[failed] == pytest.approx(
        nodes.upper[failed] / (300 * 1461 / 365.25), rel=1e-3
    )
    assert (nodes.weight / nodes.entry_weight)[sound] == pytest.approx([1.0, 1.0])


def test_ages_of_every_node_are_in_order() -> None:
    parts = [
        "A,single,cutless_bearing,,,2004..2006,2016-06-30,failed,ashore,2010-06-30",
        "A,single,cutless_bearing,,,2016-06-30,2017-06-30,replaced_sound",
        "B,single,cutless_bearing,,,2004,2016-06-30,failed,ashore,2010-06-30",
        "B,single,cutless_bearing,,,2016-06-30",
    ]
    fleet = fleet_of(parts, hours=SPARSE)
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert (nodes.entry >= 0).all()
    assert (nodes.lower >= nodes.entry).all()
    assert (nodes.upper >= nodes.lower).all()
    assert np.add.reduceat(nodes.weight, nodes.first).tolist() == pytest.approx([1.0] * 4)


def test_the_sample_fleet_has_its_hours_read_often_enough(sample: Fleet) -> None:
    table = sample.lives.table
    for kind in ("cutless_bearing", "face_seal", "packed_gland"):
        of_kind = table[table["kind"] == kind]
        nodes = nodes_of(sample.lives, of_kind)
        first = nodes.start[nodes.first][nodes.life]
        dated = np.bincount(nodes.life, nodes.start != first) == 0
        split = dated & (np.bincount(nodes.life) > 1)
        assert split.mean() < 0.05


def test_sparse_readings_blur_the_shape_unless_they_are_carried_along(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Lives of Weibull shape 3 by hours, on boats whose hours are not known at all.
    fleet = worn_by("hours", seed=4, apart=0.4, boats=60, reading_every=0.0)

    def most_likely_shape() -> float:
        nodes = collapsed(nodes_of(fleet.lives, fleet.lives.table))
        found = maximum_likelihood(WEIBULL, nodes)
        assert found is not None
        return found.shape

    carried = most_likely_shape()
    monkeypatch.setattr("analytics.ageing.clocks.UNSURE", np.inf)
    ignored = most_likely_shape()
    assert ignored < 2.0
    assert ignored + 0.3 < carried < 3.5
