"""Parts joined into boats, and means that do not depend on what stands beside them."""

import numpy as np
import pandas as pd
import pytest

from analytics.outlook.joined import Grouped, mean_of_draws


def test_at_least_one_part_of_a_boat_by_hand() -> None:
    by_boat = Grouped(pd.Series(["B", "A", "B"]))
    chance = np.array([[0.5, 0.2, 0.1], [0.0, 0.3, 1.0]])
    assert by_boat.names.tolist() == ["A", "B"]
    assert by_boat.any_of(chance) == pytest.approx(np.array([[0.2, 0.55], [0.3, 1.0]]))
    assert by_boat.sum_of(chance) == pytest.approx(np.array([[0.2, 0.6], [0.3, 1.0]]))


@pytest.mark.parametrize("draws", [1, 7, 1000, 1003])
def test_a_mean_is_the_same_to_the_last_digit_beside_whatever_others(draws: int) -> None:
    chance = np.random.default_rng(draws).random((draws, 700))
    means = mean_of_draws(chance)
    assert means == pytest.approx(chance.mean(axis=0))
    for chosen in ([3], [3, 690], list(range(0, 700, 7))):
        np.testing.assert_array_equal(mean_of_draws(chance[:, chosen]), means[chosen])
    assert mean_of_draws(chance[:, :0]).shape == (0,)
