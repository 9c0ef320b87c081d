"""The tail of weights against weights whose tail is known.

If U is uniform, U ** -k has a Pareto tail of shape k (definition of the Pareto distribution).
"""

import numpy as np
import pytest
from scipy.stats import genpareto

from analytics.ageing.tails import generalised_pareto_shape, pareto_k


@pytest.mark.parametrize("k", [0.2, 0.5, 0.9])
def test_a_pareto_tail_is_told_by_its_shape(k: float) -> None:
    rng = np.random.default_rng(1)
    found = [pareto_k(-k * np.log(rng.random(4000))) for _ in range(30)]
    assert np.mean(found) == pytest.approx(k, abs=0.1)


@pytest.mark.parametrize("k", [0.1, 0.6, 1.2])
def test_the_fit_of_the_distribution_itself(k: float) -> None:
    draws = np.sort(genpareto(k).rvs(20_000, random_state=2))
    assert generalised_pareto_shape(draws) == pytest.approx(k, abs=0.03)


def test_weights_all_the_same_have_no_tail() -> None:
    assert pareto_k(np.zeros(1000)) == 0.0
    assert pareto_k(np.array([0.0, -1.0])) == 0.0


def test_one_weight_that_decides_is_a_heavy_tail() -> None:
    log_weight = np.random.default_rng(3).normal(size=1000)
    assert pareto_k(log_weight) < 0.7
    assert pareto_k(8.0 * log_weight) > 0.7
