"""How many parts fail: exact convolution, averaged over the draws."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from analytics.outlook.counts import count_distribution, count_quantiles, poisson_binomial


@given(st.lists(st.floats(0.0, 1.0), min_size=0, max_size=8))
def test_against_enumeration(chances: list[float]) -> None:
    by_count = np.zeros(len(chances) + 1)
    for outcome in product((False, True), repeat=len(chances)):
        terms = [p if happened else 1 - p for p, happened in zip(chances, outcome, strict=True)]
        by_count[sum(outcome)] += np.prod(terms)
    np.testing.assert_allclose(poisson_binomial(np.array(chances)), by_count, atol=1e-12)


@pytest.mark.parametrize("chance", [0.0, 0.013, 0.4, 1.0])
def test_equal_chances_are_a_binomial(chance: float) -> None:
    exact = binom(150, chance).pmf(np.arange(151))
    np.testing.assert_allclose(poisson_binomial(np.full(150, chance)), exact, atol=1e-12)


def test_rows_are_draws() -> None:
    chances = np.array([[0.1, 0.5, 0.2], [0.9, 0.3, 0.0]])
    both = poisson_binomial(chances)
    assert both.shape == (2, 4)
    for row, found in zip(chances, both, strict=True):
        np.testing.assert_allclose(found, poisson_binomial(row))
    np.testing.assert_allclose(count_distribution(chances), both.mean(axis=0))


def test_uncertain_chances_spread_the_count() -> None:
    # Half of the belief says 2 %, half 18 %: the mean is that of 10 %, the variance is more than
    # binomial by the variance of the mean itself, (200 x .08) ** 2.
    chances = np.repeat([[0.02], [0.18]], 200, axis=1)
    found = count_distribution(chances)
    count = np.arange(len(found))
    mean = (found * count).sum()
    variance = (found * count**2).sum() - mean**2
    within = 200 * (0.02 * 0.98 + 0.18 * 0.82) / 2
    assert mean == pytest.approx(20.0, abs=1e-6)
    assert variance == pytest.approx(within + 16.0**2, rel=1e-6)


def test_a_long_tail_is_folded_into_the_last_cell() -> None:
    found = count_distribution(np.full((3, 5000), 0.001))
    assert len(found) < 200
    assert found.sum() == pytest.approx(1.0, abs=1e-12)
    exact = binom(5000, 0.001).pmf(np.arange(len(found)))
    np.testing.assert_allclose(found[:-1], exact[:-1], atol=1e-12)


def test_points_are_counts_that_are_reached() -> None:
    pmf = np.array([0.05, 0.45, 0.3, 0.2])
    assert count_quantiles(pmf, (0.05, 0.5, 0.51, 0.8, 0.95, 1.0)) == (0, 1, 2, 2, 3, 3)


def test_no_parts_no_failures() -> None:
    assert count_distribution(np.empty((4, 0))).tolist()[:1] == [1.0]
    assert count_quantiles(np.ones(1), (0.05, 0.95)) == (0, 0)
