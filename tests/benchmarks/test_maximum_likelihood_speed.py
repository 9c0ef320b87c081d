"""Speed of Newton's maximum beside lifelines and surpyval, on the same arrays in one run.

`pytest --benchmark-enable -n 0` times them at full size and holds each ratio to its target; as
plain tests they run on few lives, and only the answers are compared.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics.ageing.families import FAMILIES
from analytics.ageing.maximum_likelihood.binned import Ages
from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, NoMaximum, highest
from analytics.ageing.maximum_likelihood.surface import surface_of

Floats = npt.NDArray[np.float64]
Failed = npt.NDArray[np.bool_]

SHAPE, SCALE = 2.5, 9.5 * 365.25
SEEN, INSPECTED, FEW = 1_000_000, 20_000, 2_000
WATCHED = "Weibull maximum likelihood, 1,000,000 lives with entry"
FOUND_LATE = "Weibull maximum likelihood, 20,000 lives with entry, failures found at inspections"
REFITS = "Weibull maximum likelihood, 200 resamples of 10,000 lives with entry"

seconds: dict[str, float] = {}
"""Median time of our own run of each group, for the ratio."""


def watched(lives: int) -> tuple[Floats, Floats, Failed]:
    """Entry, age in whole days, and failure; a third of the lives met when already in place."""
    rng = np.random.default_rng(1)
    entry = np.where(rng.random(lives) < 1 / 3, np.floor(rng.uniform(0, 6, lives) * 365.25), 0.0)
    # Given that a life has reached its entry, its cumulative hazard at failure is that much more.
    reached = (entry / SCALE) ** SHAPE + rng.standard_exponential(lives)
    life = np.ceil(SCALE * reached ** (1 / SHAPE))
    end = entry + np.ceil(rng.uniform(0.5, 9, lives) * 365.25)
    return entry, np.minimum(life, end), life <= end


def inspected(lives: int) -> tuple[Floats, Floats, Floats]:
    """Entry, and the last age known sound and the first known failed, at yearly inspections."""
    entry, age, failed = watched(lives)
    before = np.maximum(np.floor((age - 1) / 365.0) * 365.0, entry)
    after = np.maximum(np.ceil(age / 365.0) * 365.0, before + 1)
    return entry, np.where(failed, before, age), np.where(failed, after, np.inf)


def ours_seen(entry: Floats, age: Floats, failed: Failed) -> MaximumLikelihood | NoMaximum:
    return highest(surface_of(FAMILIES["weibull"], Ages.seen_through(age, failed, entry)))


def ours_inspected(entry: Floats, lower: Floats, upper: Floats) -> MaximumLikelihood | NoMaximum:
    return highest(surface_of(FAMILIES["weibull"], Ages.inspected(lower, upper, entry)))


def measured(benchmark: BenchmarkFixture, group: str, target: float | None = None) -> None:
    """Keep our own time, or hold a peer's to its multiple of ours."""
    if not benchmark.enabled:
        return
    median = float(benchmark.stats.stats.median)
    if target is None:
        seconds[group] = median
    elif group in seconds:
        ratio = median / seconds[group]
        benchmark.extra_info["times as long as ours"] = round(ratio, 1)
        assert ratio > target, f"{ratio:.0f} times as long as ours; the target is {target:.0f}"


def shape_and_scale(found: MaximumLikelihood | NoMaximum) -> tuple[float, float]:
    assert isinstance(found, MaximumLikelihood), found
    return found.shape, found.scale


def near_truth(lives: int) -> object:
    return pytest.approx((SHAPE, SCALE), rel=3 / np.sqrt(lives))


@pytest.mark.benchmark(group=WATCHED)
def test_ours_seen(benchmark: BenchmarkFixture) -> None:
    lives = watched(SEEN if benchmark.enabled else FEW)
    found = benchmark.pedantic(ours_seen, args=lives, rounds=20, warmup_rounds=2)
    assert shape_and_scale(found) == near_truth(len(lives[0]))
    measured(benchmark, WATCHED)


