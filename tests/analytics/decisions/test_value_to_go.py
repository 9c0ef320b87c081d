"""The value to go: against the long run by simulation and linear algebra, and against sense."""

from dataclasses import replace
from datetime import date

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


def test_a_cost_that_has_no_end_and_a_single_lift_are_refused() -> None:
    with pytest.raises(ValueError, match="discount above 0"):
        decided(2.0, 10.0, 8.0, 0.0)
    rule, ageing = FLEET.records.settings.seasons, how_it_ages(FLEET)
    prices, year = price_list(FLEET.records), FLEET.coming_season().year
    coming = [rule.season(year + i) for i in range(3)]
    with pytest.raises(ValueError, match="discount above 0"):
        value_to_go(FLEET.lives, ageing, prices, coming, discount=0.0)
    # It is June: the lift of the first season is over, and only that of the second is to come.
    with pytest.raises(ValueError, match="two lay-up lifts"):
        value_to_go(FLEET.lives, ageing, prices, coming[:2])


def test_between_the_lay_up_day_and_the_season_the_coming_lift_is_the_next_day() -> None:
    fleet = fleet_of(
        ["A,single,bellows,,,2012-04-01"],
        head="as_of = 2024-02-15\nrecords_from = 2005-01-01\nshaft_share = 1.0\n",
        prices=["bellows,,200,7,10"],
    )
    ageing = {
        key: replace(fitted, posterior=point(fitted.kind, np.log(5.0), np.log(14.0)))
        for key, fitted in how_it_ages(fleet).items()
    }
    rule = fleet.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(4)]
    row = value_to_go(fleet.lives, ageing, price_list(fleet.records), coming).iloc[0]
    # A Weibull curve from 2024-02-16 to the lift of 2025-01-15.
    ends = [(day - date(2012, 4, 1)).days for day in (date(2024, 2, 16), date(2025, 1, 15))]
    first, second = ((days / 365.25 / 14.0) ** 5 for days in ends)
    assert row["fails_before_next"] == pytest.approx(-np.expm1(first - second), rel=1e-6)
    assert row["best_lift"] == 0


def of_leaver(leaves: str, settings: str = "", life: float = 14.0) -> dict[str, float]:
    fleet = fleet_of(
        ["A,single,bellows,,,2012-04-01"],
        f"[kinds.bellows]\nlimit = false\n{settings}",
        boats=[f"A,afloat,{leaves}"],
        boat_columns="boat,lay_up,left_on",
        prices=["bellows,,200,7,10"],
    )
    ageing = {
        key: replace(fitted, posterior=point(fitted.kind, np.log(5.0), np.log(life)))
        for key, fitted in how_it_ages(fleet).items()
    }
    rule = fleet.records.settings.seasons
    coming = [rule.season(fleet.coming_season().year + i) for i in range(6)]
    found = value_to_go(fleet.lives, ageing, price_list(fleet.records), coming)
    return found.iloc[0].to_dict()


def test_of_a_boat_that_leaves_only_what_comes_before_counts() -> None:
    # She leaves half a year after the lift of 2025-01-15: one failure at most, of the part that is
    # left or of the new one, and no lift after it. A Weibull curve of shape 5 and 14 years.
    row = of_leaver("2025-07-15")
    days = np.array([date.toordinal(date(2012, 4, 1))] * 2)
    age = (np.array([date(2025, 1, 15).toordinal(), date(2025, 7, 15).toordinal()]) - days) / 365.25
    old = -np.expm1((age[0] / 14.0) ** 5 - (age[1] / 14.0) ** 5)
    assert row["fails_before_next"] == pytest.approx(old, rel=1e-6)
    # Of the new part by the share of a year: half of what a year of it would bring.
    new = 1.0 - np.exp(-((1 / 14.0) ** 5)) ** (181 / 365.25)
    expected = (old - new) * row["failure_cost"] / 1.03
    assert row["cost_of_waiting"] == pytest.approx(expected, rel=1e-6)
    # Gone by the lift: nothing is to be decided any more.
    gone = of_leaver("2025-01-10")
    assert (gone["cost_of_waiting"], gone["gain"]) == (0.0, -gone["planned_cost"])
    assert np.isnan(gone["best_lift"])
    # What only a lift shows costs her nothing where no lift of hers is left.
    assert of_leaver("2025-07-15", "found_ashore_only = true\n")["cost_of_waiting"] == 0.0


def test_a_boat_that_leaves_late_is_worth_what_one_that_stays_is() -> None:
    stays, late, sooner, soon = (
        of_leaver(day)["cost_of_waiting"] for day in ("", "2095-01-01", "2040-01-01", "2026-06-01")
    )
    assert late == pytest.approx(stays, abs=0.05 * abs(stays))
    assert sooner > soon > 0


def test_until_leaving_is_what_listing_every_course_gives() -> None:
    # Two years to go, a part of age 3, failures found at the lift: left or renewed at the lift in
    # between, whichever costs less; nothing is shown after the last lift.
    fails = weibull(3.0, 10.0)
    costs = Decision(np.array([1.0]), np.array([6.0]), True, 0.05)
    whole, _ = costs.until_leaving(fails, weibull(3.0, 10.0, 0.5), 2, np.array([0.5]))
    assert (whole[1] == 0.0).all()
    assert whole[2, 0, 3] == pytest.approx(fails[0, 3] * 6.0 / 1.05)
    afloat = replace(costs, found_at_lift=False)
    whole, half = afloat.until_leaving(fails, weibull(3.0, 10.0, 0.5), 2, np.array([0.5]))
    short, short_half = (1 - np.sqrt(1 - weibull(3.0, 10.0, more)[0]) for more in (0.0, 0.5))
    np.testing.assert_allclose(whole[1, 0], short * 6.0 / 1.05)
    after = min(short_half[0] * 6.0 / 1.05, 1.0 + short[0] * 6.0 / 1.05)
    left = min(short[4] * 6.0 / 1.05, 1.0 + short[0] * 6.0 / 1.05)
    by_hand = (fails[0, 3] * (6.0 + after) + (1 - fails[0, 3]) * left) / 1.05
    assert whole[2, 0, 3] == pytest.approx(by_hand)
    assert half[1, 0] == pytest.approx(short_half[0] * 6.0 / 1.05)
