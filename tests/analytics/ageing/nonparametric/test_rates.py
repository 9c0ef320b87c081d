"""Cumulative failure rates by hand, from lives, and a fitted curve held against them."""

import numpy as np
import pytest

from analytics.ageing.nonparametric.rates import against, cumulative_rate, from_lives
from tests.analytics.ageing.folders import fleet_of


def test_by_hand() -> None:
    # One enters at 2: 4 are watched at 1, 4 at 3 where two fail at once, 1 at 5.
    rate = cumulative_rate([1, 3, 3, 3, 5], [True, True, True, False, True], [0, 0, 0, 0, 2])
    assert rate.ages.tolist() == [1, 3, 5]
    assert rate.watched.tolist() == [4, 4, 1]
    assert rate.failed.tolist() == [1, 2, 1]
    assert rate.cumulative.tolist() == pytest.approx([1 / 4, 3 / 4, 7 / 4])
    assert (rate.error**2).tolist() == pytest.approx([1 / 16, 3 / 16, 19 / 16])
    spread = np.exp(1.6448536 * np.sqrt(3 / 16) / 0.75)
    assert (rate.low[1], rate.high[1]) == pytest.approx((0.75 / spread, 0.75 * spread))
    at = rate.at([0.5, 1, 4, 5, 5.1])
    assert at["cumulative_rate"].tolist()[:4] == pytest.approx([0, 0.25, 0.75, 1.75])
    assert np.isnan(at["cumulative_rate"].iloc[4])
    assert np.isnan(at["cumulative_rate_low"].iloc[[0, 4]]).all()
    assert list(rate.table().columns)[:3] == ["age_years", "watched", "failed"]


def test_weights_are_lives_and_order_does_not_matter() -> None:
    weighed = cumulative_rate([3, 1, 2], [True, True, False], [1, 0, 0], [2, 3, 1])
    repeated = cumulative_rate(
        [1, 1, 1, 2, 3, 3], [True] * 3 + [False] + [True] * 2, [0, 0, 0, 0, 1, 1]
    )
    assert weighed.table().equals(repeated.table())


@pytest.mark.parametrize("n", [0, 3])
def test_no_failures_no_steps(n: int) -> None:
    rate = cumulative_rate([4.0] * n, [False] * n)
    assert rate.table().empty
    # Without lives nothing is known at any age.
    np.testing.assert_array_equal(rate.at([2.0])["cumulative_rate"], [0.0 if n else np.nan])


@pytest.mark.parametrize(
    ("exit", "entry", "weight", "said"),
    [
        ([1.0], [1.0], None, "0 <= entry < end"),
        ([1.0], [-1.0], None, "0 <= entry < end"),
        ([np.nan], [0.0], None, "0 <= entry < end"),
        ([1.0], [0.0], [-1.0], "weights"),
        ([1.0], [0.0, 0.0], None, "give as many of each"),
    ],
)
def test_what_is_refused(
    exit: list[float], entry: list[float], weight: list[float] | None, said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        cumulative_rate(exit, [True], entry, weight)


def test_lives_of_a_fleet_at_the_ends_of_their_windows() -> None:
    fleet = fleet_of([
        # (4, 6] years at the failure; new in 2010.
        "A,single,bellows,,,2010-06-30,2016-06-30,failed,ashore,2014-06-30",
        "B,single,bellows,,,2012-06-30",
        # Fitted within eleven years: no age to count at.
        "C,single,bellows,,,2006..2016,2018-06-30,replaced_sound",
    ])  # fmt: skip
    ages = {
        at: from_lives(fleet.lives, "bellows", at=at).ages[0]
        for at in ("youngest", "middle", "oldest")
    }
    assert ages == pytest.approx({"youngest": 4, "middle": 5, "oldest": 6}, abs=0.01)
    rate = from_lives(fleet.lives, "bellows", "all")
    assert (rate.lives, rate.windowed, rate.left_out, rate.unit) == (2, 1, 1, "years")
    assert rate.cumulative.tolist() == [0.5]


def test_a_fitted_curve_held_against_it() -> None:
    rng = np.random.default_rng(2)
    rate = cumulative_rate(9 * rng.weibull(2.5, 200), np.ones(200, dtype=bool))
    ages = np.linspace(3, 12, 10)
    assert against(rate, ages, np.exp(-((ages / 9) ** 2.5))).sentence is None
    hopeful = against(rate, ages, np.exp(-((ages / 12) ** 2.5)))
    assert hopeful.below == 1
    assert (hopeful.sentence or "").endswith("these lives ended sooner than the curve allows.")
    gloomy = against(rate, ages, np.exp(-((ages / 7) ** 2.5))).sentence
    assert (gloomy or "").endswith("these lives lasted longer than the curve allows.")
    # A curve that has reached 0 is compared as far as it says anything.
    assert against(rate, ages, np.zeros(10)).compared == 0
