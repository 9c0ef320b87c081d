"""The effects of shaft lines, integrated out one by one and drawn.

Shaft lines are many, with few lives each. Given everything else their effects
are independent, so each is integrated out on its own by Gauss-Hermite points
about where the records put it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import EXACT
from analytics.ageing.groups.grouped_lives import GroupedLives
from analytics.ageing.likelihood import (
    Parameters,
    early_cumulative_hazard,
    lives_of,
    per_life,
)

Floats = npt.NDArray[np.float64]

CELLS_AT_ONCE = 100_000
"""Rows times nodes computed in one go: what fits in a processor's own memory goes fastest."""

_LEAST_AGE = 1e-300

_POINTS, _WEIGHTS = np.polynomial.hermite.hermgauss(5)
AWAY = np.sqrt(2.0) * _POINTS
"""Points of the integral over the effect of a line, in widths from its middle."""

# The weights of the points are for exp(-x^2), and what is summed is over that curve already.
_LOG_WEIGHT = np.log(_WEIGHTS / np.sqrt(np.pi)) + _POINTS**2 - 0.5 * AWAY**2


@dataclass(frozen=True)
class Lines:
    """Where the effect of each shaft line lies, near a row of parameters.

    As a function of its effect u the log-likelihood of a line is taken as
    c - D k u - A exp(-k u) with k the shape, as it is for Weibull lives of known
    fitting; this only says where the points of the integral are put.

    Attributes
    ----------
    row : ndarray, shape (n_columns,)
        The row.
    effect : ndarray, shape (n_places,)
        The likeliest effect of each line there.
    slope, curvature : ndarray, shape (n_places,)
        Of the log-likelihood in the line's effect, at that effect.
    lean : ndarray, shape (n_places, n_columns)
        How much the slope falls as each column rises.
    """

    row: Floats
    effect: Floats
    slope: Floats
    curvature: Floats
    lean: Floats

    def about(self, rows: Floats, spread: Floats) -> tuple[Floats, Floats]:
        """Middle and width of the effect of each line, each of shape (n, n_places)."""
        k, tight = np.exp(rows[:, :1]), spread**-2
        slope = self.slope - (rows - self.row) @ self.lean.T
        bend = self.curvature / k**2
        away = np.clip(self.effect, -2 * spread, 2 * spread) - self.effect
        pull = bend * np.exp(-k * away)
        for _ in range(4):
            uphill = slope + k * (pull - bend) - (self.effect + away) * tight
            step = uphill / (pull * k**2 + tight)
            away = away + np.clip(step, -1.0 / k, 1.0 / k)
            pull = bend * np.exp(-k * away)
        hold = pull * k**2 + tight
        # The middle of a skewed curve is off its top: half the way by its third derivative, which
        # served the integral best over a range of spreads.
        middle = self.effect + away + 0.25 * pull * k**3 / hold**2
        return np.clip(middle, -4 * spread, 4 * spread), hold**-0.5


def lines_at(lives: GroupedLives, row: Floats) -> Lines:
    """Where the effects of the lines lie at a row: Newton steps on all of them at once."""
    assert lives.groups.places is not None  # asked only where places are looked at
    tight = float(lives.spread_of_places(row[None, :])[0, 0] ** -2)
    effect = np.zeros(len(lives.groups.places.levels))
    reach = 1.5 / np.exp(row[0])
    count = lives.nodes.count
    for _ in range(4):
        found = lives.slopes(row[None, :], effect[None, :], every=False)
        slope = lives.by_lines(found.by_scale[0] * count)
        # A line whose likelihood bends upwards, as one of unknown fitting can, counts as flat.
        curvature = np.maximum(-lives.by_lines(found.curvature[0] * count), 0.0)
        effect = effect + np.clip((slope - effect * tight) / (curvature + tight), -reach, reach)
    small, curve = 1e-5, lives.n_curve
    moves = np.zeros((curve + 1, len(row)))
    moves[1:, :curve] = np.eye(curve) * small
    found = lives.slopes(row + moves, np.repeat(effect[None, :], len(moves), axis=0), every=False)
    slopes = lives.by_lines(found.by_scale * count)
    by_life = -found.curvature[0] * count
    curvature = np.maximum(lives.by_lines(by_life), 0.0)
    lean = np.zeros((len(effect), len(row)))
    for i in range(curve):
        lean[:, i] = -(slopes[i + 1] - slopes[0]) / small
    lean[:, lives.n_own :] = lives.by_lines(by_life * lives.members.T).T
    return Lines(row, effect, slopes[0], curvature, lean)


def log_likelihood_of_lines(lives: GroupedLives, rows: Floats, effects: Floats) -> Floats:
    """Log-likelihood of the lives of each line at some effects of its own.

    Parameters
    ----------
    rows : ndarray, shape (n, n_columns)
    effects : ndarray, shape (n_points, n, n_places)

    Returns
    -------
    ndarray, shape (n_points, n, n_places)
    """
    total = np.zeros(effects.shape)
    shift = lives.shift(rows)
    plain, others = lives.plain, ~lives.plain
    if plain.any():
        # The effect u of a line divides every cumulative hazard of Weibull lives by exp(k u).
        value, failed, spent = _plain_lives(lives, rows, shift[:, plain])
        at, sums = lives.sums_of(plain)
        k = np.exp(rows[:, :1])
        value, failed, spent = sums(value), sums(failed[None, :]), sums(spent)
        u = effects if len(at) == effects.shape[2] else effects[..., at]
        found = value - failed * k * u - spent * np.expm1(-k * u)
        if len(at) == effects.shape[2]:
            total += found
        else:
            total[..., at] += found
    if others.any():
        nodes, theta = lives_of(lives.nodes, others), Parameters.from_rows(rows[:, : lives.n_curve])
        assert lives.groups.places is not None  # asked only where places are looked at
        codes = lives.groups.places.codes[others]
        at, sums = lives.sums_of(others)
        for number, effect in enumerate(effects):
            of_lives = shift[:, others] + effect.take(codes, axis=1)
            found = per_life(lives.family, theta, nodes, lives.early_years, of_lives)
            total[number][:, at] += sums(found * nodes.count)
    return total


