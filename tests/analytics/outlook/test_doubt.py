"""The season under three beliefs: what they are, what they leave alone, what they move."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logit

from analytics import job
from analytics.ageing.fit import FleetAgeing, fleet_ageing
from analytics.ageing.own_belief import with_prior
from analytics.ageing.summary import key_figures
from analytics.outlook.doubt import (
    ALL_KINDS,
    BOATS_COLUMNS,
    KINDS_COLUMNS,
    PARTS_COLUMNS,
    STANCES,
    PriorDoubt,
    expected_learned,
    prior_doubt,
    prior_under,
)
from analytics.outlook.season import season_risk
from analytics.records.kinds import KINDS, Prior
from tests.analytics.ageing.folders import fleet_of

SOUND = [f"B{i},,bellows,,,201{6 + i % 3}-04-01" for i in range(10)]


@pytest.fixture(scope="module")
def doubt(sample: job.Fleet, sample_ageing: FleetAgeing) -> PriorDoubt:
    return prior_doubt(sample.lives, sample_ageing, sample.coming_season())


@pytest.mark.parametrize(("stance", "wider"), [("doubtful", 2.0), ("trusting", 0.5)])
@pytest.mark.parametrize("kind", list(KINDS))
def test_every_range_is_twice_or_half_as_wide_about_the_same_middle(
    kind: str, stance: str, wider: float
) -> None:
    prior = KINDS[kind].prior
    other = prior_under(prior, stance)
    assert other.shape == prior.shape
    assert np.log(other.shape_factor) == pytest.approx(wider * np.log(prior.shape_factor))
    for name in ("worn_out", "early"):
        before, after = (logit(getattr(one, name)) for one in (prior, other))
        assert after.mean() == pytest.approx(before.mean())
        assert np.ptp(after) == pytest.approx(wider * np.ptp(before))
    assert (other.at, other.accidents) == (prior.at, prior.accidents)
    assert other.accident_years == pytest.approx(prior.accident_years / wider**2)


def test_a_belief_at_the_edge_stays_a_belief() -> None:
    edge = Prior(shape=2.0, shape_factor=1.5, at=8.0, worn_out=(1e-8, 1 - 1e-8))
    low, high = prior_under(edge, "doubtful").worn_out
    assert 0 < low < high < 1


def test_as_set_is_the_season_that_every_page_shows(
    doubt: PriorDoubt, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    risk = season_risk(sample.lives, sample_ageing, sample.coming_season())
    assert doubt.expected()["as set"] == risk.expected
    for key, fitted in sample_ageing.items():
        alone = season_risk(sample.lives, {key: fitted}, sample.coming_season())
        assert doubt.expected(*key)["as set"] == alone.expected
    merged = doubt.parts.set_index(["boat", "position", "kind"])["risk_as_set"]
    shown = risk.parts.set_index(["boat", "position", "kind"])["risk"].astype(float)
    assert merged.sort_index().to_numpy() == pytest.approx(shown.sort_index().to_numpy(), abs=0)


def test_the_tables_add_up(doubt: PriorDoubt, sample_ageing: FleetAgeing) -> None:
    kinds = doubt.kinds
    assert list(kinds.columns) == KINDS_COLUMNS
    assert list(doubt.parts.columns) == PARTS_COLUMNS
    assert list(doubt.boats.columns) == BOATS_COLUMNS
    assert len(kinds) == 3 * (len(sample_ageing) + 1)
    for stance, column in zip(STANCES, ("doubtful", "as_set", "trusting"), strict=True):
        rows = kinds[kinds["prior"] == stance]
        single = rows[rows["kind"] != ALL_KINDS]["expected_failures"].sum()
        assert single == pytest.approx(doubt.expected()[stance])
        assert doubt.parts[f"risk_{column}"].sum() == pytest.approx(single)
        ranks = doubt.parts.sort_values(f"risk_{column}", ascending=False)[f"rank_{column}"]
        assert ranks.is_monotonic_increasing
        assert ranks.iloc[0] == 1
    assert (kinds["expected_low"] <= kinds["expected_failures"]).all()
    assert (kinds["expected_failures"] <= kinds["expected_high"]).all()


def test_hundreds_of_lives_leave_little_to_belief(doubt: PriorDoubt) -> None:
    expected = doubt.expected()
    assert max(expected.values()) < 1.1 * min(expected.values())


def test_survivors_alone_leave_much_to_belief() -> None:
    lives = fleet_of(SOUND).lives
    fleet = fleet_ageing(lives)
    season = lives.settings.seasons.season(2027)
    found = prior_doubt(lives, fleet, season)
    rows = found.kinds.set_index("prior")
    width = rows["expected_high"] - rows["expected_low"]
    assert width["doubtful"] > 1.1 * width["as set"] > 1.1 * width["trusting"]
    (one,) = fleet.values()
    ranges = []
    for stance in STANCES:
        tried = with_prior(one, lives, prior_under(one.kind.prior, stance))
        believed = key_figures(tried, tried.prior).shape
        ranges.append(believed.high / believed.low)
    assert ranges[0] > 1.3 * ranges[1] > 1.3 * ranges[2]


def test_progress_is_told_and_the_same_seed_gives_the_same_numbers() -> None:
    lives = fleet_of(SOUND).lives
    shuffled = fleet_of(SOUND[::-1]).lives
    told: list[tuple[str, int, int]] = []
    season = lives.settings.seasons.season(2025)
    first = prior_doubt(lives, fleet_ageing(lives), season, 0, lambda *one: told.append(one))
    second = prior_doubt(shuffled, fleet_ageing(shuffled), season)
    assert [done for _, done, _ in told] == [0, 1]
    assert {of for _, _, of in told} == {2}
    for name in ("kinds", "parts", "boats"):
        assert getattr(first, name).equals(getattr(second, name))


def test_no_part_in_service_is_no_failure() -> None:
    lives = fleet_of(["B,,bellows,,,2012-04-01,2019-05-01,replaced_sound"]).lives
    found = prior_doubt(lives, fleet_ageing(lives), lives.settings.seasons.season(2025))
    assert set(found.expected().values()) == {0.0}
    assert found.parts.empty
    assert found.boats.empty
    assert expected_learned(lives, fleet_ageing(lives), lives.settings.seasons.season(2025)) == ()


def test_one_kind_is_named_and_not_summed() -> None:
    lives = fleet_of(SOUND).lives
    found = prior_doubt(lives, fleet_ageing(lives), lives.settings.seasons.season(2025))
    assert set(found.kinds["kind"]) == {"bellows"}
    assert found.expected() == found.expected("bellows")


def test_a_season_that_is_over_is_refused() -> None:
    lives = fleet_of(SOUND).lives
    over = lives.settings.seasons.season(2020)
    with pytest.raises(ValueError, match="over"):
        prior_doubt(lives, fleet_ageing(lives), over)


def test_what_is_expected_before_the_records_uses_the_belief_alone(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    season = sample.coming_season()
    key = ("face_seal", "all")
    fitted = sample_ageing[key]
    (one,) = expected_learned(sample.lives, {key: fitted}, season)
    before = season_risk(sample.lives, {key: replace(fitted, posterior=fitted.prior)}, season)
    assert one.prior.median == float(np.median(before.during.sum(axis=1)))
    assert one.records.low < one.records.median < one.records.high
    assert one.from_records > 0.5
