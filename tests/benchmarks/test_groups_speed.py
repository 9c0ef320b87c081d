"""Speed of the posterior with groups, beside that of the same lives taken as all alike."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics.ageing.clocks import Nodes
from analytics.ageing.groups.fields import Groups, groups_of
from analytics.ageing.groups.group_posterior import posterior_with_groups
from analytics.ageing.posterior import posterior_of
from tests.analytics.ageing.groups.grouped_fleet import WORN, table_of, worn_lives

LIVES, BASES, LOTS, SIZES = 10_000, 6, 20, 4


def big_fleet() -> tuple[Nodes, Groups]:
    """Four parts in turn on each of 2,500 shaft lines, of six bases, twenty lots and four sizes."""
    rng, i = np.random.default_rng(1), np.arange(LIVES)
    lot, size = rng.integers(0, LOTS, LIVES), rng.integers(0, SIZES, LIVES)
    effect = rng.normal(0, 0.2, BASES)[i % BASES] + rng.normal(0, 0.2, LIVES)[i // 4]
    nodes, failed = worn_lives(effect, rng)
    table = table_of(
        failed,
        base=[f"B{b}" for b in i % BASES],
        lot=[f"L{b:02d}" for b in lot],
        size=[f"{b} mm" for b in size],
        boat=[f"X{b:04d}" for b in i // 4],
    )
    return nodes, groups_of(table)


@pytest.mark.benchmark(group="Posterior, 10,000 lives with entry", min_rounds=3)
def test_with_groups(benchmark: BenchmarkFixture) -> None:
    nodes, groups = big_fleet()
    assert len(groups.fields) == 3
    assert groups.places is not None
    rng = np.random.default_rng(2)
    found = benchmark(posterior_with_groups, WORN, nodes, groups, 0, 0.0, rng)
    assert found.method == "posterior"
    assert found.factors is not None
    # The spread of lines that was put in, known to a twentieth from so many.
    low, high = np.quantile(found.factors.spreads[:, -1], (0.05, 0.95))
    assert low < 0.2 < high
    assert high - low < 0.04


@pytest.mark.benchmark(group="Posterior, 10,000 lives with entry", min_rounds=3)
def test_all_alike(benchmark: BenchmarkFixture) -> None:
    nodes, _ = big_fleet()
    found = benchmark(posterior_of, WORN, nodes, 0, 0.0, np.random.default_rng(2))
    assert found.method == "posterior"
    assert found.factors is None
