"""Leaving one out by weights, against fits that really leave it out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from scipy.special import logsumexp

from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, lives_of, log_likelihood, per_life
from analytics.ageing.posterior import AlikeLives
from analytics.ageing.predictive import (
    RELIABLE_K,
    Score,
    difference,
    leave_one_out,
    mixed,
    smoothed,
    weights_of,
)
from analytics.ageing.prior import log_prior
from analytics.records.kinds import Kind
from tests.analytics.ageing.test_posterior import WORN, small_fleet

Floats = npt.NDArray[np.float64]

A, B = 2.0, 20.0


def ends(n: int = 40) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Ends of lives at a constant rate, and which of them are failures."""
    rng = np.random.default_rng(11)
    life, watched = rng.exponential(8.0, n), rng.uniform(2.0, 12.0, n)
    return np.minimum(life, watched), life < watched


def gamma_left_out(age: Floats, failed: npt.NDArray[np.bool_]) -> Floats:
    """Log density of each life given the others: a gamma rate integrates in closed form."""
    shape, rate = A + failed.sum() - failed, B + age.sum() - age
    survival = shape * (np.log(rate) - np.log(rate + age))
    return np.asarray(np.where(failed, np.log(shape) - np.log(rate + age) + survival, survival))


def gamma_draws(age: Floats, failed: npt.NDArray[np.bool_], n: int, seed: int) -> Floats:
    """Log-likelihood of each life at draws of the rate."""
    rate = np.random.default_rng(seed).gamma(A + failed.sum(), 1 / (B + age.sum()), n)[:, None]
    return np.asarray(failed * np.log(rate) - rate * age)


def test_a_constant_rate_against_its_closed_form() -> None:
    age, failed = ends()
    exact = gamma_left_out(age, failed)
    found = leave_one_out(gamma_draws(age, failed, 4000, 1))
    np.testing.assert_allclose(found.by_unit, exact, atol=0.01)
    assert found.total == pytest.approx(exact.sum(), abs=0.05)
    assert found.error == pytest.approx(np.sqrt(len(exact)) * exact.std(ddof=1), rel=0.01)
    assert found.warning is None
    # What was seen when fitting is foretold too well.
    seen = logsumexp(gamma_draws(age, failed, 4000, 1), axis=0) - np.log(4000)
    assert seen.sum() > found.total + 0.5


def test_a_life_like_no_other_is_said_to_be_out_of_reach() -> None:
    age = np.array([0.2, 0.3, 0.25, 400.0])
    rate = np.random.default_rng(2).gamma(4.001, 1 / age.sum(), 2000)[:, None]
    found = leave_one_out(np.log(rate) - rate * age)
    assert found.tail[3] > RELIABLE_K
    assert found.warning is not None
    assert "one life" in found.warning
    again = leave_one_out(np.log(rate) - rate * age, again=lambda unit: -unit - 7.0)
    assert again.by_unit[3] == -10.0
    assert again.again == found.unreliable
    assert again.warning is None


def test_alike_lives_are_counted_and_left_out_one_at_a_time() -> None:
    age, failed = ends(12)
    both = leave_one_out(
        gamma_draws(np.concatenate([age, age]), np.concatenate([failed] * 2), 500, 3)
    )
    draws = gamma_draws(np.concatenate([age, age]), np.concatenate([failed] * 2), 500, 3)
    once = leave_one_out(draws[:, :12], np.full(12, 2.0))
    assert once.total == pytest.approx(both.total, rel=1e-12)
    assert once.error == pytest.approx(both.error, rel=1e-12)


def test_proposals_with_weights_stand_for_draws() -> None:
    age, failed = ends()
    rng = np.random.default_rng(4)
    rate = rng.gamma(3.0, 0.06, 6000)
    log_posterior = (A + failed.sum() - 1) * np.log(rate) - (B + age.sum()) * rate
    log_proposal = 2.0 * np.log(rate) - rate / 0.06
    found = leave_one_out(
        failed * np.log(rate[:, None]) - rate[:, None] * age,
        log_weight=log_posterior - log_proposal,
    )
    assert found.total == pytest.approx(gamma_left_out(age, failed).sum(), abs=0.1)


