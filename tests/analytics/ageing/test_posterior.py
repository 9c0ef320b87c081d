"""The sampled posterior against brute force, against maximum likelihood, and against the prior."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from scipy.stats import gamma, ks_2samp

from analytics.ageing import posterior as sampler
from analytics.ageing.clocks import Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.likelihood import Parameters, log_likelihood
from analytics.ageing.maximum_likelihood.maximum import maximum_likelihood
from analytics.ageing.posterior import (
    AlikeLives,
    point,
    posterior_of,
)
from analytics.ageing.prior import (
    log_prior,
    prior_rows,
)
from analytics.records.kinds import KINDS, Kind, unknown_kind
from tests.outside.known_ages import lives_inspected, lives_seen_through

POINTS = (0.05, 0.25, 0.5, 0.75, 0.95)
WORN = replace(KINDS["bellows"], causes=("wear_out",), family="weibull")

Floats = npt.NDArray[np.float64]


def small_fleet() -> Nodes:
    """Forty bellows, three of which failed."""
    ages = np.concatenate([[6.2, 7.9, 9.4], np.linspace(0.5, 9.0, 37)])
    entry = np.where(np.arange(40) % 3 == 0, np.maximum(ages - 4.0, 0.0), 0.0)
    return lives_seen_through(ages, np.arange(40) < 3, entry)


def by_grid(kind: Kind, nodes: Nodes) -> tuple[Floats, Floats]:
    """Quantiles of log shape and log scale from the product of prior and likelihood on a grid."""
    family = FAMILIES[kind.family]
    shapes = np.linspace(0.2, 3.0, 281) + np.log(family.shape_unit)
    scales = np.linspace(1.2, 5.2, 401)
    rows = np.column_stack([np.repeat(shapes, len(scales)), np.tile(scales, len(shapes))])
    log_mass = log_prior(family, kind.prior, rows) + log_likelihood(
        family, Parameters.from_rows(rows), nodes, 0.25
    )
    mass = np.exp(log_mass - log_mass.max()).reshape(len(shapes), len(scales))
    found = []
    for axis, values in ((1, shapes), (0, scales)):
        share = mass.sum(axis=axis)
        # Half a cell back: the mass of a cell lies about its middle.
        total = (np.cumsum(share) - share / 2) / share.sum()
        found.append(np.interp(POINTS, total, values))
    return found[0], found[1]


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_a_small_fleet_against_a_grid(family: str) -> None:
    kind, nodes = replace(WORN, family=family), small_fleet()
    shape, scale = by_grid(kind, nodes)
    theta, effective, method, tail = AlikeLives(kind, nodes, np.random.default_rng(5)).drawn(5000)
    assert method == "posterior"
    assert effective > 5000
    assert tail < 0.5
    # The belief has wide tails, so that the outer quantiles are known to some 5 % of the spread.
    spreads = (shape[-1] - shape[0]) / 3.29, (scale[-1] - scale[0]) / 3.29
    for draws, exact, spread in zip(
        (theta.log_shape, theta.log_scale), (shape, scale), spreads,
        strict=True,
    ):  # fmt: skip
        np.testing.assert_allclose(np.quantile(draws, POINTS), exact, atol=0.15 * spread)
        np.testing.assert_allclose(np.median(draws), exact[2], atol=0.08 * spread)


def test_the_fallback_sampler_against_the_same_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sampler, "_GOOD_SAMPLE", np.inf)
    shape, scale = by_grid(WORN, small_fleet())
    theta, _, method, _ = AlikeLives(WORN, small_fleet(), np.random.default_rng(6)).drawn(3000)
    assert method == "random walk"
    for draws, exact in ((theta.log_shape, shape), (theta.log_scale, scale)):
        spread = (exact[-1] - exact[0]) / 3.29
        np.testing.assert_allclose(np.quantile(draws, POINTS), exact, atol=0.15 * spread)


def test_early_failures_against_a_grid_over_three_parameters() -> None:
    # Three of sixty installs failed within the first quarter of a year, two wore out late.
    ages = np.concatenate([[0.05, 0.12, 0.2, 8.1, 9.6], np.linspace(0.1, 9.0, 55)])
    nodes = lives_seen_through(ages, np.arange(60) < 5)
    kind = replace(KINDS["bellows"], causes=("early", "wear_out"), family="weibull")
    family, within = FAMILIES["weibull"], kind.early_days / 365.25
    shapes, scales = np.linspace(0.3, 2.6, 60), np.linspace(1.6, 4.4, 90)
    odds = np.linspace(-7.0, -0.5, 80)
    grid = np.meshgrid(shapes, scales, odds, indexing="ij")
    rows = np.column_stack([axis.ravel() for axis in grid])
    log_mass = log_prior(family, kind.prior, rows) + log_likelihood(
        family, Parameters.from_rows(rows), nodes, within
    )
    mass = np.exp(log_mass - log_mass.max()).reshape(grid[0].shape).sum(axis=(0, 1))
    total = (np.cumsum(mass) - mass / 2) / mass.sum()
    exact = 1 / (1 + np.exp(-np.interp(POINTS, total, odds)))
    found = posterior_of(kind, nodes, 0, 0.0, np.random.default_rng(7))
    np.testing.assert_allclose(np.quantile(found.parameters.early, POINTS), exact, rtol=0.08)


def test_without_lives_the_posterior_is_the_prior() -> None:
    kind = replace(KINDS["face_seal"], family="weibull")
    none = lives_seen_through([], [])
    found = posterior_of(kind, none, 0, 0.0, np.random.default_rng(8))
    rows = prior_rows(FAMILIES[kind.family], kind.prior, True, 20_000, np.random.default_rng(9))
    prior = Parameters.from_rows(rows)
    for name in ("log_shape", "log_scale", "early"):
        assert ks_2samp(getattr(found.parameters, name), getattr(prior, name)).pvalue > 0.01
    shape, years = 0.012 * 40.0, 40.0
    drawn = np.quantile(found.accidents, POINTS)
    np.testing.assert_allclose(drawn, gamma(shape, scale=1 / years).ppf(POINTS), rtol=0.25)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_many_lives_outweigh_the_prior(family: str) -> None:
    rng = np.random.default_rng(10)
    life, last = 12.0 * rng.weibull(3.0, 4000), rng.uniform(2.0, 16.0, 4000)
    nodes = lives_seen_through(np.minimum(life, last), life <= last)
    kind = replace(WORN, family=family)
    found = posterior_of(kind, nodes, 0, 0.0, rng)
    best = maximum_likelihood(FAMILIES[family], nodes)
    assert best is not None
    for draws, value in (
        (found.parameters.log_shape, best.log_shape),
        (found.parameters.log_scale, best.log_scale),
    ):
        assert abs(draws.mean() - value) < 0.3 * draws.std()
        assert draws.std() < 0.06
    if family == "weibull":
        assert (best.shape, best.scale) == pytest.approx((3.0, 12.0), rel=0.03)


def test_a_failure_found_late_says_less_than_one_seen() -> None:
    seen = lives_seen_through([7.0] * 4 + [6.0] * 30, [True] * 4 + [False] * 30)
    found_late = lives_inspected([3.0] * 4 + [6.0] * 30, [7.0] * 4 + [np.inf] * 30)
    # Of a kind whose shape nobody knows: where a belief is doubted, records that contradict it
    # open the doubt, and less of them may leave a narrower range.
    kind = replace(unknown_kind("x"), family="weibull")
    spread = [
        posterior_of(kind, nodes, 0, 0.0, np.random.default_rng(11)).parameters.log_shape.std()
        for nodes in (seen, found_late)
    ]
    assert spread[0] < spread[1]


def test_accidents_are_a_gamma_about_their_rate() -> None:
    # Conjugate: shape .012 x 40 + 6, rate 40 + 500 part-years.
    found = posterior_of(KINDS["bellows"], small_fleet(), 6, 500.0, np.random.default_rng(12))
    exact = gamma(0.48 + 6, scale=1 / 540.0)
    np.testing.assert_allclose(np.quantile(found.accidents, POINTS), exact.ppf(POINTS), rtol=0.1)


def test_no_estimate_where_none_exists() -> None:
    family = FAMILIES["weibull"]
    assert maximum_likelihood(family, lives_seen_through([5.0], [True])) is None
    assert (
        maximum_likelihood(family, lives_seen_through([5.0, 6.0, 7.0], [True] + [False] * 2))
        is None
    )
    # All failures at one age: the sharper the better, without end.
    assert maximum_likelihood(family, lives_seen_through([5.0] * 6, [True] * 6)) is None


def test_a_point_is_one_draw_without_accidents() -> None:
    found = point(KINDS["bellows"], np.log(5.0), np.log(14.0))
    assert len(found) == 1
    assert found.method == "point"
    assert found.accidents.tolist() == [0.0]
    assert found.parameters.early.tolist() == [0.0]
