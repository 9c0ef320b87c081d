"""Rules of renewing compared: against renewal theory, and on the same futures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics import job
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import point
from analytics.decisions.costing import renewal_costs
from analytics.decisions.policies import (
    ALL,
    COLUMNS,
    MEASURES,
    Compared,
    comparison,
    outcome_of,
    policies_table,
)
from analytics.decisions.policy_limits import Rule
from analytics.decisions.prices import price_list
from analytics.decisions.replacement_age import cost_per_year
from analytics.decisions.replacement_groups import replacement_ages
from analytics.lives import Lives
from analytics.outlook.futures import PLANNED, Futures, simulated_futures
from analytics.outlook.policy import PartLimits, no_limits
from analytics.records.seasons import Season

SEASONS, FUTURES = 3, 200
KINDS = ("bellows", "cutless_bearing", "gland_hose")
"""One that stops the boat, one found ashore, one with a limit far from its best age."""


@pytest.fixture(scope="module")
def some(sample_ageing: FleetAgeing) -> FleetAgeing:
    return {key: one for key, one in sample_ageing.items() if key[0] in KINDS}


@pytest.fixture(scope="module")
def found(sample: job.Fleet, some: FleetAgeing) -> Compared:
    return compare(sample, some)


def compare(sample: job.Fleet, some: FleetAgeing) -> Compared:
    ages = job.replacement_ages_of(sample, some)
    return job.policies_of(sample, some, ages, seasons=SEASONS, n_futures=FUTURES, own={})


@pytest.fixture(scope="module")
def futures(sample: job.Fleet, some: FleetAgeing) -> Futures:
    """What the parts budget would simulate."""
    return job.futures_of(sample, some, seasons=SEASONS, n_futures=FUTURES, own={})


def as_kind(sample: job.Fleet, one: Ageing) -> Lives:
    """The fleet's lives, with a kind as that of a fit, at prices that do not rise."""
    settings = sample.lives.settings
    kinds = {**settings.kinds, one.kind.name: one.kind}
    rates = replace(settings.rates, price_increase=0.0, labour_increase=0.0)
    return replace(sample.lives, settings=replace(settings, kinds=kinds, rates=rates))


def wearing_out(bellows: Ageing, shape: float, *, ashore: bool = False) -> Ageing:
    """Bellows that wear out by a Weibull curve and nothing else."""
    kind = replace(bellows.kind, causes=("wear_out",), family="weibull", found_ashore_only=ashore)
    return replace(bellows, kind=kind, posterior=point(kind, np.log(shape), np.log(9.0)))


def simulated(
    sample: job.Fleet,
    one: Ageing,
    limits: PartLimits,
    n_seasons: int,
    *,
    n_futures: int = FUTURES,
    seed: int = 0,
) -> Futures:
    rule, first = sample.records.settings.seasons, sample.coming_season().year
    seasons: list[Season] = [rule.season(first + i) for i in range(n_seasons)]
    key = ("bellows", "all")
    return simulated_futures(
        sample.lives, {key: one}, seasons, n_futures=n_futures, seed=seed, policy={key: limits}
    )


def at_age(years: float, n_parts: int) -> PartLimits:
    """Renewed at the lift nearest an age."""
    never = np.full(n_parts, np.inf)
    return PartLimits(np.full(n_parts, years - 0.5), never, never)


def serving(one: Ageing) -> int:
    return int((one.table["outcome"] == "in_service").sum())


