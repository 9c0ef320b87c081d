"""The value to go: against the long run by simulation and linear algebra, and against sense."""

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.posterior import point
from analytics.decisions.prices import price_list
from analytics.decisions.replacement_age import Costs, cost_per_year
from analytics.decisions.value_to_go import OLDEST, Decision, value_to_go
from analytics.job import how_it_ages
from analytics.records.kinds import KINDS
from tests.analytics.ageing.folders import fleet_of

AGES = np.arange(OLDEST, dtype=float)


def weibull(shape: float, scale: float, more: float = 0.0) -> np.ndarray:
    """Chance of failing within a year of each age, one row."""
    hazard = ((np.arange(OLDEST + 1) + more) / scale) ** shape
    return -np.expm1(-np.diff(hazard))[None, :]


def decided(shape: float, scale: float, failed: float, discount: float) -> np.ndarray:
    costs = Decision(np.array([1.0]), np.array([failed]), True, discount)
    return costs.of_new(weibull(shape, scale), weibull(shape, scale, 0.5))[0][0]


def test_a_fixed_policy_is_worth_what_linear_algebra_says() -> None:
    # Where renewing costs more than any failure nothing is renewed while sound: one linear
    # equation for each age, solved directly.
    discount, failed = 0.05, 4.0
    fails = weibull(3.0, 10.0)[0]
    d = 1 / (1 + discount)
    matrix = np.eye(OLDEST)
    for age in range(OLDEST):
        matrix[age, 0] -= d * fails[age]
        matrix[age, min(age + 1, OLDEST - 1)] -= d * (1 - fails[age])
    expected = np.linalg.solve(matrix, d * fails * failed)
    costs = Decision(np.array([100.0]), np.array([failed]), True, discount)
    found = costs.of_new(weibull(3.0, 10.0), weibull(3.0, 10.0, 0.5))[0][0]
    np.testing.assert_allclose(found, expected, rtol=1e-6)


@pytest.mark.parametrize(("shape", "failed"), [(2.0, 8.0), (3.0, 10.0), (5.0, 6.5)])
def test_without_discount_the_best_age_is_that_of_the_cost_per_year(
    shape: float, failed: float
) -> None:
    # Of a failure that waits for the lift, the long run at yearly lifts settles the best age.
    scale = 12.0
    value = decided(shape, scale, failed, 1e-4)
    renews = np.flatnonzero(value > 1.0 + value[0])
    lasting = np.exp(-((np.arange(OLDEST + 1) / scale) ** shape))
    # Renewed at age T or at the lift that finds it: cost and length of such a life.
    per_year = [
        (lasting[t] + failed * (1 - lasting[t])) / lasting[:t].sum() for t in range(1, OLDEST)
    ]
    assert renews[0] == 1 + int(np.argmin(per_year))


def test_the_best_age_is_near_that_of_failures_found_at_once() -> None:
    posterior = point(KINDS["bellows"], np.log(4.0), np.log(12.0))
    years = np.arange(1.0, 30.0)
    best = years[cost_per_year(posterior, Costs(1.0, 7.0), years).mean(axis=0).argmin()]
    afloat = Decision(np.array([1.0]), np.array([7.0]), False, 1e-4)
    value = afloat.of_new(weibull(4.0, 12.0), weibull(4.0, 12.0, 0.5))[0][0]
    first = np.flatnonzero(value > 1.0 + value[0])[0]
    assert abs(first - best) <= 1


def test_what_does_not_age_is_never_renewed_while_sound() -> None:
    value = decided(1.0, 10.0, 8.0, 0.03)
    np.testing.assert_allclose(value, value[0], rtol=1e-6)


FLEET = fleet_of(
    ["A,single,bellows,,,2012-04-01", "B,single,bellows,,,2022-04-01"],
    "[kinds.bellows]\nlimit = false\n",
    prices=["bellows,,200,7,10"],
)


def of_fleet(life: float, shape: float = 5.0) -> dict[str, dict[str, float]]:
    ageing = {
        key: replace(fitted, posterior=point(fitted.kind, np.log(shape), np.log(life)))
        for key, fitted in how_it_ages(FLEET).items()
    }
    rule = FLEET.records.settings.seasons
    coming = [rule.season(FLEET.coming_season().year + i) for i in range(10)]
    table = value_to_go(FLEET.lives, ageing, price_list(FLEET.records), coming)
    return table.set_index("boat").to_dict("index")


def test_an_old_part_is_renewed_before_a_young_one() -> None:
    found = of_fleet(14.0)
    assert found["A"]["gain"] > 0 > found["B"]["gain"]
    assert found["A"]["best_lift"] == 0
    assert found["B"]["best_lift"] > 2
    # Waiting with a part that is due costs more than the renewal, with a young one less.
    assert found["A"]["cost_of_waiting"] > found["A"]["planned_cost"] == 200 + 7 * 75


def test_a_part_that_lasts_for_ever_costs_nothing_to_wait_for() -> None:
    found = of_fleet(1e6)
    assert abs(found["A"]["cost_of_waiting"]) < 1.0
    assert found["A"]["fails_before_next"] < 1e-6


def test_a_part_without_a_price_has_no_value() -> None:
    fleet = fleet_of(["A,single,bellows,,,2012-04-01"], "")
    rule = fleet.records.settings.seasons
    coming = [rule.season(fleet.coming_season().year + i) for i in range(4)]
    row = value_to_go(fleet.lives, how_it_ages(fleet), price_list(fleet.records), coming).iloc[0]
    assert np.isnan(row["gain"])
    assert row["fails_before_next"] > 0