@pytest.mark.benchmark(group=WATCHED)
def test_peer_lifelines_seen(benchmark: BenchmarkFixture) -> None:
    from lifelines import WeibullFitter

    entry, age, failed = watched(SEEN if benchmark.enabled else FEW)
    fit = benchmark.pedantic(lambda: WeibullFitter().fit(age, failed, entry=entry), rounds=3)
    ours = shape_and_scale(ours_seen(entry, age, failed))
    assert (fit.rho_, fit.lambda_) == pytest.approx(ours, rel=5e-5)
    measured(benchmark, WATCHED, target=200)


@pytest.mark.benchmark(group=WATCHED)
def test_peer_surpyval_seen(benchmark: BenchmarkFixture) -> None:
    import surpyval

    entry, age, failed = watched(SEEN if benchmark.enabled else FEW)
    fit = benchmark.pedantic(
        lambda: surpyval.Weibull.fit(x=age, c=1 - failed, tl=entry).params, rounds=5
    )
    ours = shape_and_scale(ours_seen(entry, age, failed))
    assert (fit[1], fit[0]) == pytest.approx(ours, rel=5e-6)
    measured(benchmark, WATCHED, target=30)


@pytest.mark.benchmark(group=FOUND_LATE)
def test_ours_inspected(benchmark: BenchmarkFixture) -> None:
    lives = inspected(INSPECTED if benchmark.enabled else FEW)
    found = benchmark.pedantic(ours_inspected, args=lives, rounds=20, warmup_rounds=2)
    assert shape_and_scale(found) == near_truth(len(lives[0]))
    measured(benchmark, FOUND_LATE)


@pytest.mark.benchmark(group=FOUND_LATE)
def test_peer_lifelines_inspected(benchmark: BenchmarkFixture) -> None:
    from lifelines import WeibullFitter

    entry, lower, upper = inspected(INSPECTED if benchmark.enabled else FEW)
    fit = benchmark.pedantic(
        lambda: WeibullFitter().fit_interval_censoring(lower, upper, entry=entry), rounds=3
    )
    ours = shape_and_scale(ours_inspected(entry, lower, upper))
    assert (fit.rho_, fit.lambda_) == pytest.approx(ours, rel=5e-5)
    measured(benchmark, FOUND_LATE, target=50)


@pytest.mark.benchmark(group=FOUND_LATE)
def test_peer_surpyval_inspected(benchmark: BenchmarkFixture) -> None:
    import surpyval

    entry, lower, upper = inspected(INSPECTED if benchmark.enabled else FEW)
    known = np.isfinite(upper)
    windows = np.column_stack([lower, np.where(known, upper, lower)])
    fit = benchmark.pedantic(
        lambda: surpyval.Weibull.fit(x=windows, c=np.where(known, 2, 1), tl=entry).params, rounds=3
    )
    ours = shape_and_scale(ours_inspected(entry, lower, upper))
    assert (fit[1], fit[0]) == pytest.approx(ours, rel=5e-6)
    measured(benchmark, FOUND_LATE, target=1)


def resampled(fit: Callable[[Floats, Floats, Failed], object], times: int) -> None:
    """Refit to as many lives drawn again with replacement."""
    entry, age, failed = watched(10_000)
    rng = np.random.default_rng(2)
    for _ in range(times):
        drawn = rng.integers(0, len(age), len(age))
        fit(entry[drawn], age[drawn], failed[drawn])


@pytest.mark.benchmark(group=REFITS)
def test_ours_resampled(benchmark: BenchmarkFixture) -> None:
    times = 200 if benchmark.enabled else 2
    benchmark.pedantic(resampled, args=(ours_seen, times), rounds=5, warmup_rounds=1)
    measured(benchmark, REFITS)


@pytest.mark.benchmark(group=REFITS)
def test_peer_lifelines_resampled(benchmark: BenchmarkFixture) -> None:
    from lifelines import WeibullFitter

    def fit(entry: Floats, age: Floats, failed: Failed) -> object:
        return WeibullFitter().fit(age, failed, entry=entry)

    times = 200 if benchmark.enabled else 1
    benchmark.pedantic(resampled, args=(fit, times), rounds=1)
    measured(benchmark, REFITS, target=50)