@pytest.mark.parametrize("ashore", [False, True])
def test_the_long_run_costs_what_renewal_theory_says(
    sample: job.Fleet, sample_ageing: FleetAgeing, ashore: bool
) -> None:
    # Renewal-reward theorem (Barlow & Proschan 1965, from memory): over 70 seasons, when 30 have
    # washed out how old the parts are today, cost a year is cost of a cycle over its length.
    one = wearing_out(sample_ageing["bellows", "all"], 3.0, ashore=ashore)
    n_parts, lives, prices = serving(one), as_kind(sample, one), price_list(sample.records)
    of_fleet = replacement_ages(lives, {("bellows", "all"): one}, prices)[0].found
    assert of_fleet is not None
    costs = of_fleet.costs
    for years in (5.0, 8.0):
        futures = simulated(sample, one, at_age(years, n_parts), 100)
        late = futures.season >= 30
        cost = renewal_costs(lives, futures, prices).total[late]
        by_future = np.bincount(futures.future[late], weights=cost, minlength=FUTURES)
        by_future /= 70.0 * n_parts
        lifts = np.arange(1.0, years + 1)
        theory = cost_per_year(one.posterior, costs, lifts, found_at_lift=ashore)[0, -1]
        error = by_future.std() / np.sqrt(FUTURES)
        assert error < 0.006 * theory
        # Parts that failed afloat are half a year off the lifts on average, which is second order.
        assert by_future.mean() == pytest.approx(theory, abs=3 * error + 0.005 * theory)


@pytest.mark.parametrize("shape", [1.5, 2.5, 5.0])
def test_running_to_failure_never_fails_less_than_replacing_by_age(
    sample: job.Fleet, sample_ageing: FleetAgeing, shape: float
) -> None:
    one = wearing_out(sample_ageing["bellows", "all"], shape)
    n_parts = serving(one)
    never, by_age = (
        simulated(sample, one, limits, 15) for limits in (no_limits(n_parts), at_age(6.0, n_parts))
    )
    failed = [(futures.how != PLANNED).sum() for futures in (never, by_age)]
    assert (never.how != PLANNED).all()
    assert failed[1] < failed[0]


def test_counts_and_money_are_those_of_the_futures(
    sample: job.Fleet, futures: Futures, found: Compared
) -> None:
    today = found.outcomes[0]
    assert today.rule.name == "as_set"
    planned, unplanned = (each.sum(axis=(1, 2)) for each in (futures.planned, futures.unplanned))
    assert today.total("renewed_sound").tolist() == planned.tolist()
    assert today.total("parts_renewed").tolist() == (planned + unplanned).tolist()
    costs = renewal_costs(sample.lives, futures, price_list(sample.records))
    by_future = np.bincount(futures.future, weights=costs.total, minlength=FUTURES)
    assert today.total("cost").tolist() == pytest.approx(by_future.tolist())
    lifts = np.bincount(futures.future, weights=costs.lift > 0, minlength=FUTURES)
    assert today.total("lifts_out_of_turn").tolist() == lifts.tolist()


def test_what_is_counted_adds_up(found: Compared) -> None:
    for outcome in found.outcomes:
        of = {measure: outcome.total(measure) for measure in MEASURES}
        every = ("failures", "failures_out_of_season", "found_worn", "renewed_sound")
        assert sum(of[name] for name in every).tolist() == of["parts_renewed"].tolist()
        money = of["parts_cost"] + of["labour_cost"] + of["consequence_cost"]
        assert money.tolist() == pytest.approx(of["cost"].tolist())
        for measure in set(MEASURES) - {"lifts_with_work"}:
            by_kind = sum(outcome.total(measure, kind) for kind in found.kinds[1:])
            assert np.asarray(by_kind).tolist() == pytest.approx(of[measure].tolist())
        # One lift of a boat may serve several kinds.
        served = [outcome.total("lifts_with_work", kind) for kind in found.kinds[1:]]
        assert (of["lifts_with_work"] <= sum(served)).all()
        assert (of["lifts_with_work"] >= np.max(served, axis=0)).all()


def test_lifts_with_work_by_counting_one_by_one(
    sample: job.Fleet, futures: Futures, found: Compared
) -> None:
    costs = renewal_costs(sample.lives, futures, price_list(sample.records))
    boats = futures.parts["boat"].to_numpy()
    lifted: set[tuple[int, str, int]] = set()
    for future, part, day, alone in zip(
        futures.future, futures.part, futures.day, costs.out_of_turn, strict=True
    ):
        if not alone:
            lifted.add((int(future), boats[part], int(day)))
    by_future = np.bincount([future for future, _, _ in lifted], minlength=FUTURES)
    assert found.outcomes[0].total("lifts_with_work").tolist() == by_future.tolist()


