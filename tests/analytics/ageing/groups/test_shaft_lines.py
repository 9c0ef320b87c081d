"""Draws of the effects of shaft lines against the density that they are drawn from."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import cumulative_trapezoid
from scipy.special import logsumexp
from scipy.stats import norm

from analytics.ageing.families import FAMILIES
from analytics.ageing.groups.fields import groups_of
from analytics.ageing.groups.group_draws import mode_of, recentred, weighed_rows
from analytics.ageing.groups.group_posterior import by_unit, grouped_lives
from analytics.ageing.groups.grouped_lives import GroupedLives
from analytics.ageing.groups.shaft_lines import FIVE, effects_of_lines
from analytics.ageing.importance import effective_draws
from analytics.ageing.likelihood import Parameters, per_life
from analytics.ageing.tails import pareto_k
from tests.analytics.ageing.groups.grouped_fleet import WORN, table_of, worn_lives

Floats = npt.NDArray[np.float64]


def test_the_points_integrate_what_a_normal_curve_weighs() -> None:
    # The fourth moment of a standard normal is 3; five points are right to the ninth.
    weight = np.exp(FIVE.log_weight)
    assert weight.sum() == pytest.approx(1.0)
    assert weight @ FIVE.away**4 == pytest.approx(3.0)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_effects_have_the_quantiles_of_their_density(family: str) -> None:
    line = np.arange(40) % 10
    nodes, failed = worn_lives(
        np.where(line < 3, -0.5, 0.0), np.random.default_rng(4), watched=(1.0, 7.0)
    )
    kind = replace(WORN, family="weibull" if family == "weibull" else "lognormal")
    groups = groups_of(table_of(failed, boat=[f"B{i}" for i in line]))
    lives = grouped_lives(kind, nodes, groups)
    mode = mode_of(lives)
    assert mode.lines is not None
    # A row off the one that the points were set by, drawn so often that a twentieth is known to
    # 0.0035; the polynomial between the points adds what five points leave out.
    row = mode.row.copy()
    row[0], spread = row[0] + 0.1, 0.25
    row[lives.n_curve] = spread
    n = 4000
    drawn = effects_of_lines(lives, np.tile(row, (n, 1)), mode.lines, np.random.default_rng(1))
    grid = np.linspace(-1.5, 1.5, 1501)
    theta = Parameters.from_rows(np.tile(row[:2], (len(grid), 1)))
    likely = per_life(FAMILIES[family], theta, nodes, 0.25, np.repeat(grid[:, None], 40, axis=1))
    for number in range(10):
        density = np.exp(likely[:, line == number].sum(axis=1)) * norm(0, spread).pdf(grid)
        below = cumulative_trapezoid(density, grid, initial=0.0)
        share = np.interp(np.quantile(drawn[:, number], (0.05, 0.5, 0.95)), grid, below / below[-1])
        assert (np.abs(share - (0.05, 0.5, 0.95)) < (0.016, 0.03, 0.016)).all()


def forty_lines(family: str, seed: int, base_without_failures: bool = False) -> GroupedLives:
    """Lines of six lives each that differ widely, in four bases."""
    rng = np.random.default_rng(seed)
    base, line = rng.integers(0, 4, 40), np.arange(240) % 40
    factor = (rng.normal(0.0, 0.5, 40) + np.array([0.0, 0.2, -0.2, -0.4])[base])[line]
    if base_without_failures:
        factor = factor + np.where(base == 1, 3.0, 0.0)[line]
    nodes, failed = worn_lives(factor, rng)
    columns = {"boat": [f"B{i:02d}" for i in line], "base": [f"base {base[i]}" for i in line]}
    kind = replace(WORN, family="weibull" if family == "weibull" else "lognormal")
    return grouped_lives(kind, nodes, groups_of(table_of(failed, **columns)))


def by_grid(lives: GroupedLives, row: Floats) -> Floats:
    """Log-likelihood of each line, its effect integrated out on a fine grid."""
    assert lives.groups.places is not None
    spread = float(lives.spread_of_places(row[None, :])[0, 0])
    grid = np.linspace(-15 * spread, 15 * spread, 4001)
    theta = Parameters.from_rows(np.tile(row[: lives.n_curve], (len(grid), 1)))
    with np.errstate(over="ignore", invalid="ignore"):
        values = per_life(
            lives.family, theta, lives.nodes, 0.25, grid[:, None] + lives.shift(row[None, :])
        )
    values = np.where(np.isnan(values), -np.inf, values)
    codes = lives.groups.places.codes
    by_line = np.array([values[:, codes == line].sum(axis=1) for line in range(codes.max() + 1)])
    return np.asarray(
        logsumexp(by_line + norm(0, spread).logpdf(grid), axis=1) + np.log(grid[1] - grid[0])
    )


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_lines_far_from_the_mode_are_integrated_as_on_a_fine_grid(family: str) -> None:
    lives = forty_lines(family, 1)
    mode = mode_of(lives)
    at, spread = mode.row, lives.n_curve
    rows = np.tile(at, (11, 1))
    rows[0:4, 1] += (-0.5, -0.25, 0.25, 0.5)
    rows[4:6, 0] += (-0.5, 0.3)
    rows[6:8, spread] *= (0.3, 2.0)
    rows[8, lives.n_own : lives.n_own + 2] += 0.4
    rows[9, :2] += (0.3, -0.3)
    rows[10, :2] += (-0.3, 0.3)
    found = by_unit(lives, rows, mode.lines)
    exact = np.array([by_grid(lives, row) for row in rows])
    # Five points; an error too large, rather than small, would give a row all the weight.
    assert (found - exact).max() < 0.01
    np.testing.assert_allclose(found, exact, atol=0.06)


def test_lines_that_say_nothing_go_with_their_groups() -> None:
    # Where all lives of a base are young and sound the curve of a line has no bend to go by.
    lives = forty_lines("weibull", 3, base_without_failures=True)
    mode = mode_of(lives)
    assert mode.lines is not None
    assert ((mode.lines.shared >= 0) & (mode.lines.shared <= 1)).all()
    rows = np.tile(mode.row, (2, 1))
    rows[0, lives.n_own : lives.n_own + 4] += (0.3, 1.0, -0.2, 0.3)
    rows[1, lives.n_own : lives.n_own + 4] -= 0.3
    found = by_unit(lives, rows, mode.lines)
    np.testing.assert_allclose(found, [by_grid(lives, row) for row in rows], atol=0.05)


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_no_few_rows_take_all_the_weight(family: str, seed: int) -> None:
    lives, rng = forty_lines(family, seed), np.random.default_rng(0)
    mode = mode_of(lives)
    mode = recentred(lives, mode, weighed_rows(lives, mode, 150, rng))
    found = weighed_rows(lives, mode, 400, rng)
    assert effective_draws(found.log_weight) > 80
    assert pareto_k(found.log_weight) < 0.7
