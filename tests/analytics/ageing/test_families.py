"""Wear-out families against scipy's distributions and against their own calculus."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm, rv_continuous, weibull_min

from analytics.ageing.families import FAMILIES, Averaged, Family

SHAPES = st.floats(0.2, 12.0)
SCALES = st.floats(0.01, 1e5)
SHARES = st.floats(1e-6, 0.999999)

both = pytest.mark.parametrize("name", ["weibull", "lognormal"])


def reference(name: str, shape: float, scale: float) -> rv_continuous:
    return weibull_min(shape, scale=scale) if name == "weibull" else lognorm(1 / shape, scale=scale)


def terms(shape: float, scale: float) -> tuple[np.ndarray, np.ndarray]:
    return np.array(np.log(shape)), np.array(np.log(scale))


@both
@given(shape=SHAPES, scale=SCALES, share=SHARES)
def test_survival_and_hazard_are_those_of_the_distribution(
    name: str, shape: float, scale: float, share: float
) -> None:
    family, theirs = FAMILIES[name], reference(name, shape, scale)
    age = np.array(theirs.ppf(share))
    cumulative = family.cumulative_hazard(age, *terms(shape, scale))
    log_hazard = family.log_hazard(age, *terms(shape, scale))
    np.testing.assert_allclose(cumulative, -theirs.logsf(age), rtol=1e-8)
    np.testing.assert_allclose(
        log_hazard, theirs.logpdf(age) - theirs.logsf(age), rtol=1e-7, atol=1e-7
    )


@both
@given(shape=SHAPES, scale=SCALES, cumulative=st.floats(1e-9, 50.0))
def test_the_age_of_a_cumulative_hazard_has_that_hazard(
    name: str, shape: float, scale: float, cumulative: float
) -> None:
    family = FAMILIES[name]
    age = family.age_at(np.array(cumulative), *terms(shape, scale))
    back = family.cumulative_hazard(age, *terms(shape, scale))
    np.testing.assert_allclose(back, cumulative, rtol=1e-6)


@both
@given(shape=SHAPES, scale=SCALES, share=st.floats(1e-3, 0.999))
def test_the_hazard_is_the_slope_of_the_cumulative_hazard(
    name: str, shape: float, scale: float, share: float
) -> None:
    family = FAMILIES[name]
    age = family.age_at(np.array(-np.log1p(-share)), *terms(shape, scale))
    step = age * 1e-5
    above = family.cumulative_hazard(age + step, *terms(shape, scale))
    below = family.cumulative_hazard(age - step, *terms(shape, scale))
    slope = np.exp(family.log_hazard(age, *terms(shape, scale)))
    np.testing.assert_allclose((above - below) / (2 * step), slope, rtol=1e-4)


@both
def test_a_new_part_has_not_aged(name: str) -> None:
    family, new = FAMILIES[name], np.zeros(3)
    for shape in (0.5, 1.0, 3.0):
        assert family.cumulative_hazard(new, *terms(shape, 9.0)).tolist() == [0.0] * 3
        assert family.age_at(new, *terms(shape, 9.0)).tolist() == [0.0] * 3


def test_hazard_of_a_new_part() -> None:
    # Weibull: infinite below shape 1, 1 / scale at it, 0 above; lognormal: always 0.
    at_new = [float(FAMILIES["weibull"].log_hazard(np.zeros(1), *terms(k, 8.0))[0])
              for k in (0.5, 1.0, 2.0)]  # fmt: skip
    assert at_new == [np.inf, pytest.approx(-np.log(8.0)), -np.inf]
    assert FAMILIES["lognormal"].log_hazard(np.zeros(1), *terms(0.5, 8.0))[0] == -np.inf


@both
@pytest.mark.parametrize("shape", [0.02, 40.0])
@pytest.mark.parametrize("age", [1e-12, 1e-3, 1.0, 1e6, 1e12])
def test_far_out_the_numbers_stay_numbers(name: str, shape: float, age: float) -> None:
    family: Family = FAMILIES[name]
    cumulative = family.cumulative_hazard(np.array(age), *terms(shape, 10.0))
    assert not np.isnan(cumulative)
    assert cumulative >= 0
    assert not np.isnan(family.log_hazard(np.array(age), *terms(shape, 10.0)))


@both
def test_shapes_of_both_families_spread_log_life_alike(name: str) -> None:
    # shape_unit: a lognormal of this shape has the standard deviation of log life of Weibull 1.
    family = FAMILIES[name]
    for shape in (1.0, 2.5):
        rng = np.random.default_rng(4)
        hazard = rng.standard_exponential(200_000)
        age = family.age_at(hazard, np.log(shape * family.shape_unit), np.array(0.0))
        assert np.log(age).std() == pytest.approx(np.pi / np.sqrt(6) / shape, rel=0.01)


@pytest.mark.parametrize("name", ["weibull", "lognormal"])
def test_the_density_of_z_is_that_of_the_log_of_a_life_of_scale_and_shape_1(name: str) -> None:
    z = np.linspace(-6.0, 3.0, 19)
    theirs = reference(name, 1.0, 1.0).logpdf(np.exp(z)) + z
    np.testing.assert_allclose(FAMILIES[name].log_density(z), theirs, rtol=1e-12, atol=1e-12)


def test_the_density_of_draws_of_several_families_adds_up_to_one() -> None:
    z = np.linspace(-40.0, 20.0, 60_001)
    found = Averaged(np.array([0, 1])).log_density(np.stack([z, z]))
    np.testing.assert_allclose(np.trapezoid(np.exp(found), z, axis=1), 1.0, rtol=1e-6)
