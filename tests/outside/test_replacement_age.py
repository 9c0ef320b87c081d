"""Age replacement against published and independently computed optima."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar
from scipy.special import gamma

from analytics.ageing.posterior import point
from analytics.decisions.replacement_age import Costs, cost_per_year
from analytics.records.kinds import KINDS

KIND = replace(KINDS["bellows"], causes=("wear_out",), family="weibull")


def _best(shape: float, scale: float, costs: Costs) -> tuple[float, float]:
    posterior = point(KIND, np.log(shape), np.log(scale))

    def cost(age: float) -> float:
        return float(cost_per_year(posterior, costs, np.linspace(age / 20, age, 20))[0, -1])

    found = minimize_scalar(
        cost, bounds=(0.05 * scale, 2 * scale), method="bounded", options={"xatol": 1e-9 * scale}
    )
    return float(found.x), float(found.fun)


def test_the_example_of_a_reliability_library() -> None:
    # Weibull of shape 2.5 and scale 1,000; planned 1, failed 5. The documentation of the Python
    # package `reliability` prints an optimum of 493.19 and a cost of .0035 (its own approximation);
    # the root to nine digits was computed apart from it.
    age, cost = _best(2.5, 1000.0, Costs(1.0, 5.0))
    assert age == pytest.approx(493.0470, rel=1e-6)
    assert cost == pytest.approx(0.003462043, rel=1e-6)
    assert age == pytest.approx(493.19, rel=1e-3)
    assert round(cost, 4) == 0.0035


def test_running_to_failure_costs_the_failure_over_the_mean_life() -> None:
    # Mean life of a Weibull: scale * gamma(1 + 1 / shape).
    posterior = point(KIND, np.log(2.5), np.log(1000.0))
    cost = cost_per_year(posterior, Costs(1.0, 5.0), np.linspace(50.0, 10_000.0, 200))[0, -1]
    assert cost == pytest.approx(0.0056353, abs=5e-8)
    assert cost == pytest.approx(5.0 / (1000.0 * gamma(1.4)), rel=1e-9)


@pytest.mark.parametrize(
    ("shape", "ratio", "age"),
    [(2.0, 5.0, 0.576213), (2.0, 10.0, 0.379645), (3.0, 10.0, 0.428291)],
)
def test_optima_at_a_mean_life_of_one(shape: float, ratio: float, age: float) -> None:
    # No published number: computed by a root finder in another program.
    scale = 1.0 / gamma(1.0 + 1.0 / shape)
    assert _best(shape, scale, Costs(1.0, ratio))[0] == pytest.approx(age, abs=2e-6)


def test_any_age_against_adaptive_quadrature() -> None:
    posterior = point(KIND, np.log(1.7), np.log(9.0))
    ages = np.arange(1.0, 26.0)
    ours = cost_per_year(posterior, Costs(300.0, 2100.0), ages)[0]
    for age, cost in zip(ages, ours, strict=True):
        watched = quad(lambda t: np.exp(-((t / 9.0) ** 1.7)), 0.0, age, epsabs=1e-12)[0]
        lasting = np.exp(-((age / 9.0) ** 1.7))
        expected = (300.0 * lasting + 2100.0 * (1 - lasting)) / watched
        assert cost == pytest.approx(expected, rel=1e-9)
