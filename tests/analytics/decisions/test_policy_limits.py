"""Rules as limits of every part: by age of least cost, by risk, by readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics import job
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import point
from analytics.decisions.policy_limits import (
    least_cost_limits,
    reading_limits,
    risk_limits,
    rules,
)
from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.lives import IN_SERVICE
from analytics.outlook.policy import limits_as_set
from analytics.usage import day_number


@pytest.fixture(scope="module")
def ages(sample: job.Fleet, sample_ageing: FleetAgeing) -> tuple[GroupAge, ...]:
    return job.replacement_ages_of(sample, sample_ageing)


def serving(one: Ageing) -> pd.DataFrame:
    return one.table[one.table["outcome"] == IN_SERVICE]


def pinned(one: Ageing, shape: float, scale: float) -> Ageing:
    kind = replace(one.kind, causes=("wear_out",), family="weibull")
    return replace(one, kind=kind, posterior=point(kind, np.log(shape), np.log(scale)))


def test_by_risk_the_chance_at_the_limit_is_the_threshold(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    one = pinned(sample_ageing["bellows", "all"], 4.0, 11.0)
    season = sample.coming_season()
    found = risk_limits(sample.lives, one, serving(one), season, 0.10, 0)
    ahead = ((season.end - season.lift_on).days + 1) / 365.25
    # Closed form of a Weibull curve: the limit is looked for in steps of an eighth of a year.
    for age, above in ((found.age[0], True), (found.age[0] - 0.125, False)):
        hazard = ((age + ahead) / 11.0) ** 4 - (age / 11.0) ** 4
        assert bool(1 - np.exp(-hazard) > 0.10) is above
    assert len(set(found.age)) == 1
    assert np.isinf(found.years).all()


def test_by_risk_parts_in_hours_look_ahead_by_the_hours_of_their_boat(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    one = pinned(sample_ageing["face_seal", "all"], 3.0, 4000.0)
    rows, season = serving(one), sample.coming_season()
    found = risk_limits(sample.lives, one, rows, season, 0.10, 0)
    rate = sample.lives.usage.rate[sample.lives.usage.line_of(rows["boat"], rows["position"])]
    # A boat that runs more in a season is renewed at fewer hours.
    busy, idle = int(rate.argmax()), int(rate.argmin())
    assert found.age[busy] < found.age[idle]


def test_a_higher_threshold_waits_longer_and_a_flat_rate_for_ever(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    one, season = sample_ageing["bellows", "all"], sample.coming_season()
    low, high = (
        risk_limits(sample.lives, one, serving(one), season, threshold, 0).age
        for threshold in (0.05, 0.15)
    )
    assert (low < high).all()
    flat = pinned(one, 1.0, 20.0)
    assert np.isinf(risk_limits(sample.lives, flat, serving(flat), season, 0.10, 0).age).all()


def test_the_age_of_least_cost_exceeds_no_limit(
    sample_ageing: FleetAgeing, ages: tuple[GroupAge, ...]
) -> None:
    one = sample_ageing["bellows", "all"]
    best = next(age.best for age in ages if age.kind.name == "bellows" and age.base == ALL)
    assert best is not None
    found = least_cost_limits(one, serving(one), ages)
    assert set(found.age) == {best - 0.5}
    short = replace(one, kind=replace(one.kind, limit=3.0))
    assert set(least_cost_limits(short, serving(short), ages).age) == {3.0}
    # Where age gains nothing the limit as set is left alone.
    packing = sample_ageing["packed_gland", "all"]
    assert np.isinf(least_cost_limits(packing, serving(packing), ages).age).all()


def test_a_base_that_differs_has_its_own_age(
    sample_ageing: FleetAgeing, ages: tuple[GroupAge, ...]
) -> None:
    one = sample_ageing["bellows", "all"]
    found = least_cost_limits(one, serving(one), ages, by_base=True)
    warm = (serving(one)["base"] == "Quillhaven").to_numpy()
    assert found.age[warm].max() < found.age[~warm].min()


def test_readings_limit_bearings_only(sample: job.Fleet, sample_ageing: FleetAgeing) -> None:
    season = sample.coming_season()
    one = sample_ageing["cutless_bearing", "all"]
    rows = serving(one)
    as_set = limits_as_set(one.kind, len(rows))
    found = reading_limits(sample.lives, one, rows, season, as_set)
    # 30 mm: new 0.09 to 0.20, watch 0.45, renew 0.75 mm (planning defaults): 0.305 / 0.605.
    middle = (rows["size"] == "30 mm").to_numpy()
    assert middle.any()
    assert found.worn[middle].max() == pytest.approx(0.305 / 0.605)
    assert 0 < found.reading_error < 0.3
    bellows = sample_ageing["bellows", "all"]
    unread = limits_as_set(bellows.kind, len(serving(bellows)))
    assert reading_limits(sample.lives, bellows, serving(bellows), season, unread) is unread


def test_a_bearing_that_would_not_last_the_season_is_renewed_before_the_watch_limit(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    middle = 500.0
    shape = 8.0
    scale = middle / np.log(2) ** (1 / shape)
    one = pinned(sample_ageing["cutless_bearing", "all"], shape, scale)
    rows, season = serving(one), sample.coming_season()
    found = reading_limits(sample.lives, one, rows, season, limits_as_set(one.kind, len(rows)))
    usage = sample.lives.usage
    line = usage.line_of(rows["boat"], rows["position"])
    begin, end = (
        usage.hours_at(line, np.full(len(rows), day_number(day)))
        for day in (season.lift_on, season.end)
    )
    # The middle life is looked for in steps of an eighth of the hours of a year.
    left = 1.0 - (end - begin) / middle
    chosen = (rows["size"] == "30 mm").to_numpy()
    expected = np.minimum(left, 0.305 / 0.605)[chosen]
    assert (expected < 0.4).any()
    assert found.worn[chosen] == pytest.approx(expected, abs=0.08)


def test_a_fleet_without_limits_has_no_rule_twice(
    sample: job.Fleet, sample_ageing: FleetAgeing, ages: tuple[GroupAge, ...]
) -> None:
    packing = {key: one for key, one in sample_ageing.items() if key[0] == "packed_gland"}
    found = rules(sample.lives, packing, ages, sample.coming_season())
    # Nothing is gained by age, nothing stops the boat, nothing is measured.
    assert [rule.name for rule in found] == ["as_set"]
    every = rules(sample.lives, sample_ageing, ages, sample.coming_season())
    assert [rule.name for rule in every][:2] == ["as_set", "to_failure"]


def test_by_risk_the_part_that_follows_a_bad_lot_has_the_limit_of_the_kind(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    one = sample_ageing["bellows", "all"]
    lot = replace(pinned(one, 4.0, 6.0), group="lot of old")
    apart = {("bellows", "all"): pinned(one, 4.0, 11.0), ("bellows", "lot of old"): lot}
    by_risk = next(
        rule for rule in rules(sample.lives, apart, (), sample.coming_season())
        if rule.name == "risk"
    )  # fmt: skip
    usual, bad = (by_risk.limits["bellows", group] for group in ("all", "lot of old"))
    assert usual.renewed is None
    assert bad.renewed is not None
    assert bad.age[0] < usual.age[0] == bad.renewed.age[0]
    # Limits as set are those of the kind whatever the lot.
    first = rules(sample.lives, apart, (), sample.coming_season())[0]
    assert all(limits.renewed is None for limits in first.limits.values())
