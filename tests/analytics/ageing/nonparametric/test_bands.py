"""Limits that stay where they belong, and departures said in words."""

import numpy as np
import pytest

from analytics.ageing.nonparametric.bands import (
    departure,
    log_limits,
    normal_quantile,
    share_limits,
)


def test_quantiles() -> None:
    # Tables of the normal distribution.
    assert normal_quantile(0.9) == pytest.approx(1.6449, abs=1e-4)
    assert normal_quantile(0.95) == pytest.approx(1.9600, abs=1e-4)
    with pytest.raises(ValueError, match="between 0 and 1"):
        normal_quantile(1.0)


def test_log_limits_are_a_factor_each_way() -> None:
    low, high = log_limits(np.array([2.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), 0.9)
    assert (low[0], high[0]) == pytest.approx(
        (2 / np.exp(1.6448536 / 2), 2 * np.exp(1.6448536 / 2))
    )
    assert np.isnan(low[1:]).all()
    assert np.isnan(high[1:]).all()


def test_limits_of_a_share_stay_between_none_and_all() -> None:
    share = np.array([0.01, 0.5, 0.99, 0.0, 1.0])
    low, high = share_limits(share, np.array([0.02, 0.2, 0.02, 0.1, 0.1]), 0.9)
    assert (low[:3] > 0).all()
    assert (low[:3] < share[:3]).all()
    assert (share[:3] < high[:3]).all()
    assert (high[:3] < 1).all()
    assert np.isnan([low[3:], high[3:]]).all()


def compared(curve: list[float], low: list[float], high: list[float]):
    return departure(
        np.arange(float(len(curve))),
        np.array(curve),
        np.array(low),
        np.array(high),
        unit="hours",
        curve_name="the curve",
        records_name="the records' own",
        below_means="too low",
        above_means="too high",
    )


def test_departures_in_words() -> None:
    found = compared([0.5] * 5, [0.4, 0.4, 0.6, 0.6, 0.6], [0.7] * 5)
    assert (found.compared, found.below, found.above) == (5, 0.6, 0)
    assert found.sentence == (
        "The curve lies below the limits of the records' own at 60 % of the ages compared, "
        "between 2 and 4 hours: too low."
    )
    slight = compared([0.5] * 6, [0.4] * 4 + [0.6] * 2, [0.7] * 6)
    assert (slight.first, slight.last, slight.sentence) == (4, 5, None)
    above = compared([0.9] * 4, [0.4] * 4, [0.7] * 4)
    assert above.above == 1
    assert (above.sentence or "").endswith("between 0 and 3 hours: too high.")


def test_too_few_ages_with_limits_tell_nothing() -> None:
    found = compared([0.9] * 5, [0.1, 0.1, 0.1, np.nan, np.nan], [0.2] * 5)
    assert (found.compared, found.sentence) == (3, None)
    with pytest.raises(ValueError, match="give as many of each"):
        compared([0.9] * 5, [0.1] * 4, [0.2] * 5)
