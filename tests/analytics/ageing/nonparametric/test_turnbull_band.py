"""Rough limits of survival, and a fitted curve held against them."""

import numpy as np
import pytest

from analytics.ageing.nonparametric.innermost import observed
from analytics.ageing.nonparametric.turnbull import estimate
from analytics.ageing.nonparametric.turnbull_band import against, turnbull_band
from tests.outside.inspected_lives import inspected_lives, survival

AGES = np.linspace(3, 11, 9)


def test_limits_hold_what_the_estimate_leaves_open() -> None:
    entry, lower, upper = inspected_lives(400, 7, 0.25)
    seen = observed(lower, upper, entry)
    limits = turnbull_band(seen, AGES, refits=60)
    least, greatest = estimate(seen).survival_between(AGES)
    assert (limits.low <= least + 0.01).all()
    assert (limits.high >= greatest - 0.01).all()
    assert list(limits.table().columns) == ["age_years", "survival_low", "survival_high"]


def test_the_seed_alone_decides() -> None:
    entry, lower, upper = inspected_lives(200, 8, 0.25)
    order = np.random.default_rng(1).permutation(200)
    one = turnbull_band(observed(lower, upper, entry), AGES, refits=20, seed=3)
    same = turnbull_band(
        observed(lower[order], upper[order], entry[order]), AGES, refits=20, seed=3
    )
    other = turnbull_band(observed(lower, upper, entry), AGES, refits=20, seed=4)
    assert one.table().equals(same.table())
    assert not one.table().equals(other.table())


def test_a_right_curve_stays_within_and_a_wrong_one_is_told() -> None:
    entry, lower, upper = inspected_lives(500, 9, 0.25)
    limits = turnbull_band(observed(lower, upper, entry), AGES, refits=100)
    assert against(limits, survival(AGES)).sentence is None
    hopeful = against(limits, survival(AGES / 1.3))
    assert hopeful.above > 0.5
    assert hopeful.sentence is not None
    assert "these lives ended sooner than the curve allows" in hopeful.sentence
    gloomy = against(limits, survival(AGES * 1.3)).sentence
    assert gloomy is not None
    assert "these lives lasted longer than the curve allows" in gloomy


@pytest.mark.parametrize(
    ("weight", "level", "said"),
    [([1.5, 1], 0.9, "whole numbers"), ([0, 0], 0.9, "no lives"), ([1, 1], 90, "between 0 and 1")],
)
def test_what_is_refused(weight: list[float], level: float, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        turnbull_band(observed([1, 2], [2, 3], weight=weight), [1.0], level=level)
