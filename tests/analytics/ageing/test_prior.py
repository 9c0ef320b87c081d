"""The prior says in figures what the trade terms say in words."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import kstest

from analytics.ageing.families import FAMILIES
from analytics.ageing.posterior import prior_of
from analytics.ageing.prior import (
    log_prior,
    prior_rows,
)
from analytics.records.kinds import KINDS

both = pytest.mark.parametrize("name", ["weibull", "lognormal"])
PRIOR = KINDS["bellows"].prior


@both
def test_draws_hold_the_stated_quantiles(name: str) -> None:
    family = FAMILIES[name]
    rows = prior_rows(family, PRIOR, True, 200_000, np.random.default_rng(1))
    shape = np.exp(rows[:, 0]) / family.shape_unit
    worn = -np.expm1(-family.cumulative_hazard(np.array(PRIOR.at), rows[:, 0], rows[:, 1]))
    early = 1 / (1 + np.exp(-rows[:, 2]))
    points = (0.05, 0.5, 0.95)
    assert np.quantile(shape, points) == pytest.approx([4.0 / 1.6, 4.0, 4.0 * 1.6], rel=0.01)
    assert np.quantile(worn, points[::2]) == pytest.approx(PRIOR.worn_out, rel=0.02)
    assert np.quantile(early, points[::2]) == pytest.approx(PRIOR.early, rel=0.02)


@both
@pytest.mark.parametrize("kind", ["bellows", "face_seal"])
def test_the_density_is_that_of_the_draws(name: str, kind: str) -> None:
    # Summed over a fine grid of both parameters, one parameter at a time.
    family, prior = FAMILIES[name], KINDS[kind].prior
    rows = prior_rows(family, prior, False, 4_000, np.random.default_rng(2))
    shapes = np.linspace(rows[:, 0].min() - 0.5, rows[:, 0].max() + 0.5, 161)
    scales = np.linspace(rows[:, 1].min() - 3.0, rows[:, 1].max() + 6.0, 2401)
    grid = np.column_stack([np.repeat(shapes, len(scales)), np.tile(scales, len(shapes))])
    density = np.exp(log_prior(family, prior, grid)).reshape(len(shapes), len(scales))
    cell = (shapes[1] - shapes[0]) * (scales[1] - scales[0])
    density /= density.sum() * cell
    of_shape = np.cumsum(density.sum(axis=1)) * cell
    of_scale = np.cumsum(density.sum(axis=0)) * cell
    assert kstest(rows[:, 0], lambda x: np.interp(x, shapes, of_shape)).pvalue > 0.01
    assert kstest(rows[:, 1], lambda x: np.interp(x, scales, of_scale)).pvalue > 0.01


def test_the_density_integrates_to_the_constant_that_was_left_out() -> None:
    # Two normal densities without their constants: the integral is 2 pi times both widths.
    family = FAMILIES["weibull"]
    width = (np.log(0.40 / 0.60) - np.log(0.02 / 0.98)) / (2 * 1.6448536)
    spread = np.log(1.6) / 1.6448536

    def over_scale(log_shape: float) -> float:
        def density(log_scale: float) -> float:
            return float(np.exp(log_prior(family, PRIOR, np.array([[log_shape, log_scale]]))[0]))

        return quad(density, -3.0, 12.0, points=[1.5, 2.5, 3.5], limit=200)[0]

    total = quad(over_scale, 0.0, 2.8, limit=50, epsrel=1e-5)[0]
    assert total == pytest.approx(2 * np.pi * width * spread, rel=1e-3)


def test_the_prior_alone_reads_as_a_posterior() -> None:
    kind = KINDS["bellows"]
    found = prior_of(kind, np.random.default_rng(3))
    assert found.method == "prior"
    assert len(found) == 1000
    # A gamma of 40 part-years about 0.012 a year: mean as stated.
    assert found.accidents.mean() == pytest.approx(0.012, rel=0.1)
    calm = prior_of(replace(kind, causes=("wear_out",)), np.random.default_rng(3))
    assert not calm.accidents.any()
    assert not calm.parameters.early.any()
