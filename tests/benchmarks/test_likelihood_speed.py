"""Speed of the likelihood beside lifelines on the same lives."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics.ageing.families import Weibull
from analytics.ageing.maximum_likelihood.maximum import maximum_likelihood
from tests.outside.known_ages import lives_seen_through

SHAPE, SCALE, LIVES = 2.5, 9.5, 10_000


def watched_lives() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Entry, exit and failure of Weibull lives, a third of them met when already in place."""
    rng = np.random.default_rng(1)
    entry = np.where(rng.random(LIVES) < 1 / 3, rng.uniform(0, 6, LIVES), 0.0)
    # Given that a life has reached its entry, its cumulative hazard at failure is that much more.
    reached = (entry / SCALE) ** SHAPE + rng.standard_exponential(LIVES)
    life = SCALE * reached ** (1 / SHAPE)
    end = entry + rng.uniform(0.5, 9, LIVES)
    return entry, np.minimum(life, end), life <= end


@pytest.mark.benchmark(group="Weibull maximum likelihood, 10,000 lives with entry", min_rounds=3)
def test_ours(benchmark: BenchmarkFixture) -> None:
    entry, exit, failed = watched_lives()
    nodes = lives_seen_through(exit, failed, entry)
    found = benchmark(maximum_likelihood, Weibull(), nodes)
    assert found is not None
    assert (found.shape, found.scale) == pytest.approx((SHAPE, SCALE), rel=0.05)


@pytest.mark.benchmark(group="Weibull maximum likelihood, 10,000 lives with entry", min_rounds=3)
def test_peer_lifelines(benchmark: BenchmarkFixture) -> None:
    from lifelines import WeibullFitter

    entry, exit, failed = watched_lives()
    found = benchmark(lambda: WeibullFitter().fit(exit, failed, entry=entry))
    assert (found.rho_, found.lambda_) == pytest.approx((SHAPE, SCALE), rel=0.05)
