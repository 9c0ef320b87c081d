"""Curves over age: means and bands of the draws, and the age by which a share has failed."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import cumulative_trapezoid
from scipy.optimize import brentq

from analytics.ageing.curves import (
    CURVES_COLUMNS,
    ages_to_draw,
    curves_table,
    life_at,
    survival_and_hazard,
)
from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import (
    Posterior,
    point,
    prior_of,
)
from analytics.job import how_it_ages
from analytics.records.kinds import KINDS
from tests.analytics.ageing.folders import fleet_of


def with_early(shape: float, scale: float, early: float, kind: str = "bellows") -> Posterior:
    alone = point(KINDS[kind], np.log(shape), np.log(scale))
    theta = Parameters(alone.parameters.log_shape, alone.parameters.log_scale, np.array([early]))
    return replace(alone, parameters=theta)


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5, 0.9])
@pytest.mark.parametrize("early", [0.0, 0.04, 0.2])
@pytest.mark.parametrize(
    ("kind", "scale", "units"), [("bellows", 14.0, 1.0), ("face_seal", 6000.0, 350.0)]
)
def test_the_age_by_which_a_share_has_failed(
    kind: str, scale: float, units: float, early: float, share: float
) -> None:
    posterior = with_early(3.0, scale, early, kind)

    def failed(age: float) -> float:
        bad = early * min(age / units / posterior.early_years, 1.0)
        return 1 - (1 - bad) * np.exp(-((age / scale) ** 3.0)) - share

    exact = brentq(failed, 0.0, 10 * scale, xtol=1e-10)
    assert life_at(posterior, units, share)[0] == pytest.approx(exact, rel=1e-6)


def test_survival_and_hazard_of_one_curve() -> None:
    fleet = fleet_of(["A,single,bellows,,,2010-05-01", "B,single,bellows,,,2012-05-01"])
    ageing = how_it_ages(fleet)["bellows", "all"]
    posterior = with_early(3.0, 12.0, 0.05)
    ages = np.linspace(0.0, 15.0, 15_001)
    curve = survival_and_hazard(ageing, posterior, ages)
    bad = 0.05 * np.minimum(ages / posterior.early_years, 1.0)
    np.testing.assert_allclose(
        curve["survival"], (1 - bad) * np.exp(-((ages / 12) ** 3)), rtol=1e-9
    )
    # The survival is that of its hazard: S = exp(-integral of h).
    hazard = np.concatenate([[0.0], cumulative_trapezoid(curve["hazard"], ages)])
    np.testing.assert_allclose(np.exp(-hazard), curve["survival"], rtol=1e-3)
    np.testing.assert_allclose(
        curve["hazard"], curve["hazard_wear_out"] + curve["hazard_early"], rtol=1e-12
    )


def test_the_band_holds_nine_tenths_of_the_draws() -> None:
    fleet = fleet_of(["A,single,bellows,,,2010-05-01", "B,single,bellows,,,2012-05-01"])
    ageing = how_it_ages(fleet)["bellows", "all"]
    prior = prior_of(replace(KINDS["bellows"], family="weibull"), np.random.default_rng(1))
    curve = survival_and_hazard(ageing, prior, np.array([8.0]))
    worn = np.exp(
        -((8.0 / np.exp(prior.parameters.log_scale)) ** np.exp(prior.parameters.log_shape))
    )
    draws = worn * (1 - prior.parameters.early)
    assert curve["survival_low"][0] == pytest.approx(np.quantile(draws, 0.05))
    assert curve["survival_high"][0] == pytest.approx(np.quantile(draws, 0.95))
    assert curve["survival"][0] == pytest.approx(draws.mean())


def test_the_line_of_the_rate_lies_in_its_range() -> None:
    fleet = fleet_of(["A,single,bellows,,,2010-05-01", "B,single,bellows,,,2012-05-01"])
    ageing = how_it_ages(fleet)["bellows", "all"]
    # One draw in a hundred with a rate a thousand times as high lifts a mean out of the range.
    alone = point(KINDS["bellows"], 0.0, np.log(10.0))
    scale = np.full(100, np.log(10.0))
    scale[0] = np.log(0.01)
    theta = Parameters(np.zeros(100), scale, np.zeros(100))
    curve = survival_and_hazard(ageing, replace(alone, parameters=theta), np.array([4.0, 5.0]))
    assert curve["hazard"].tolist() == pytest.approx([0.1, 0.1])
    assert (curve["hazard"] <= curve["hazard_high"]).all()


@pytest.fixture(scope="module")
def fitted() -> dict[tuple[str, str], Ageing]:
    rows = [
        f"B{n:02d},single,bellows,,,{2006 + n % 5}-05-01,{2013 + n % 4}-0{1 + n % 9}-10,"
        + ("failed,afloat" if n % 3 == 0 else "replaced_sound")
        for n in range(30)
    ]
    return dict(how_it_ages(fleet_of([*rows, "Z,single,bellows,,,2015-01-01"])))


def test_the_table_of_curves(fitted: dict[tuple[str, str], Ageing]) -> None:
    table = curves_table(fitted)
    ageing = fitted["bellows", "all"]
    assert list(table.columns[: len(CURVES_COLUMNS)]) == CURVES_COLUMNS
    np.testing.assert_allclose(table["age"], ages_to_draw(ageing))
    for name in ("survival", "hazard"):
        assert (table[f"{name}_low"] <= table[name]).all()
        assert (table[name] <= table[f"{name}_high"]).all()
    assert (table["past_oldest"] == (table["age"] > ageing.oldest)).all()
    # Beyond the last life the step curve says nothing.
    assert table.loc[table["past_oldest"], "km"].isna().all()
    assert table.loc[table["past_oldest"], "at_risk"].eq(0).all()
    assert table["km"].dropna().is_monotonic_decreasing


def test_step_and_fitted_curve_lie_together(fitted: dict[tuple[str, str], Ageing]) -> None:
    table = curves_table(fitted).dropna(subset="km")
    inside = (table["km"] > table["survival_low"] - 0.12) & (
        table["km"] < table["survival_high"] + 0.12
    )
    assert inside.mean() > 0.9


def test_life_of_averaged_draws_is_that_of_each_draws_own_family() -> None:
    prior = prior_of(KINDS["bellows"], np.random.default_rng(2))
    codes = prior.parameters.codes
    assert codes is not None
    lives = life_at(prior, 1.0)
    for code, name in enumerate(("weibull", "lognormal")):
        rows = np.flatnonzero(codes == code)
        alone = prior.of_draws(rows).in_own_terms(name)
        np.testing.assert_allclose(lives[rows], life_at(alone, 1.0), rtol=1e-9)
