"""What other removals say of the age of undated parts."""

import numpy as np
import pytest

from analytics.ageing.clocks import nodes_of
from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.removals import PRIOR_YEARS, removals
from tests.analytics.ageing.folders import fleet_of

RENEWED_AT_SEVEN = [
    row
    for number in range(40)
    for row in (
        f"D{number:02d},single,bellows,,,2006-07-01,2013-08-01,replaced_sound",
        f"D{number:02d},single,bellows,,,2013-08-01,2020-09-01,replaced_sound",
        f"D{number:02d},single,bellows,,,2020-09-01",
    )
]


def test_rates_by_hand() -> None:
    # 80 lives of 7.09 years, all taken out then; 40 that run for 3.83 years, none taken out.
    fleet = fleet_of(RENEWED_AT_SEVEN)
    rate = removals(fleet.lives.table).rate
    ran = np.array([(2588, 2588, 1398)] * 40) / 365.25
    overall = 80 / ran.sum()
    in_eighth = 80 * (2588 / 365.25 - 7)
    assert rate[7] == pytest.approx((80 + PRIOR_YEARS * overall) / (in_eighth + PRIOR_YEARS), 1e-6)
    assert rate[1] == pytest.approx(PRIOR_YEARS * overall / (120 + PRIOR_YEARS), 1e-6)
    assert rate[20] == pytest.approx(overall, 1e-6)


def test_the_cumulative_rate_is_the_sum_of_the_rates() -> None:
    found = removals(fleet_of(RENEWED_AT_SEVEN).lives.table)
    years = np.array([0.0, 0.5, 3.0, 7.25, 59.9, 61.5])
    exact = [sum(found.rate[min(int(y), 59)] * 1e-3 for y in np.arange(0.0005, age, 1e-3))
             for age in years]  # fmt: skip
    np.testing.assert_allclose(found.cumulative(years), exact, rtol=1e-6, atol=1e-9)
    assert found.rate_at(np.array([7.25, 80.0])).tolist() == [found.rate[7], found.rate[59]]


def test_in_a_fleet_that_renews_at_seven_an_undated_part_is_no_older_than_that() -> None:
    # Without its day it could be 19.5 years old: the boat is from 1985, watched from 2005 on.
    undated = "U,single,bellows,,,1985..2004,2009-01-01,replaced_sound"
    fleet = fleet_of([*RENEWED_AT_SEVEN, undated])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    life = int(np.flatnonzero(fleet.lives.table["boat"] == "U")[0])
    of_it = nodes.life == life
    age = nodes.lower_years[of_it]
    # It was taken out at some age; nearly all parts of this fleet are, at seven.
    assert (nodes.weight[of_it] * age).sum() == pytest.approx(7.5, abs=0.7)
    at_entry = nodes.entry_years[of_it]
    assert nodes.entry_weight is not None
    assert nodes.entry_weight[of_it][at_entry > 9].sum() < 0.02


def test_an_undated_part_alone_has_a_uniform_day() -> None:
    fleet = fleet_of(["U,single,bellows,,,1985..2004"])
    nodes = nodes_of(fleet.lives, fleet.lives.table)
    assert nodes.entry_weight is not None
    np.testing.assert_allclose(nodes.weight, nodes.entry_weight, rtol=1e-4)
    assert (nodes.weight * nodes.entry_years).sum() == pytest.approx(10.0, abs=0.02)


def test_known_days_do_not_feel_the_other_removals() -> None:
    rows = [
        "K,single,bellows,,,2008-04-01,2017-05-05,failed,afloat",
        "L,single,bellows,,,2001-04-01",
    ]
    theta = Parameters(np.log([2.0, 5.0]), np.log([9.0, 14.0]), np.array([0.0, 0.02]))

    def likelihood(more: list[str]) -> np.ndarray:
        table = (fleet := fleet_of([*rows, *more])).lives.table
        known = table[table["boat"].isin(["K", "L"])]
        return log_likelihood(FAMILIES["weibull"], theta, nodes_of(fleet.lives, known), 0.25)

    np.testing.assert_array_equal(likelihood([]), likelihood(RENEWED_AT_SEVEN))
