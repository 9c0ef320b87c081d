"""Luck and knowledge apart: against variances that are known because they were made."""

import numpy as np
import pytest

from analytics.decisions.budget_spread import spread_of


def test_by_hand() -> None:
    # Draws 1, 5 and 9 with futures one below and one above: mean squares 2 within, 32 between.
    total = np.array([0.0, 4.0, 8.0, 2.0, 6.0, 10.0])
    spread = spread_of(total, 3)
    assert spread.luck == pytest.approx(2**0.5)
    assert spread.knowledge == pytest.approx(((32 - 2) / 2) ** 0.5)
    assert spread.share_luck == pytest.approx(2 / 17)


def test_both_parts_are_found_without_bias() -> None:
    # Standard deviations 3 between and 5 within; the mean of many estimates has their squares.
    rng = np.random.default_rng(11)
    found = []
    for _ in range(400):
        drawn = 3.0 * rng.standard_normal(100)
        total = np.tile(drawn, 3)[:250] + 5.0 * rng.standard_normal(250)
        spread = spread_of(total, 100)
        found.append((spread.luck**2, spread.knowledge**2))
    luck, knowledge = np.mean(found, axis=0)
    # The mean of 400 varies by about 0.14 and 0.16 here.
    assert luck == pytest.approx(25.0, abs=0.6)
    assert knowledge == pytest.approx(9.0, abs=0.7)


def test_futures_that_all_draws_share_are_luck_alone() -> None:
    total = np.tile([1.0, 2.0, 3.0], 50)  # three draws, always the same
    assert spread_of(total, 3).share_luck == pytest.approx(0.0)
    moved = np.repeat([1.0, 2.0, 3.0], 50)  # fifty draws, each with all three
    assert spread_of(moved, 50).share_luck == pytest.approx(1.0)


@pytest.mark.parametrize("n_futures", [1, 2, 50, 100])
def test_one_future_a_draw_tells_nothing(n_futures: int) -> None:
    assert np.isnan(spread_of(np.arange(float(n_futures)), 100).share_luck)


def test_a_total_that_never_varies_has_no_shares() -> None:
    spread = spread_of(np.full(20, 7.0), 10)
    assert (spread.luck, spread.knowledge) == (0.0, 0.0)
    assert np.isnan(spread.share_luck)
