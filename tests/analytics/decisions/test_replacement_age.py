"""At what age to replace: the best age, its range, and where no age gains anything."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import point
from analytics.decisions.replacement_age import LONGEST, Costs, cost_per_year, replacement_age
from analytics.records.kinds import KINDS

KIND = replace(KINDS["bellows"], causes=("wear_out",), family="weibull")
COSTS = Costs(planned=700.0, failed=4500.0)


def of(ageing: Ageing, shape: float, scale: float) -> Ageing:
    return replace(ageing, posterior=point(KIND, np.log(shape), np.log(scale)))


@pytest.fixture
def bellows(sample_ageing: FleetAgeing) -> Ageing:
    return sample_ageing["bellows", "all"]


def test_the_best_age_falls_as_a_failure_costs_more(bellows: Ageing) -> None:
    ages = [replacement_age(bellows, Costs(700.0, cost)).best for cost in (1000, 3000, 20_000)]
    assert ages == sorted(ages, reverse=True)
    assert ages[0] > ages[-1]


def test_where_parts_do_not_age_no_age_gains_anything(bellows: Ageing) -> None:
    for shape in (0.7, 1.0):
        found = replacement_age(of(bellows, shape, 10.0), COSTS)
        assert found.gains_nothing
    assert not replacement_age(of(bellows, 4.0, 10.0), COSTS).gains_nothing


def test_the_range_holds_the_best_age_of_the_draws(bellows: Ageing) -> None:
    found = replacement_age(bellows, COSTS)
    low, high = found.best_range
    assert 1 <= low <= high <= 25
    table = found.table()
    assert table["best_in"].sum() == pytest.approx(1.0)
    inside = table["years"].between(low, high)
    assert table.loc[inside, "best_in"].sum() >= 0.9
    assert (table["cost_low"] <= table["cost"]).all()
    assert table.loc[table["about_as_good"], "cost"].max() <= 1.05 * table["cost"].min() * 1.0001
    assert found.at(found.best - 0.5).mean() == pytest.approx(table["cost"].min())


def test_a_group_that_lasts_shorter_is_replaced_sooner(bellows: Ageing) -> None:
    shorter = np.full(len(bellows.posterior), np.log(0.6))
    alone = replacement_age(bellows, COSTS, shift=shorter)
    assert alone.best < replacement_age(bellows, COSTS).best


def test_wrong_costs_and_ages_are_refused(bellows: Ageing) -> None:
    with pytest.raises(ValueError, match="positive"):
        Costs(0.0, 10.0)
    with pytest.raises(ValueError, match="rising"):
        cost_per_year(bellows.posterior, COSTS, [2.0, 1.0])


def test_past_the_ages_shown_a_limit_is_as_good_as_none(bellows: Ageing) -> None:
    found = replacement_age(bellows, COSTS)
    assert found.at(LONGEST + 1) is found.to_failure
    assert found.dearer(found.best).tolist() == [0.0] * len(found.cost)


def test_a_limit_past_the_ages_shown_costs_what_renewing_there_does(bellows: Ageing) -> None:
    one = of(bellows, 4.0, 40.0)
    found = replacement_age(one, COSTS)
    assert len(found.table()) == len(found.shown) == 25
    expected = cost_per_year(one.posterior, COSTS, [28.0])[0, 0]
    assert found.at(28.0)[0] == pytest.approx(expected, rel=1e-9)
    assert found.at(28.0)[0] < 0.95 * found.to_failure[0]


def test_beside_no_gain_a_limit_costs_what_it_adds_to_running_to_failure(bellows: Ageing) -> None:
    found = replacement_age(of(bellows, 0.8, 10.0), COSTS)
    assert found.gains_nothing
    assert found.dearer(4.0)[0] == pytest.approx(found.at(4.0)[0] - found.to_failure[0])
    assert found.dearer(4.0)[0] > 0


def test_a_failure_that_waits_for_a_lift_keeps_the_part_in_longer(bellows: Ageing) -> None:
    one = of(bellows, 2.5, 6.0)
    afloat = replacement_age(one, COSTS)
    ashore = replacement_age(one, COSTS, found_at_lift=True)
    # The same chance of failing before each age, over a longer stay.
    assert (ashore.cost < afloat.cost).all()
    # Replaced at every lift, each part is in for just a year either way but for the failed.
    survives = np.exp(-((1.0 / 6.0) ** 2.5))
    expected = COSTS.planned * survives + COSTS.failed * (1 - survives)
    assert ashore.cost[0, 0] == pytest.approx(expected, rel=1e-12)


def test_where_worn_costs_no_more_than_sound_no_age_gains_anything(bellows: Ageing) -> None:
    for shape in (1.5, 3.0, 6.0):
        found = replacement_age(of(bellows, shape, 6.0), Costs(636.0, 636.0), found_at_lift=True)
        assert found.gains_nothing
