"""The prior says in figures what the trade terms say in words."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from scipy.special import expit, logit
from scipy.stats import norm

from analytics.ageing.families import FAMILIES
from analytics.ageing.posterior import prior_of
from analytics.ageing.prior import (
    at_quoted_age,
    from_quoted_age,
    log_prior,
    prior_rows,
)
from analytics.records.kinds import KINDS, Prior

Floats = npt.NDArray[np.float64]

both = pytest.mark.parametrize("name", ["weibull", "lognormal"])
PRIOR = KINDS["bellows"].prior


NOTHING_KNOWN = Prior(shape=3.0, shape_factor=4.0, at=8.0, worn_out=(0.002, 0.80))
"""Stated as wide as the doubt that every belief carries."""


def shape_and_share(name: str, prior: Prior) -> tuple[Floats, Floats, Floats]:
    """Draws of the shape as a Weibull's, the share worn out by the quoted age, the early share."""
    family = FAMILIES[name]
    rows = prior_rows(family, prior, True, 200_000, np.random.default_rng(1))
    worn = -np.expm1(-family.cumulative_hazard(np.array(prior.at), rows[:, 0], rows[:, 1]))
    return np.exp(rows[:, 0]) / family.shape_unit, worn, expit(rows[:, 2])


@both
def test_what_is_stated_of_a_kind_nobody_knows_is_what_is_drawn(name: str) -> None:
    shape, worn, early = shape_and_share(name, NOTHING_KNOWN)
    points = (0.05, 0.5, 0.95)
    assert np.quantile(shape, points) == pytest.approx([0.75, 3.0, 12.0], rel=0.02)
    assert np.quantile(worn, points[::2]) == pytest.approx([0.002, 0.80], rel=0.05)
    assert np.quantile(early, points[::2]) == pytest.approx(NOTHING_KNOWN.early, rel=0.02)


@both
def test_a_fifth_of_a_belief_doubts_it(name: str) -> None:
    shape, worn, early = shape_and_share(name, PRIOR)
    assert np.median(shape) == pytest.approx(4.0, rel=0.01)
    # Of the belief itself nine tenths lie within the stated range; of the doubt, what a normal of
    # its own 90 % range puts there.
    wide = np.log(4.0) / norm.ppf(0.95)
    doubtful = 2 * norm.cdf(np.log(1.6) / wide) - 1
    inside = (shape > 4.0 / 1.6) & (shape < 4.0 * 1.6)
    assert inside.mean() == pytest.approx(0.8 * 0.9 + 0.2 * doubtful, abs=0.004)
    low, high = logit(PRIOR.worn_out)
    wide = (logit(0.80) - logit(0.002)) / (2 * norm.ppf(0.95))
    doubtful = 2 * norm.cdf((high - low) / 2 / wide) - 1
    inside = (worn > PRIOR.worn_out[0]) & (worn < PRIOR.worn_out[1])
    assert inside.mean() == pytest.approx(0.8 * 0.9 + 0.2 * doubtful, abs=0.004)
    # Bad fits are counted, not extrapolated: that belief is as stated.
    assert np.quantile(early, (0.05, 0.95)) == pytest.approx(PRIOR.early, rel=0.02)


@both
@pytest.mark.parametrize("kind", ["bellows", "face_seal"])
def test_the_density_is_that_of_the_draws(name: str, kind: str) -> None:
    # For any density q, the mean of q / p over draws from p is 1 (importance sampling). The density
    # leaves out the constants of its two normals: 2 pi.
    family, prior = FAMILIES[name], KINDS[kind].prior
    rows = prior_rows(family, prior, False, 200_000, np.random.default_rng(2))
    log_p = log_prior(family, prior, rows) - np.log(2 * np.pi)
    for shape, share in ((prior.shape, 0.2), (prior.shape * 1.4, 0.1), (prior.shape / 1.4, 0.5)):
        at = np.log([shape * family.shape_unit])
        unit = family.age_at(-np.log1p(-np.array([share])), at, np.zeros(1))
        middle = [at[0], np.log(prior.at) - np.log(unit[0])]
        q = norm.pdf(rows, middle, [0.15, 0.15]).prod(axis=1)
        ratio = q * np.exp(-log_p)
        error = ratio.std() / np.sqrt(len(rows))
        assert error < 0.02
        assert ratio.mean() == pytest.approx(1.0, abs=4 * error)


def test_records_that_contradict_a_belief_are_not_met_halfway() -> None:
    # A normal belief of the stated range would think a shape of 1.0 e**-12 times as likely as 4.0.
    rows = np.log([[4.0, 12.0], [1.0, 12.0]])
    family, at = FAMILIES["weibull"], np.array(PRIOR.at)
    # At the same share worn out, and without the Jacobian, the densities differ by the shape alone.
    share = family.cumulative_hazard(at, rows[0, 0], rows[0, 1])
    rows[1, 1] = np.log(PRIOR.at) - np.log(family.age_at(share, rows[1, 0], np.zeros(())))
    found = log_prior(family, PRIOR, rows) - rows[:, 0]
    normal = -0.5 * (np.log(4.0) / (np.log(1.6) / norm.ppf(0.95))) ** 2
    assert normal < -11
    assert -5.5 < found[1] - found[0] < -3.5


def test_a_belief_stated_wider_than_the_doubt_is_as_stated() -> None:
    wide = Prior(shape=3.0, shape_factor=5.0, at=5.0, worn_out=(0.0005, 0.95))
    shape, worn, _ = shape_and_share("weibull", wide)
    assert np.quantile(shape, (0.05, 0.95)) == pytest.approx([0.6, 15.0], rel=0.03)
    assert np.quantile(worn, (0.05, 0.95)) == pytest.approx([0.0005, 0.95], rel=0.06)


@both
def test_the_widest_belief_stays_within_what_numbers_hold(name: str) -> None:
    family, wide = FAMILIES[name], Prior(3.0, 16.0**2, 8.0, (1e-6, 1 - 1e-6))
    rows = prior_rows(family, wide, False, 20_000, np.random.default_rng(5))
    shape = np.exp(rows[:, 0]) / family.shape_unit
    assert 0.1 <= shape.min() < 0.12
    assert 90 < shape.max() <= 100
    assert np.isfinite(family.age_at(np.full(20_000, 1e-3), rows[:, 0], rows[:, 1])).all()
    assert np.isfinite(log_prior(family, wide, rows)).all()
    rows[:, 0] = np.log(101.0 * family.shape_unit)
    assert np.isneginf(log_prior(family, wide, rows)).all()


def test_rows_at_the_quoted_age_come_back_and_their_density_is_divided_by_the_shape() -> None:
    family = FAMILIES["weibull"]
    rows = prior_rows(family, PRIOR, True, 50, np.random.default_rng(4))
    there = at_quoted_age(PRIOR, rows)
    np.testing.assert_allclose(from_quoted_age(PRIOR, there), rows, atol=1e-9)
    # z is the log of a Weibull's cumulative hazard at the quoted age.
    total = family.cumulative_hazard(np.array(PRIOR.at), rows[:, 0], rows[:, 1])
    np.testing.assert_allclose(there[:, 1], np.log(total), atol=1e-9)
    moved = there + np.array([0.0, 1e-6, 0.0])
    slope = (rows - from_quoted_age(PRIOR, moved))[:, 1] / 1e-6
    np.testing.assert_allclose(slope, np.exp(-rows[:, 0]), rtol=1e-4)


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
