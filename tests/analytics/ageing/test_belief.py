"""How much of a figure is data: closed forms, and fleets whose answer is plain."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gamma, norm

from analytics.ageing.belief import COLUMNS, Learned, fleet_learned, learned
from analytics.ageing.fit import FleetAgeing, fleet_ageing, kind_ageing
from analytics.ageing.summary import Estimate
from tests.analytics.ageing.folders import fleet_of


def of(figure, prior, records, fitted=True) -> Learned:
    return Learned("bellows", "all", "weibull", figure, "years", prior, records, fitted)


def lognormal(middle: float, deviation: float) -> Estimate:
    ends = np.exp(norm.ppf([0.5, 0.05, 0.95], middle, deviation))
    return Estimate(*map(float, ends))


def rate(shape: float, years: float) -> Estimate:
    return Estimate(*map(float, gamma.ppf([0.5, 0.05, 0.95], shape, scale=1 / years)))


@pytest.mark.parametrize("measured", [0, 1, 3, 40])
def test_for_normal_belief_it_is_the_share_of_the_precision(measured: int) -> None:
    # A belief worth one measurement of variance 1, and so many of them: normal conjugacy
    # (Gelman et al., Bayesian Data Analysis, section 2.5; from memory).
    after = lognormal(2.0, (1 / (1 + measured)) ** 0.5)
    one = of("life_10", lognormal(2.0, 1.0), after)
    assert one.from_records == pytest.approx(measured / (1 + measured), abs=1e-9)


@pytest.mark.parametrize("years", [10.0, 40.0, 400.0])
def test_a_rate_without_events_is_as_sure_as_the_time_watched(years: float) -> None:
    # Gamma belief worth 40 part-years, then `years` of them without an accident: only the scale of
    # the gamma changes, so its range shrinks by 40 / (40 + years), and a root by the root of that.
    one = of("accidents", rate(0.48, 40.0), rate(0.48, 40.0 + years))
    assert one.from_records == pytest.approx(years / (40 + years), abs=1e-9)


def test_surprise_is_the_distance_of_the_records_own_estimate() -> None:
    # Belief N(0, 1), an estimate of 3 with deviation 0.5: foreseen with deviation sqrt(1 + 0.25).
    precision = 1 + 1 / 0.25
    after = lognormal(3 * 4 / precision, precision**-0.5)
    one = of("life_10", lognormal(0.0, 1.0), after)
    assert one.surprise == pytest.approx(3 / 1.25**0.5, abs=1e-9)
    assert one.conflict
    within = of("life_10", lognormal(0.0, 1.0), lognormal(2 * 4 / precision, precision**-0.5))
    assert within.surprise == pytest.approx(2 / 1.25**0.5, abs=1e-9)
    assert not within.conflict


def test_nothing_is_learned_where_nothing_was_fitted() -> None:
    same = lognormal(2.0, 1.0)
    one = of("life_10", same, lognormal(4.0, 0.1), fitted=False)
    assert (one.from_records, one.surprise, one.conflict) == (0.0, 0.0, False)


def test_more_lives_teach_more() -> None:
    shares = []
    for boats in (4, 20, 100):
        ended = [f"{2017 + i % 4}-{1 + i % 12:02d}-{1 + i % 28:02d}" for i in range(boats)]
        parts = [f"B{i},,bellows,,,2010-04-01,{day},failed" for i, day in enumerate(ended)]
        parts += [f"B{i},,bellows,,,2022-04-01" for i in range(boats)]
        lives = fleet_of(parts).lives
        figures = learned(kind_ageing(lives, lives.table, factors=False))
        shares.append({one.figure: one.from_records for one in figures})
    for name in ("life_10", "scale"):
        assert shares[0][name] < shares[1][name] < shares[2][name]
    assert shares[2]["life_10"] > 0.9


def test_rubber_that_fails_at_two_years_does_not_go_with_the_belief() -> None:
    parts = [f"B{i},,bellows,,,2018-04-01,2020-0{1 + i % 9}-01,failed" for i in range(20)]
    parts += [f"B{i},,bellows,,,2023-04-01" for i in range(20)]
    lives = fleet_of(parts).lives
    apart = [one for one in learned(kind_ageing(lives, lives.table)) if one.conflict]
    assert "life_10" in {one.figure for one in apart}
    assert next(one for one in apart if one.figure == "life_10").surprise < 0


def test_survivors_contradict_no_belief() -> None:
    lives = fleet_of([f"B{i},,bellows,,,2018-04-01" for i in range(12)]).lives
    for one in learned(kind_ageing(lives, lives.table)):
        assert not one.conflict, one.figure


def test_only_failures_leave_the_belief_alone() -> None:
    parts = [f"B{i},,bellows,,,2014-04-01,2022-05-01,failed" for i in range(6)]
    fleet = fleet_of([*parts, "C,,gland_hose,,,2020-04-01"])
    fitted = fleet_ageing(fleet.lives)["bellows", "all"]
    for one in learned(fitted):
        assert not one.fitted
        assert one.prior == one.records
        assert one.from_records == 0.0


def test_causes_that_are_not_modelled_are_left_out() -> None:
    lives = fleet_of(["B,,bellows,,,2018-04-01"], '[kinds.bellows]\ncauses = ["wear_out"]\n').lives
    figures = [one.figure for one in learned(kind_ageing(lives, lives.table))]
    assert figures == ["life_10", "scale", "shape"]


def test_the_table_says_the_same_for_every_kind(sample_ageing: FleetAgeing) -> None:
    table = fleet_learned(sample_ageing)
    assert list(table.columns) == COLUMNS
    for (kind, group), fitted in sample_ageing.items():
        rows = table[(table["kind"] == kind) & (table["group"] == group)]
        figures = learned(fitted)
        assert list(rows["figure"]) == [one.figure for one in figures]
        assert list(rows["from_records"]) == [one.from_records for one in figures]
        assert (rows["prior_low"] <= rows["prior"]).all()
        assert (rows["prior"] <= rows["prior_high"]).all()