def _plain_lives(lives: GroupedLives, rows: Floats, shift: Floats) -> tuple[Floats, Floats, Floats]:
    """Log-likelihood of plain lives, which of them failed, and what they spent of their hazard."""
    nodes = lives_of(lives.nodes, lives.plain)
    count, theta = nodes.count, Parameters.from_rows(rows[:, : lives.n_curve])
    failed = nodes.outcome == EXACT
    exit = np.where(failed, nodes.upper, nodes.lower)
    years = np.where(failed, nodes.upper_years, nodes.lower_years)
    k, scale = np.exp(rows[:, :1]), rows[:, 1:2] + shift
    log_exit = np.log(np.maximum(exit, _LEAST_AGE))
    with np.errstate(over="ignore"):
        log_spent = k * (log_exit - scale)
        spent = np.exp(log_spent)
        late = nodes.entry > 0
        if late.any():
            spent[:, late] -= np.exp(k * (np.log(nodes.entry[late]) - scale[:, late]))
    value = failed * (rows[:, :1] + log_spent - log_exit) - spent
    if theta.early.any():
        share = theta.early[:, None]
        value -= early_cumulative_hazard(years, share, lives.early_years)
        value += early_cumulative_hazard(nodes.entry_years, share, lives.early_years)
    return value * count, failed * count, spent * count


def at_points(lives: GroupedLives, rows: Floats, lines: Lines) -> tuple[Floats, Floats, Floats]:
    """Log density of the effect of each line over a normal one, at each of the points `AWAY`.

    Returns
    -------
    ratio : ndarray, shape (n_points, n, n_places)
        Likelihood times prior, over a standard normal curve (without its constant)
        in widths from the middle, times the width.
    middle, width : ndarray, shape (n, n_places)
    """
    spread = lives.spread_of_places(rows)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        middle, width = lines.about(rows, spread)
        effects = middle + width * AWAY[:, None, None]
        ratio = log_likelihood_of_lines(lives, rows, effects)
        ratio += 0.5 * AWAY[:, None, None] ** 2 - 0.5 * (effects / spread) ** 2
        ratio += np.log(width / spread)
    return np.where(ratio < np.inf, ratio, -np.inf), middle, width


def weighed_points(ratio: Floats) -> Floats:
    """Logarithm of what each point adds to the integral over the effect of a line."""
    return np.asarray(ratio + _LOG_WEIGHT[:, None, None])


def log_integral(ratio: Floats) -> Floats:
    """Log of the integral over the effect of each line, from `at_points`, shape (n, n_places)."""
    terms = weighed_points(ratio)
    top = terms.max(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(top + np.log(np.exp(terms - top).sum(axis=0)))


def effects_of_lines(
    lives: GroupedLives, rows: Floats, lines: Lines, rng: np.random.Generator
) -> Floats:
    """Draw the effect of each line given a row, shape (n, n_places).

    The density is known at the points; between them its logarithm over the normal
    curve is taken as the polynomial through them, and drawn from by its inverse
    distribution function on a grid.
    """
    grid = np.linspace(-3.6, 3.6, 16)
    # Polynomials run away outside the points that they go through.
    inside = np.clip(grid, AWAY[0], AWAY[-1])
    to_grid = np.vander(inside, len(AWAY)) @ np.linalg.inv(np.vander(AWAY, len(AWAY)))
    # A row that was drawn again has the same points.
    distinct, which = np.unique(rows, axis=0, return_inverse=True)
    which = which.ravel()
    ratio = np.empty((len(AWAY), len(distinct), len(lines.effect)))
    middle, width = np.empty(ratio.shape[1:]), np.empty(ratio.shape[1:])
    for part in parts_of(len(distinct), len(lives.nodes.life)):
        ratio[:, part], middle[part], width[part] = at_points(lives, distinct[part], lines)
    # A point so unlikely that it has no value any more is as unlikely as any.
    ratio = np.maximum(ratio - ratio.max(axis=0), -50.0)
    drawn = np.empty((len(rows), len(lines.effect)))
    for part in parts_of(len(rows), len(grid) * len(lines.effect)):
        log_density = np.tensordot(to_grid, ratio[:, which[part]], axes=1)
        log_density -= 0.5 * grid[:, None, None] ** 2
        density = np.exp(log_density - log_density.max(axis=0))
        total = np.cumsum((density[1:] + density[:-1]) / 2, axis=0)
        wanted = rng.random(total.shape[1:]) * total[-1]
        cell = (total < wanted).sum(axis=0)
        upper = np.take_along_axis(total, cell[None], axis=0)[0]
        lower = np.take_along_axis(total, np.maximum(cell - 1, 0)[None], axis=0)[0]
        lower = np.where(cell > 0, lower, 0.0)
        share = (wanted - lower) / np.maximum(upper - lower, 1e-300)
        at = grid[cell] + share * (grid[1] - grid[0])
        drawn[part] = middle[which[part]] + width[which[part]] * at
    return drawn


def parts_of(n: int, cells: int) -> list[slice]:
    """Some of n rows at a time, each of so many cells."""
    step = max(1, CELLS_AT_ONCE // max(1, cells))
    return [slice(at, at + step) for at in range(0, n, step)]