def test_bearings_that_are_measured_are_seldom_found_worn(found: Compared) -> None:
    today, read = (
        next(one for one in found.outcomes if one.rule.name == name)
        for name in ("as_set", "readings")
    )
    bearing = "cutless_bearing"
    worn = [one.total("found_worn", bearing).mean() for one in (today, read)]
    assert worn[1] < 0.6 * worn[0]
    assert (today.total("renewed_sound", bearing) == 0).all()
    assert read.total("renewed_sound", bearing).mean() > 0
    # Nothing else is measured: other kinds meet the same chance, and only share strip-downs.
    for kind in ("bellows", "gland_hose"):
        renewed = [one.total("parts_renewed", kind) for one in (today, read)]
        assert renewed[0].tolist() == renewed[1].tolist()
        parts = [one.total("parts_cost", kind) for one in (today, read)]
        assert parts[0].tolist() == pytest.approx(parts[1].tolist())


def test_a_horizon_holds_its_own_seasons_only(found: Compared) -> None:
    outcome = found.outcomes[0]
    one, two = (outcome.total("cost", seasons=n) for n in (1, 2))
    assert (one < two).all()
    assert (two < outcome.total("cost")).all()
    assert outcome.amounts["cost"].shape == (FUTURES, SEASONS, len(found.kinds))


def test_a_difference_on_the_same_futures_is_known_better(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    one = sample_ageing["bellows", "all"]
    n_parts, prices = serving(one), price_list(sample.records)

    def cost(limits: PartLimits, seed: int) -> np.ndarray:
        futures = simulated(sample, one, limits, 5, n_futures=1000, seed=seed)
        return outcome_of(sample.lives, futures, prices, Rule("as_set", {})).total("cost")

    base, other = at_age(8.0, n_parts), at_age(6.0, n_parts)
    common = cost(other, 1) - cost(base, 1)
    # The same draw of the parameters for the same future, and other luck.
    apart = cost(other, 2) - cost(base, 1)
    low, high = np.quantile(common, [0.05, 0.95])
    wide_low, wide_high = np.quantile(apart, [0.05, 0.95])
    assert high - low < 0.65 * (wide_high - wide_low)
    assert common.mean() == pytest.approx(apart.mean(), abs=4 * apart.std() / np.sqrt(1000))


def test_the_table_compares_with_the_first_rule(found: Compared) -> None:
    table = comparison(found, "EUR", seasons=2)
    assert list(table.columns) == COLUMNS
    today = table[table["policy"] == "as_set"]
    assert (today["difference"] == 0).all()
    least = table[(table["policy"] == "least_cost") & (table["measure"] == "cost")].iloc[0]
    own = next(one for one in found.outcomes if one.rule.name == "least_cost")
    difference = own.total("cost", seasons=2) - found.outcomes[0].total("cost", seasons=2)
    assert least["difference"] == pytest.approx(difference.mean())
    assert least["difference_low"] == pytest.approx(np.quantile(difference, 0.05))
    assert least["lower_in"] == pytest.approx((difference < 0).mean())
    whole = policies_table(found, "EUR")
    assert len(whole) == len(found.outcomes) * len(MEASURES) * len(found.kinds) * SEASONS
    assert set(whole["kind"]) == set(found.kinds)
    assert set(whole["risk_threshold"]) == {found.threshold}
    assert found.kinds[0] == ALL


def test_the_same_seed_gives_the_same_cents(
    sample: job.Fleet, some: FleetAgeing, found: Compared
) -> None:
    again = compare(sample, some)
    for one, other in zip(found.outcomes, again.outcomes, strict=True):
        assert all((one.amounts[name] == other.amounts[name]).all() for name in MEASURES)


def test_rules_that_do_the_same_are_told_once(found: Compared) -> None:
    names = [outcome.rule.name for outcome in found.outcomes]
    assert len(names) == len(set(names))
    assert names[0] == "as_set"
