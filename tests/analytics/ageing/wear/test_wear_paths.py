"""Straight wear paths: what they share, each path's own draws, and the quadrature beneath."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.ageing.wear import wear_paths
from analytics.ageing.wear.straight_lines import (
    Z90,
    Paths,
    log_likelihood,
    log_marginals,
    paths_of,
    peak,
)
from analytics.ageing.wear.wear_paths import belief_of, crossed_at, drawn_paths, sampled
from analytics.records.wear_limits import WearBelief

BELIEF = WearBelief()


def some_paths(
    rng: np.random.Generator, shafts: int, most: int, shared: np.ndarray
) -> tuple[Paths, np.ndarray, np.ndarray]:
    """Paths of 1 to `most` readings of 30 mm bearings; their rates and clearances at fitting."""
    rate = np.exp(shared[0] + np.exp(shared[1]) * rng.standard_normal(shafts))
    new = 0.145 + shared[3] + 0.11 / (2 * Z90) * rng.standard_normal(shafts)
    row = np.repeat(np.arange(shafts), rng.integers(1, most + 1, shafts))
    hours = rng.uniform(100, 2000, len(row))
    error = np.exp(shared[2]) * rng.standard_normal(len(row))
    mm = new[row] + rate[row] * hours / 1000 + error
    return _summed(row, hours, mm, shafts), rate, new


def _summed(row: np.ndarray, hours: np.ndarray, mm: np.ndarray, shafts: int) -> Paths:
    new_mm = np.full(shafts, 0.09), np.full(shafts, 0.20)
    each = np.ones(shafts)
    return paths_of(row, hours, mm, np.ones(len(row)), np.arange(shafts), each, new_mm)


def test_hours_to_the_limit_are_covered_where_the_truth_is_drawn_from_the_belief() -> None:
    covered, ranks = [], []
    middle, spread = belief_of(BELIEF)
    for fleet in range(60):
        rng = np.random.default_rng([7, fleet])
        truth = middle + spread * rng.standard_normal(4)
        paths, rate, new = some_paths(rng, 8, 4, truth)
        shared = sampled(paths, BELIEF, rng)
        draws = drawn_paths(paths, shared, rng)
        low, high = np.quantile((0.75 - draws.at_fitting) / draws.rate, (0.05, 0.95), axis=0)
        covered.append(np.mean((low < (0.75 - new) / rate) & ((0.75 - new) / rate < high)))
        ranks.append((shared.rows < truth).mean(axis=0))
    # 480 intervals in 60 fleets: two standard errors are about 0.03.
    assert np.mean(covered) == pytest.approx(0.90, abs=0.035)
    # Simulation-based calibration (Talts and others 2018, from memory): ranks are uniform, so
    # their means lie about 1/2 with a standard error of 0.289 / sqrt(60) = 0.037.
    assert np.mean(ranks, axis=0) == pytest.approx(np.full(4, 0.5), abs=0.11)


def test_a_shaft_read_once_leans_on_the_others_and_one_read_often_does_not() -> None:
    truth = np.array([np.log(0.2), np.log(0.3), np.log(0.03), 0.0])
    rng = np.random.default_rng(3)
    row = np.concatenate([np.repeat(np.arange(20), 6), [20], np.repeat(21, 12)])
    hours = np.concatenate(
        [np.tile(np.linspace(300, 1800, 6), 20), [500], np.linspace(200, 2500, 12)]
    )
    rate = np.append(np.exp(truth[0] + 0.3 * rng.standard_normal(20)), [0.6, 0.6])
    mm = 0.145 + rate[row] * hours / 1000 + 0.03 * rng.standard_normal(len(row))
    paths = _summed(row, hours, mm, 22)
    draws = drawn_paths(paths, sampled(paths, BELIEF, rng), rng)
    middle = np.median(draws.rate, axis=0)
    assert middle[20] < 0.5
    assert middle[21] == pytest.approx(0.6, abs=0.03)
    assert draws.rate[:, 20].std() > 4 * draws.rate[:, 21].std()


def test_without_readings_the_belief_is_drawn() -> None:
    nothing = _summed(np.empty(0, dtype=np.int64), np.empty(0), np.empty(0), 0)
    shared = sampled(nothing, BELIEF, np.random.default_rng(0))
    low, middle, high = np.exp(np.quantile(shared.log_rate, (0.05, 0.5, 0.95)))
    # The sampling error of the median of 1,000 draws is 3 % of a factor's log.
    assert middle == pytest.approx(BELIEF.rate_mm, rel=0.1)
    assert high / low == pytest.approx(BELIEF.rate_factor**2, rel=0.25)


def test_a_window_of_fitting_is_a_weighted_sum_of_its_days() -> None:
    shared = np.array([[np.log(0.2), np.log(0.4), np.log(0.05), 0.01]])
    mm, new = np.array([0.3, 0.45]), (np.array([0.09]), np.array([0.20]))

    def one(hours: list[float]) -> float:
        paths = paths_of(np.array([0, 0]), np.array(hours), mm, np.ones(2), np.array([0]),
                         np.ones(1), new)  # fmt: skip
        return float(log_likelihood(paths, shared)[0])

    both = paths_of(np.array([0, 0, 1, 1]), np.array([500.0, 1200, 900, 1600]), np.tile(mm, 2),
                    np.ones(4), np.array([0]), np.array([3.0, 1.0]), new)  # fmt: skip
    expected = np.log(0.75 * np.exp(one([500, 1200])) + 0.25 * np.exp(one([900, 1600])))
    assert log_likelihood(both, shared)[0] == pytest.approx(expected, abs=1e-10)
    rng = np.random.default_rng(1)
    draws = drawn_paths(both, sampled(both, BELIEF, rng), rng)
    assert set(draws.row[:, 0]) == {0, 1}


def test_the_peak_is_the_higher_of_two() -> None:
    # A line that says rate 1 to within 2 %, and a belief in 0.01 to within 5 %: both are peaks.
    for a, middle, spread in ((2500.0, np.log(0.01), 0.05), (2500.0, np.log(0.9), 0.5)):
        at, width = peak(
            np.array([[a]]), np.array([[a]]), np.array([[middle]]), np.array([[spread]])
        )
        grid = np.linspace(-6, 2, 200_001)
        height = a * (np.exp(grid) - np.exp(2 * grid) / 2) - ((grid - middle) / spread) ** 2 / 2
        assert at[0, 0] == pytest.approx(grid[np.argmax(height)], abs=1e-3)
        assert 0 < width[0, 0] <= spread


def test_a_crossing_is_read_off_between_readings_and_never_carried_on() -> None:
    hours, mm = np.array([0.0, 100, 300]), np.array([0.1, 0.3, 0.5])
    assert crossed_at(hours, mm, 0.4) == pytest.approx(200.0)
    assert crossed_at(hours, mm, 0.05) == 0.0
    assert np.isnan(crossed_at(hours, mm, 0.6))


def test_the_same_seed_gives_the_same_draws() -> None:
    paths, _, _ = some_paths(np.random.default_rng(5), 12, 3, belief_of(BELIEF)[0])
    first, again = (sampled(paths, BELIEF, np.random.default_rng(9)) for _ in range(2))
    assert np.array_equal(first.rows, again.rows)


def test_two_hundred_shafts_of_five_readings_are_sampled_well() -> None:
    rng = np.random.default_rng(2)
    row = np.repeat(np.arange(200), 5)
    hours = rng.uniform(100, 2000, 1000)
    rate = 0.2 * np.exp(0.4 * rng.standard_normal(200))
    mm = 0.145 + rate[row] * hours / 1000 + 0.05 * rng.standard_normal(1000)
    paths = _summed(row, hours, mm, 200)
    shared = sampled(paths, BELIEF, rng)
    assert shared.effective > 400
    low, high = np.quantile(shared.rows, (0.005, 0.995), axis=0)
    truth = np.array([np.log(0.2), np.log(0.4), np.log(0.05), 0.0])
    assert ((low < truth) & (truth < high)).all()
    assert log_marginals(paths, shared.rows[:2]).shape == (2, 200)


def test_walkers_draw_what_proposals_draw(monkeypatch: pytest.MonkeyPatch) -> None:
    paths, _, _ = some_paths(np.random.default_rng(5), 10, 4, belief_of(BELIEF)[0])
    by_proposals = sampled(paths, BELIEF, np.random.default_rng(1)).rows
    monkeypatch.setattr(wear_paths, "FITTING", np.inf)
    by_walkers = sampled(paths, BELIEF, np.random.default_rng(1)).rows
    assert by_walkers.shape == by_proposals.shape
    # 250 walkers place a mean to about 0.06 standard deviations.
    deviation = by_proposals.std(axis=0)
    apart = (by_walkers.mean(axis=0) - by_proposals.mean(axis=0)) / deviation
    assert np.abs(apart).max() < 0.25
    assert by_walkers.std(axis=0) == pytest.approx(deviation, rel=0.2)
