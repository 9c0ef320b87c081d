"""Points on probability paper, by hand and on a known line."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.ageing.nonparametric.plotting_positions import (
    POSITION_COLUMNS,
    on_paper,
    plotting_positions,
)


def test_all_failed_from_new_on() -> None:
    ages = np.array([3.0, 1.0, 4.0, 2.0])
    points = plotting_positions(np.zeros(4), ages, ages)
    assert points["age"].tolist() == [1, 2, 3, 4]
    assert points["failed"].to_numpy() == pytest.approx((np.arange(1, 5) - 0.5) / 4)


def test_lives_that_did_not_fail_raise_the_later_points() -> None:
    # Failed at 1 and 3 of four; one sound at 2, one at 5: 1/4, then 1/4 + 3/4 * 1/2.
    points = plotting_positions(np.zeros(4), [1, 2, 3, 5], [1, np.inf, 3, np.inf])
    assert points["failed"].to_numpy() == pytest.approx([0.125, (0.25 + 0.625) / 2])


def test_a_window_is_a_point_with_ends() -> None:
    points = plotting_positions(np.zeros(3), [2.0, 6.0, 9.0], [4.0, 6.0, np.inf])
    assert points[["age_from", "age", "age_to"]].to_numpy().tolist() == [[2, 3, 4], [6, 6, 6]]
    assert points["failed"].to_numpy() == pytest.approx([1 / 6, 1 / 2])


def test_nothing_failed_is_no_point() -> None:
    assert plotting_positions(np.zeros(3), [2, 6, 9], np.full(3, np.inf)).empty
    nothing = plotting_positions([], [], [])
    assert nothing.empty
    assert list(nothing.columns) == POSITION_COLUMNS


@pytest.mark.parametrize(("family", "shape"), [("weibull", 2.5), ("lognormal", 1.6)])
def test_curves_of_the_family_are_straight(family: str, shape: float) -> None:
    from analytics.ageing.families import FAMILIES

    ages = np.geomspace(1, 20, 12)
    total = FAMILIES[family].cumulative_hazard(ages, np.array(np.log(shape)), np.array(np.log(7.0)))
    at = on_paper(-np.expm1(-total), family)
    slope = np.diff(at) / np.diff(np.log(ages))
    assert slope == pytest.approx(np.full(11, shape), rel=1e-6)


def test_nothing_stands_at_none_or_all() -> None:
    assert np.isnan(on_paper([0.0, 1.0], "weibull")).all()
    assert on_paper([0.6321205588], "weibull")[0] == pytest.approx(0.0, abs=1e-9)
    assert on_paper([0.5], "lognormal")[0] == 0
    with pytest.raises(ValueError, match="no paper of gamma"):
        on_paper([0.5], "gamma")
