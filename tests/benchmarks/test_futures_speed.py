"""Speed of the futures of a thousand parts over ten seasons, beside a loop over futures in pandas.

Run `python -m pytest tests/benchmarks/test_futures_speed.py --benchmark-enable -n 0`. The loop runs
a hundredth of the futures, on a clock of years with wear and limits only; its time for all of them,
and how many times as long that is, stand in the extra information. Without that option everything
runs once on a few futures.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics import job
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.futures import PLANNED, simulated_futures
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number
from tests.benchmarks.futures_fleets import repeated

PARTS, FUTURES, SEASONS = 1000, 10_000, 10
FEW = 200
LOOPED = 100

BY_YEARS, BY_HOURS = ("bellows", "gland_hose"), ("cutless_bearing", "face_seal", "lip_seal")


Many = tuple[Lives, FleetAgeing, list[Season]]


def many(fleet: job.Fleet, ageing: FleetAgeing, kinds: Sequence[str] = ()) -> Many:
    """A thousand parts or a few more, of some kinds or of all; the seasons to come."""
    some = {key: one for key, one in ageing.items() if not kinds or key[0] in kinds}
    serving = sum(int((one.table["outcome"] == IN_SERVICE).sum()) for one in some.values())
    lives, parts = repeated(fleet.lives, some, -(-PARTS // serving))
    rule, first = fleet.records.settings.seasons, fleet.coming_season().year
    return lives, parts, [rule.season(first + i) for i in range(SEASONS)]


GROUP = "10,000 futures, 1,000 parts, 10 seasons"


@pytest.mark.benchmark(group=GROUP, min_rounds=3)
@pytest.mark.parametrize("kinds", [BY_YEARS, BY_HOURS, ()], ids=["years", "hours", "mixed"])
def test_a_thousand_parts(
    benchmark: BenchmarkFixture, sample: job.Fleet, sample_ageing: FleetAgeing, kinds: Sequence[str]
) -> None:
    lives, ageing, seasons = many(sample, sample_ageing, kinds)
    n = FUTURES if benchmark.enabled else FEW
    found = benchmark(simulated_futures, lives, ageing, seasons, n_futures=n)
    places = len(found.parts)
    benchmark.extra_info["parts"] = places
    benchmark.extra_info["renewals a part"] = round(len(found.day) / n / places, 2)
    assert places >= PARTS
    assert len(found.day) > 0.2 * places * n


def wearing(fleet: job.Fleet, ageing: FleetAgeing) -> Many:
    """Bellows that do nothing but wear and be renewed at their limit."""
    lives, parts, seasons = many(fleet, ageing, ("bellows",))
    fitted = parts["bellows", "all"]
    posterior = fitted.posterior
    bare = replace(
        posterior,
        factors=None,
        accidents=np.zeros(len(posterior)),
        parameters=replace(posterior.parameters, early=np.zeros(len(posterior))),
    )
    return lives, {("bellows", "all"): replace(fitted, posterior=bare)}, seasons


def looped(lives: Lives, fitted: Ageing, seasons: Sequence[Season], n: int) -> float:
    """One future after the other as a table of parts, season by season: mean renewals at limits."""
    nodes, theta, planned = fitted.nodes, fitted.posterior.parameters, 0
    now, limit = day_number(lives.as_of), float(fitted.kind.limit or np.inf)
    # A day of fitting for each part: of the few undated ones, any of their window.
    first = np.append(nodes.first, len(nodes.life))
    for future in range(n):
        rng = np.random.default_rng(future)
        shape, scale = np.exp(theta.log_shape[future]), np.exp(theta.log_scale[future])
        node = rng.integers(first[:-1], first[1:])
        parts = pd.DataFrame({"fitted_on": nodes.start[node], "sound": nodes.lower[node]})

        def lasts(sound: pd.Series, shape: float = shape, scale: float = scale,
                  rng: np.random.Generator = rng) -> pd.Series:  # fmt: skip
            waited = rng.standard_exponential(len(sound))
            return DAYS_PER_YEAR * scale * ((sound / scale) ** shape + waited) ** (1 / shape)

        parts["fails_on"] = np.maximum(parts["fitted_on"] + lasts(parts["sound"]), now)
        for season in seasons:
            for day, at_lift in (
                (day_number(season.lift_on), True),
                (day_number(season.end) + 1, False),
            ):
                if day <= now:
                    continue
                while (failed := parts["fails_on"] <= day).any():
                    parts.loc[failed, "fitted_on"] = parts.loc[failed, "fails_on"]
                    parts.loc[failed, "fails_on"] += lasts(0.0 * parts.loc[failed, "sound"])
                if at_lift:
                    due = (day - parts["fitted_on"]) / DAYS_PER_YEAR >= limit
                    planned += int(due.sum())
                    parts.loc[due, "fitted_on"] = day
                    parts.loc[due, "fails_on"] = day + lasts(0.0 * parts.loc[due, "sound"])
    return planned / n


@pytest.mark.benchmark(group=GROUP, min_rounds=3)
def test_peer_a_loop_in_pandas(
    benchmark: BenchmarkFixture, sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    lives, ageing, seasons = wearing(sample, sample_ageing)
    n, few = (FUTURES, LOOPED) if benchmark.enabled else (1000, 4)
    fitted = ageing["bellows", "all"]
    begun = time.perf_counter()
    theirs = looped(lives, fitted, seasons, few)
    loop = (time.perf_counter() - begun) * n / few
    begun = time.perf_counter()
    found = benchmark(simulated_futures, lives, ageing, seasons, n_futures=n)
    if benchmark.enabled:
        ours = benchmark.stats.stats.median
        benchmark.extra_info["the loop, s"] = round(loop, 1)
        benchmark.extra_info["times as long"] = round(loop / ours)
    planned = np.bincount(found.future[found.how == PLANNED], minlength=n)
    # The same draws in both.
    alike = planned[:few].mean()
    assert theirs == pytest.approx(alike, abs=5 * np.sqrt(2 * planned.var() / few))
