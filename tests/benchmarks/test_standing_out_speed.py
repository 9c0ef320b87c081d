"""Speed of what is looked for after a fit: groups that stand out, and lots tried apart."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.lots import lots_apart
from analytics.ageing.groups.standing_out import factors_table
from tests.analytics.ageing.folders import fleet_of

BOATS, BASES, LOTS = 1000, 6, 20


@pytest.fixture(scope="module")
def many() -> Ageing:
    """A part and its follower on each of a thousand shaft lines, of twenty lots and six bases."""
    rng = np.random.default_rng(1)
    rows, lot = [], rng.integers(0, LOTS, (BOATS, 2))
    for boat in range(BOATS):
        since = np.datetime64("2006-03-01") + int(rng.integers(0, 1500))
        until = since + round(365.25 * 9.0 * rng.weibull(3.0)) + 1
        gone = until < np.datetime64("2024-06-30")
        ended = f"{until},failed,afloat" if gone else ",,"
        rows.append(f"X{boat:04d},single,bellows,,L{lot[boat, 0]:02d},{since},{ended}")
        if gone:
            rows.append(f"X{boat:04d},single,bellows,,L{lot[boat, 1]:02d},{until},,")
    boats = [f"X{boat:04d},Base {boat % BASES},afloat" for boat in range(BOATS)]
    fleet = fleet_of(rows, boats=boats, boat_columns="boat,base,lay_up")
    return kind_ageing(fleet.lives, fleet.lives.table)


@pytest.mark.slow
@pytest.mark.benchmark(group="Looking for what stands out, about 1,900 lives", min_rounds=3)
def test_groups(benchmark: BenchmarkFixture, many: Ageing) -> None:
    found = benchmark(factors_table, many)
    assert set(found["field"]) == {"base", "lot", "place"}


@pytest.mark.slow
@pytest.mark.benchmark(group="Looking for what stands out, about 1,900 lives", min_rounds=3)
def test_lots(benchmark: BenchmarkFixture, many: Ageing) -> None:
    found = benchmark(lots_apart, many)
    assert len(found) == LOTS
    assert not any(lot.sure for lot in found)
