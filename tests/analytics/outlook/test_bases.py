"""Failures by base: sums, and ranges that hold what is not known and luck."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom

from analytics.ageing.fit import FleetAgeing
from analytics.job import Fleet
from analytics.outlook.bases import ALL_BASES, WINDOWS, bases_table
from analytics.outlook.season import SeasonRisk, season_risk


def test_a_base_of_parts_alike_is_binomial() -> None:
    # Forty parts of one chance that is known: the range of the number is the binomial one.
    parts = pd.DataFrame({"base": ["North"] * 40 + [""], "boat": [f"B{i // 2}" for i in range(41)]})
    chance = {
        "before": np.full((3, 41), 0.1),
        "in_season": np.full((3, 41), 0.25),
        "after": np.zeros((3, 41)),
    }
    table = bases_table(parts, chance).set_index("base")
    north = table.loc["North"]
    assert (north["boats"], north["parts"]) == (20, 40)
    assert north["expected_in_season"] == pytest.approx(10.0)
    assert north["expected_in_season_low"] == pytest.approx(10.0)
    assert north["failures_in_season_low"] == binom.ppf(0.05, 40, 0.25)
    assert north["failures_in_season_high"] == binom.ppf(0.95, 40, 0.25)
    assert north["failures_before_high"] == binom.ppf(0.95, 40, 0.1)
    assert (north["expected_after"], north["failures_after_high"]) == (0.0, 0)
    assert (table.loc["", "parts"], table.loc[ALL_BASES, "parts"]) == (1, 41)


def test_chances_that_are_not_known_widen_the_expected_number() -> None:
    parts = pd.DataFrame({"base": ["North"] * 10, "boat": list("ABCDEFGHIJ")})
    chance = np.linspace(0.0, 0.5, 101)[:, None] * np.ones(10)
    row = bases_table(parts, dict.fromkeys(WINDOWS, chance)).iloc[0]
    # The number expected runs evenly from 0 to 5.
    assert row["expected_before"] == pytest.approx(2.5)
    ends = row["expected_before_low"], row["expected_before_high"]
    assert ends == pytest.approx((0.25, 4.75))
    # The number itself: the binomial law averaged over the draws.
    pmf = binom.pmf(np.arange(11)[:, None], 10, chance[:, 0]).mean(axis=1)
    assert row["failures_before_high"] == np.searchsorted(pmf.cumsum(), 0.95)


@pytest.fixture(scope="module")
def risk(sample: Fleet, sample_ageing: FleetAgeing) -> SeasonRisk:
    return season_risk(sample.lives, sample_ageing, sample.coming_season())


def test_bases_add_up_to_the_fleet_and_to_its_parts(risk: SeasonRisk) -> None:
    bases = risk.bases.set_index("base")
    whole, each = bases.loc[ALL_BASES], bases.drop(index=ALL_BASES)
    assert len(each) == 3
    for name, of_part in (
        ("expected_before", "risk_before"),
        ("expected_in_season", "risk"),
        ("expected_after", "risk_after"),
    ):
        assert each[name].sum() == pytest.approx(whole[name])
        sums = risk.parts.groupby("base")[of_part].sum()
        assert each[name].to_numpy() == pytest.approx(sums[each.index].to_numpy())
    assert each[["boats", "parts"]].sum().tolist() == whole[["boats", "parts"]].tolist()
    assert (whole["failures_in_season_low"], whole["failures_in_season_high"]) == risk.likely_range
    assert risk.expected_after == pytest.approx(whole["expected_after"])


def test_the_worst_boats_of_a_fleet(risk: SeasonRisk) -> None:
    boats = risk.boats
    assert boats["among_worst"].sum() == pytest.approx(risk.worst)
    # By the draws themselves: rank every boat in every one of them.
    names = sorted(boats["boat"])
    own = [(risk.parts["boat"] == name).to_numpy() for name in names]
    drawn = np.column_stack([1 - np.prod(1 - risk.at_start[:, one], axis=1) for one in own])
    ranks = (-drawn).argsort(axis=1).argsort(axis=1)
    share = pd.Series((ranks < risk.worst).mean(axis=0), names)
    assert boats["among_worst"].to_numpy() == pytest.approx(share[boats["boat"]].to_numpy())


def test_after_the_season_follows_on(sample: Fleet, sample_ageing: FleetAgeing) -> None:
    # Before, in and after this season are all that comes before the next one.
    now, following = (sample.records.settings.seasons.season(year) for year in (2027, 2028))
    this, coming = (season_risk(sample.lives, sample_ageing, one) for one in (now, following))
    three = this.parts[["risk_before", "risk", "risk_after"]].astype(float).sum(axis=1)
    # Hours that are in doubt draw their spread by how far ahead they are asked for.
    years = (this.parts["clock"] == "years").to_numpy()
    before = coming.parts["risk_before"].astype(float)
    assert three[years].to_numpy() == pytest.approx(before[years].to_numpy(), rel=1e-9)
    assert three[~years].to_numpy() == pytest.approx(before[~years].to_numpy(), rel=0.03, abs=2e-3)
