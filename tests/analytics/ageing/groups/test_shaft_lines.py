"""Draws of the effects of shaft lines against the density that they are drawn from."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import cumulative_trapezoid
from scipy.stats import norm

from analytics.ageing.families import FAMILIES
from analytics.ageing.groups.fields import groups_of
from analytics.ageing.groups.group_draws import mode_of
from analytics.ageing.groups.group_posterior import grouped_lives
from analytics.ageing.groups.shaft_lines import FIVE, effects_of_lines
from analytics.ageing.likelihood import Parameters, per_life
from tests.analytics.ageing.groups.grouped_fleet import WORN, table_of, worn_lives


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
