"""How many of several parts fail: against enumeration and tables."""

from itertools import product
from math import prod

import numpy as np
import pytest
from scipy.stats import poisson

from analytics.outlook.counts import count_quantiles, poisson_binomial


def test_four_parts_with_chances_of_their_own() -> None:
    # Exact enumeration of the sixteen outcomes, also by hand: no source needed.
    chances = (0.1, 0.2, 0.3, 0.4)
    by_count = np.zeros(5)
    for outcome in product((0, 1), repeat=4):
        by_count[sum(outcome)] += prod(
            p if failed else 1 - p for p, failed in zip(chances, outcome, strict=True)
        )
    by_hand = [0.3024, 0.4404, 0.2144, 0.0404, 0.0024]
    np.testing.assert_allclose(by_count, by_hand, atol=1e-12)
    np.testing.assert_allclose(poisson_binomial(np.array(chances)), by_hand, atol=1e-12)


@pytest.mark.parametrize(("mean", "spares"), [(0.5, 2), (1, 3), (2, 5), (4, 8), (6, 10), (10, 15)])
def test_spares_that_suffice_with_95_per_cent(mean: float, spares: int) -> None:
    # Tables of the Poisson distribution; cdf(10; 6) = .9574.
    assert count_quantiles(poisson.pmf(np.arange(60), mean), (0.95,)) == (spares,)


def test_many_parts_of_small_chance_follow_the_poisson_tables() -> None:
    # Sum of p squared bounds the distance from the Poisson distribution (Le Cam 1960, from memory).
    chances = np.full(3000, 6 / 3000)
    found = poisson_binomial(chances)[:40]
    assert np.abs(found - poisson.pmf(np.arange(40), 6)).sum() < 2 * (chances**2).sum()
    assert found[:11].sum() == pytest.approx(0.9574, abs=1e-3)
