"""Causes apart, against closed forms and by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics import job
from analytics.ageing.causes import CAUSES_COLUMNS, cause_shares, causes_table, fleet_causes
from analytics.ageing.clocks import EXACT
from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import Parameters
from analytics.ageing.nonparametric import incidence
from analytics.ageing.posterior import Posterior
from tests.analytics.ageing.folders import fleet_of

GOING = [f"A{n},single,bellows,,,2012-01-01" for n in range(9)]


def known(fitted: Ageing, *, early: float = 0.0, accidents: float = 0.0) -> Ageing:
    """The same lives under one known curve: constant wear-out, once in ten years."""
    at = Parameters(np.zeros(1), np.array([np.log(10.0)]), np.array([early]))
    kind = replace(fitted.kind, family="weibull")
    alike = Posterior(kind, at, np.array([accidents]), 1.0, "point")
    return replace(fitted, posterior=alike)


@pytest.fixture(scope="module")
def lives() -> job.Fleet:
    # Four failures: on the 30th day, in the fifth year, and two that may be of any age up to ten.
    return fleet_of(
        [
            *GOING,
            "F,single,bellows,,,2012-01-01,2012-01-31,failed",
            "G,single,bellows,,,2012-01-01,2016-06-01,failed",
            "L,single,bellows,,,2012-01-01,2017-06-01,accident",
        ]
    )


@pytest.fixture(scope="module")
def bellows(lives: job.Fleet) -> Ageing:
    return job.how_it_ages(lives)["bellows", "all"]


def of(table: pd.DataFrame, cause: str, column: str) -> np.ndarray:
    return table.loc[table["cause"] == cause, column].to_numpy(dtype=float)


def test_constant_hazards_end_parts_in_proportion(bellows: Ageing) -> None:
    ages = np.linspace(0.0, 20.0, 41)
    table = causes_table(known(bellows, accidents=0.05), ages)
    assert list(table.columns) == CAUSES_COLUMNS
    assert of(table, "wear_out", "per_year") == pytest.approx(np.full(41, 0.1))
    assert of(table, "accident", "per_year") == pytest.approx(np.full(41, 0.05))
    # Of those that end, two in three wear out: 2/3 (1 - exp(-0.15 t)).
    ended = 1 - np.exp(-0.15 * ages)
    assert of(table, "wear_out", "share_ended") == pytest.approx(2 / 3 * ended, abs=1e-12)
    assert of(table, "accident", "share_ended") == pytest.approx(1 / 3 * ended, abs=1e-12)
    assert of(table, "all", "share_ended") == pytest.approx(ended, abs=1e-12)


def test_hazards_and_shares_add_up(bellows: Ageing) -> None:
    table = causes_table(bellows)
    for column in ("hazard", "per_year", "share_ended"):
        parts = sum(of(table, cause, column) for cause in ("early", "wear_out", "accident"))
        assert of(table, "all", column) == pytest.approx(parts)
        both = of(table, "early", column) + of(table, "wear_out", column)
        assert of(table, "failed", column) == pytest.approx(both)
    low, high = table["share_ended_low"], table["share_ended_high"]
    assert ((low <= table["share_ended"]) & (table["share_ended"] <= high)).all()
    assert of(table, "all", "share_ended").max() <= 1


def test_bad_fits_end_their_share_and_no_more(bellows: Ageing) -> None:
    over = bellows.posterior.early_years
    table = causes_table(known(bellows, early=0.3), np.array([0.0, over / 2, over, 5.0]))
    share = of(table, "early", "share_ended")
    # Evenly over 90 days, less the few that wear out first.
    assert share[1:3] == pytest.approx([0.15, 0.3], rel=0.02)
    assert share[3] == share[2]
    assert of(table, "early", "hazard")[3] == 0


def test_the_records_own_shares_stand_beside(lives: job.Fleet, bellows: Ageing) -> None:
    own = incidence.from_table(lives.lives, bellows.table, causes=("failed", "accident"))
    table = causes_table(bellows, np.array([0.0, 1.0, 5.0, 40.0]), own)
    # One of twelve failed in the first year; then one of eleven, and one of ten by accident.
    failed = 1 / 12 + 11 / 12 / 11
    assert of(table, "failed", "recorded")[:3] == pytest.approx([0, 1 / 12, failed])
    assert of(table, "all", "recorded")[2] == pytest.approx(failed)
    assert np.isnan(of(table, "failed", "recorded")[3])
    assert np.isnan(of(table, "early", "recorded")).all()
    assert table["past_oldest"].tolist() == [*[False] * 15, *[True] * 5]


def test_failures_are_told_apart_by_their_age(bellows: Ageing) -> None:
    shares = cause_shares(known(bellows, early=0.3)).set_index("cause")
    # On the 30th day a bad fit is (0.3 / 90) / (1 - 0.1) a day, wear 0.1 / 365.25: 12 to 1.
    bad = (0.3 / 90) / (1 - 0.3 * 30 / 90)
    chance = bad / (bad + 0.1 / 365.25)
    many = replace(
        known(bellows),
        posterior=replace(
            known(bellows).posterior,
            parameters=Parameters(np.zeros(2000), np.full(2000, np.log(10.0)), np.full(2000, 0.3)),
            accidents=np.zeros(2000),
        ),
    )
    found = cause_shares(many).set_index("cause")
    assert found.loc["early", "estimated"] == pytest.approx(chance, abs=0.08)
    assert shares.loc["failed", "recorded"] == 2
    assert shares.loc["accident", "recorded"] == 1
    assert shares.loc["early", "estimated"] + shares.loc["wear_out", "estimated"] == 2
    assert found["share"].drop("failed").sum() == pytest.approx(1.0)


def test_days_of_fitting_count_by_what_the_failure_says_of_them() -> None:
    # Fitted at any time in three years, found failed soon after: as a bad fit, or sharply worn.
    row = "F{n},single,bellows,,,2010..2012,2013-02-10,failed,afloat"
    fleet = fleet_of([*GOING, *(row.format(n=n) for n in range(40))])
    fitted = job.how_it_ages(fleet)["bellows", "all"]
    share, shape, scale, draws = 0.1, 3.0, 4.0, 300
    at = Parameters(
        np.full(draws, np.log(shape)), np.full(draws, np.log(scale)), np.full(draws, share)
    )
    kind = replace(fitted.kind, family="weibull")
    fitted = replace(fitted, posterior=Posterior(kind, at, np.zeros(draws), 1.0, "point"))

    # Day by day, from the densities alone.
    nodes, over = fitted.nodes, fitted.posterior.early_years
    failed = nodes.outcome[nodes.life] == EXACT
    first = failed & (nodes.life == nodes.life[failed][0])
    age, weight = nodes.upper[first], nodes.weight[first]
    assert len(age) > 3
    left = 1 - share * np.minimum(age / over, 1)
    early = np.where(age < over, share / over / left, 0.0)
    wear = shape / scale * (age / scale) ** (shape - 1)
    alive = left * np.exp(-((age / scale) ** shape))
    bad = float((weight * early * alive).sum() / (weight * (early + wear) * alive).sum())
    young = float(weight[age < over].sum())
    assert abs(bad - young) > 0.05, "or the test could not tell"
    found = cause_shares(fitted).set_index("cause")
    assert found.loc["early", "estimated"] / 40 == pytest.approx(bad, abs=0.02)


def test_early_failures_are_drawn_by_the_seed_of_the_fit(lives: job.Fleet) -> None:
    one = job.how_it_ages(lives, 3)["bellows", "all"]
    found = cause_shares(one)
    pd.testing.assert_frame_equal(found, cause_shares(one))
    other = cause_shares(replace(one, seed=4))
    assert not found["estimated"].equals(other["estimated"])


def test_no_failure_shares_out_nothing() -> None:
    fitted = job.how_it_ages(fleet_of(GOING))["bellows", "all"]
    shares = cause_shares(fitted).set_index("cause")
    assert (shares["estimated"] == 0).all()
    assert shares["share"].isna().all()
    assert not causes_table(fitted)["share_ended"].isna().any()


def test_the_table_of_a_fleet(sample_ageing: dict[tuple[str, str], Ageing]) -> None:
    table = fleet_causes(sample_ageing)
    assert set(table["kind"]) == {kind for kind, _ in sample_ageing}
    assert fleet_causes({}).empty