def left_out(kind: Kind, lives: npt.NDArray[np.int64]) -> Floats:
    """Log density of some lives given the others, by sums over a grid of both parameters."""
    nodes, family = small_fleet(), FAMILIES[kind.family]
    shapes = np.linspace(-0.6, 3.4, 161) + np.log(family.shape_unit)
    scales = np.linspace(1.2, 6.4, 201)
    rows = np.column_stack([np.repeat(shapes, len(scales)), np.tile(scales, len(shapes))])
    theta = Parameters.from_rows(rows)
    of_life = per_life(family, theta, nodes, 0.25)
    found = []
    for life in lives:
        others = lives_of(nodes, np.arange(nodes.n_lives) != life)
        log_mass = log_prior(family, kind.prior, rows) + log_likelihood(family, theta, others, 0.25)
        found.append(logsumexp(log_mass + of_life[:, life]) - logsumexp(log_mass))
    return np.array(found)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_a_small_fleet_against_fits_on_a_grid(family: str) -> None:
    kind, nodes = replace(WORN, family=family), small_fleet()
    lives = np.array([0, 1, 2, 5, 20, 39])
    theta = AlikeLives(kind, nodes, np.random.default_rng(5)).drawn(20_000)[0]
    found = leave_one_out(per_life(FAMILIES[family], theta, nodes, 0.25)).by_unit[lives]
    # Twenty thousand draws know the density of the first failure to some 2 %.
    np.testing.assert_allclose(found, left_out(kind, lives), atol=0.04)


def test_the_tail_of_a_known_power() -> None:
    # Weights u ** -k with u uniform have a Pareto tail of shape k.
    rng = np.random.default_rng(6)
    for k in (0.3, 0.6, 0.9):
        logs = -k * np.log(rng.random((20_000, 8)))
        assert smoothed(logs)[1].mean() == pytest.approx(k, abs=0.08)


def test_even_weights_are_left_as_they_are() -> None:
    logs = np.random.default_rng(7).normal(0, 0.1, (200, 3))
    weights, tail = smoothed(logs)
    np.testing.assert_allclose(weights, logs - logs.max(axis=0))
    assert (tail == 0).all()


def test_a_difference_is_steadier_than_its_scores() -> None:
    rng = np.random.default_rng(8)
    hard, count = rng.normal(-3, 2, 50), np.ones(50)
    one = Score(hard + 0.1, np.zeros(50), count)
    other = Score(hard + rng.normal(0, 0.2, 50), np.zeros(50), count)
    apart, error = difference(one, other)
    assert apart == pytest.approx(one.total - other.total)
    assert error < 0.2 * one.error
    assert mixed((one, other), (1.0, 0.0)).total == pytest.approx(one.total)
    half = mixed((one, other), (0.5, 0.5))
    assert half.by_unit[0] == pytest.approx(
        np.log(np.exp([one.by_unit[0], other.by_unit[0]]).mean())
    )


def test_weights_need_more_than_a_few_lives_to_leave_one_half() -> None:
    rng = np.random.default_rng(9)

    def weight(n: int, lead: float) -> float:
        apart = lead + np.tile([-0.5, 0.5], n // 2)
        even = Score(np.zeros(n), np.zeros(n), np.ones(n))
        return float(weights_of((Score(apart, np.zeros(n), np.ones(n)), even), rng)[0])

    assert 0.3 < weight(4, 0.0) < 0.7
    assert weight(200, 0.1) > 0.98
    assert weight(200, -0.1) < 0.05
    none = Score(np.empty(0), np.empty(0), np.empty(0))
    np.testing.assert_allclose(weights_of((none, none), rng, (0.25, 0.75)), (0.25, 0.75))


def test_weights_of_a_single_unit_follow_the_odds() -> None:
    # With one unit there is no chance in which units there are: the odds are those of its density.
    unit = [Score(np.array([value]), np.zeros(1), np.ones(1)) for value in (np.log(3.0), 0.0)]
    found = weights_of(unit, np.random.default_rng(0))
    np.testing.assert_allclose(found, (0.75, 0.25))
