"""The chance of being truly among the worst: by hand, by its sum, and against the normal law."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from analytics.outlook.worst_boats import chance_among_worst, how_many_worst


def test_by_hand() -> None:
    # Boats A to D in four draws; the two highest are A B, A C, A B and C D.
    drawn = np.array([[9, 8, 1, 0], [9, 2, 8, 0], [7, 6, 5, 4], [1, 2, 8, 9]], dtype=float)
    assert chance_among_worst(drawn, 2).tolist() == [0.75, 0.5, 0.5, 0.25]


def test_boats_that_tie_share_the_last_places() -> None:
    # One place is left for three boats of the same risk.
    assert chance_among_worst(np.array([[5.0, 3.0, 3.0, 3.0, 1.0]]), 2).tolist() == pytest.approx(
        [1.0, 1 / 3, 1 / 3, 1 / 3, 0.0]
    )


@given(st.integers(1, 30), st.integers(1, 12), st.integers(0, 2**32 - 1), st.integers(1, 5))
def test_the_chances_add_up_to_the_number_of_places(
    boats: int, n: int, seed: int, levels: int
) -> None:
    drawn = np.random.default_rng(seed).integers(0, levels, (7, boats)).astype(float)
    found = chance_among_worst(drawn, n)
    assert found.sum() == pytest.approx(min(n, boats))
    assert ((found >= 0) & (found <= 1 + 1e-12)).all()


def test_two_boats_against_the_normal_law() -> None:
    # A is above B where the difference of two normal figures is: known without any draw.
    rng = np.random.default_rng(2)
    drawn = np.column_stack([rng.normal(1.0, 0.6, 40_000), rng.normal(0.5, 0.8, 40_000)])
    first = float(norm.cdf(0.5 / np.hypot(0.6, 0.8)))
    assert chance_among_worst(drawn, 1) == pytest.approx([first, 1 - first], abs=0.01)


def test_the_order_of_boats_does_not_matter() -> None:
    rng = np.random.default_rng(3)
    drawn, order = rng.random((50, 20)), rng.permutation(20)
    np.testing.assert_array_equal(
        chance_among_worst(drawn, 5)[order], chance_among_worst(drawn[:, order], 5)
    )


@pytest.mark.parametrize(("boats", "n"), [(1, 1), (3, 1), (12, 6), (19, 9), (20, 10), (5000, 10)])
def test_how_many_are_meant(boats: int, n: int) -> None:
    assert how_many_worst(boats) == n
