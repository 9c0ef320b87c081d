"""Ages of replacement by kind and base: whose limit stands, and what its neighbours cost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from analytics import job
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import point
from analytics.decisions.consequence import failure_cost, failure_costs_all_year
from analytics.decisions.prices import PriceList, price_list
from analytics.decisions.replacement_groups import (
    AGES_COLUMNS,
    ALL,
    CURVE_COLUMNS,
    GroupAge,
    ages_table,
    curve_table,
    lift_of,
    next_lift,
    replacement_ages,
)
from analytics.lives import IN_SERVICE
from analytics.records.kinds import KINDS


@pytest.fixture(scope="module")
def ages(sample: job.Fleet, sample_ageing: FleetAgeing) -> tuple[GroupAge, ...]:
    return replacement_ages(sample.lives, sample_ageing, price_list(sample.records))


def one_of(ages: tuple[GroupAge, ...], kind: str, base: str = ALL) -> GroupAge:
    return next(one for one in ages if (one.kind.name, one.base) == (kind, base))


def with_limit(one: GroupAge, limit: float | None) -> GroupAge:
    return replace(one, limit=limit)


def test_a_written_limit_stands_whatever_costs_least(ages: tuple[GroupAge, ...]) -> None:
    bellows = one_of(ages, "bellows")
    assert bellows.best is not None
    shorter, longer = with_limit(bellows, bellows.best - 2), with_limit(bellows, bellows.best + 3)
    assert (shorter.stands, shorter.stands_at) == ("limit", bellows.best - 2)
    assert (longer.stands, longer.stands_at) == ("limit", bellows.best + 3)
    assert (with_limit(bellows, None).stands, with_limit(bellows, None).stands_at) == ("none", None)


def test_an_age_is_cheaper_where_the_range_of_its_gain_leaves_out_nothing(
    ages: tuple[GroupAge, ...],
) -> None:
    for one in ages:
        if one.found is None or one.best is None or one.best == one.limit:
            assert one.cheaper is None
            continue
        other = one.found.to_failure if one.limit is None else one.found.at(one.limit)
        gain = other - one.found.at(one.best)
        clear = np.quantile(gain, 0.05) > 0
        assert one.cheaper == (one.best if clear else None)
    # Both cases are in the sample fleet, or the loop would say little.
    assert {one.cheaper is None for one in ages if one.best is not None} == {True, False}


def test_where_age_gains_nothing_the_limit_alone_stands(ages: tuple[GroupAge, ...]) -> None:
    packing = one_of(ages, "packed_gland")
    assert packing.best is None
    assert (packing.stands, packing.stands_at) == ("none", None)
    assert (with_limit(packing, 4.0).stands, with_limit(packing, 4.0).stands_at) == ("limit", 4.0)


@pytest.mark.parametrize("shape", [0.7, 1.0])
def test_parts_that_do_not_wear_out_are_not_worth_replacing(
    sample: job.Fleet, sample_ageing: FleetAgeing, shape: float
) -> None:
    one = pinned(sample_ageing["bellows", "all"], shape)
    found = replacement_ages(sample.lives, {("bellows", "all"): one}, price_list(sample.records))
    assert one_of(found, "bellows").best is None


def pinned(bellows: Ageing, shape: float, scale: float = 10.0) -> Ageing:
    kind = replace(bellows.kind, causes=("wear_out",), family="weibull")
    return replace(bellows, kind=kind, posterior=point(kind, np.log(shape), np.log(scale)))


def test_a_base_where_parts_last_shorter_has_an_age_of_its_own(ages: tuple[GroupAge, ...]) -> None:
    # The fleet is invented so that its warm base ages bellows about 1.4 times as fast.
    warm, cool = (one_of(ages, "bellows", base) for base in ("Quillhaven", "Port Ellorn"))
    fleet = one_of(ages, "bellows")
    assert warm.best is not None
    assert cool.best is not None
    assert fleet.best is not None
    assert warm.best < fleet.best < cool.best
    assert warm.differs
    assert warm.factor[2] < 1 < cool.factor[0]
    assert fleet.factor == (1.0, 1.0, 1.0)


def test_costs_are_means_over_the_parts_in_service(
    ages: tuple[GroupAge, ...], sample: job.Fleet
) -> None:
    prices, rates = price_list(sample.records), sample.records.settings.rates
    table = sample.lives.table
    chosen = (table["kind"] == "bellows") & (table["outcome"] == IN_SERVICE)
    chosen &= table["base"] == "Quillhaven"
    priced = [prices.of("bellows", number) for number in table.loc[chosen, "part_no"]]
    warm = one_of(ages, "bellows", "Quillhaven")
    assert warm.found is not None
    assert warm.parts == len(priced)
    alone = np.mean([price.part + price.labour_hours * rates.labour_per_hour for price in priced])
    failed = failure_costs_all_year(sample.lives, warm.kind, table[chosen], priced).mean()
    in_season = np.mean([failure_cost(warm.kind, price, rates) for price in priced])
    assert failed < in_season
    assert warm.found.costs.planned == pytest.approx(alone)
    assert warm.found.costs.failed == pytest.approx(failed)


def test_bearings_are_found_at_lifts_and_cost_no_tow(ages: tuple[GroupAge, ...]) -> None:
    bearing = one_of(ages, "cutless_bearing")
    assert bearing.found is not None
    assert bearing.found.found_at_lift
    assert bearing.found.costs.failed == pytest.approx(bearing.found.costs.planned)
    assert bearing.best is None


def test_without_a_price_nothing_is_weighed(sample: job.Fleet, sample_ageing: FleetAgeing) -> None:
    found = replacement_ages(sample.lives, sample_ageing, PriceList({}, {}))
    bellows = one_of(found, "bellows")
    assert bellows.found is None
    assert bellows.unpriced == bellows.parts
    assert (bellows.stands, bellows.stands_at) == ("limit", 8.0)
    assert curve_table(found, sample.records.settings.seasons, sample.lives).empty
    assert len(ages_table(found, "EUR")) == len(found)


def test_a_limit_in_hours_falls_on_a_lift() -> None:
    hours = replace(KINDS["face_seal"], limit=1000.0)
    assert lift_of(hours, 300.0) == 4.0
    assert lift_of(hours, 500.0) == 2.0
    assert lift_of(replace(hours, limit_years=3.0), 300.0) == 3.0
    assert lift_of(replace(hours, limit_years=9.0), 300.0) == 4.0
    assert lift_of(KINDS["face_seal"], 300.0) is None
    assert lift_of(replace(hours, limit=10.0), 300.0) == 1.0


def test_lifts_are_those_of_the_season_rule(ages: tuple[GroupAge, ...], sample: job.Fleet) -> None:
    rule = sample.records.settings.seasons
    table = curve_table(ages, rule, sample.lives)
    assert list(table.columns) == CURVE_COLUMNS
    # Records end on 31 October 2026 and the lay-up lift is on 15 January.
    assert next_lift(rule, sample.lives.as_of) == date(2027, 1, 15)
    first = table[(table["kind"] == "bellows") & (table["base"] == ALL)]
    assert first["lift_on"].iloc[:2].tolist() == ["2028-01-15", "2029-01-15"]
    assert first.loc[first["is_limit"], "years"].tolist() == [8.0]
    assert first["is_best"].sum() == 1
    assert first["cost_per_1000_hours"].isna().all()
    seals = table[(table["kind"] == "face_seal") & (table["base"] == ALL)]
    per_year = seals["age"] / seals["years"]
    per_hours = (seals["cost"] * 1000 / per_year).tolist()
    assert seals["cost_per_1000_hours"].tolist() == pytest.approx(per_hours)


def test_the_table_of_ages_says_what_the_limit_costs(ages: tuple[GroupAge, ...]) -> None:
    table = ages_table(ages, "EUR")
    assert list(table.columns) == AGES_COLUMNS
    hose = table[(table["kind"] == "gland_hose") & (table["base"] == ALL)].iloc[0]
    found = one_of(ages, "gland_hose").found
    assert found is not None
    assert hose["limit_dearer"] == pytest.approx(
        found.at(12.0).mean() - found.at(hose["best"]).mean()
    )
    assert hose["limit_dearer_low"] < hose["limit_dearer"] < hose["limit_dearer_high"]
    # Where no age gains anything there is no best one.
    packing = table[(table["kind"] == "packed_gland") & (table["base"] == ALL)].iloc[0]
    assert packing["gains_nothing"]
    assert packing[["best", "best_low", "best_high", "good_from", "good_to"]].isna().all()
    assert hose[["best", "best_low", "best_high", "good_from", "good_to"]].notna().all()
    # Where no limit is written there is nothing to say of it.
    assert table.loc[table["kind"] == "face_seal", "limit_dearer"].isna().all()


def test_a_kind_that_rests_on_its_prior_is_marked(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    bellows = sample_ageing["bellows", "all"]
    few = replace(bellows, grade="too few failures to say", posterior=bellows.prior)
    found = replacement_ages(sample.lives, {("bellows", "all"): few}, price_list(sample.records))
    assert one_of(found, "bellows").rests_on_prior
    # Without factors no base is told from another.
    assert {one.base for one in found} == {ALL}


def test_dearer_failures_make_the_age_of_least_cost_shorter(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    settings = sample.records.settings
    dear = replace(settings.rates, lost_day=4 * settings.rates.lost_day)
    lives = replace(sample.lives, settings=replace(settings, rates=dear))
    prices, key = price_list(sample.records), ("face_seal", "all")
    seals = {key: sample_ageing[key]}
    usual, now = (
        one_of(replacement_ages(one, seals, prices), "face_seal") for one in (sample.lives, lives)
    )
    assert usual.best is not None
    assert now.best is not None
    assert now.best < usual.best
