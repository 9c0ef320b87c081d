"""The effects of shaft lines, integrated out one by one and drawn.

Shaft lines are many, with few lives each. Given everything else their effects
are independent, so each is integrated out on its own by Gauss-Hermite points
about where the records put it. Points that miss what they are to integrate can
make it out far too large; so they are moved until the integral that they give
has its own middle and width where they were put.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from analytics.ageing.groups.grouped_lives import GroupedLives
from analytics.ageing.groups.line_likelihood import Block, parts_of
from analytics.ageing.side_by_side import side_by_side

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Points:
    """Gauss-Hermite points of the integral over the effect of a line.

    Attributes
    ----------
    away : ndarray
        Where they lie, in widths from the middle.
    log_weight : ndarray
        For a function that holds the normal curve already, so that its terms are summed as
        they are.
    """

    away: Floats
    log_weight: Floats


def _points(n: int) -> Points:
    at, weight = np.polynomial.hermite.hermgauss(n)
    # Their own weights are for exp(-x^2); sqrt(2) x is in standard deviations.
    return Points(np.sqrt(2.0) * at, np.log(weight / np.sqrt(np.pi)))


FIVE = _points(5)

_OFF, _NARROW, _BROAD = 0.6, 0.5, 1.6
"""Mean and variance of the integral, in widths from the middle, beyond which points are moved."""

FEW_ROWS = 8
"""Rows up to which the lines are taken many at a time: each call costs more than what it does."""

_LEAST_SAY = 1e-6
_MOVES, _STRETCH = 4, (0.25, 4.0)
"""How often, and what variance is believed: all of it at one point is narrower than they are."""


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
        How much the slope falls as each column rises that bends the curve.
    shared : ndarray, shape (n_places, n_columns)
        How much each column adds to the log life of all parts of a line, at the mean
        of its parts: that is taken off its effect, however far the column moves.
    """

    row: Floats
    effect: Floats
    slope: Floats
    curvature: Floats
    lean: Floats
    shared: Floats

    def about(self, rows: Floats, spread: Floats, which: slice) -> tuple[Floats, Floats]:
        """Middle and width of the effect of some lines, each of shape (n_lines, n).

        Parameters
        ----------
        rows : ndarray, shape (n, n_columns)
        spread : ndarray, shape (n,)
            Of the effects of lines.
        """
        likeliest, pull, hold = self._likeliest(rows, spread, which)
        # The middle of a skewed curve is off its top: half the way by its third derivative, which
        # served the integral best over a range of spreads.
        middle = likeliest + 0.25 * pull * np.exp(3 * rows[:, 0]) / hold**2
        return np.clip(middle, -4 * spread, 4 * spread), hold**-0.5

    def likeliest(self, row: Floats, spread: Floats) -> Floats:
        """The likeliest effect of each line at another row."""
        return self._likeliest(row[None, :], spread, slice(None))[0][:, 0]

    def _likeliest(
        self, rows: Floats, spread: Floats, which: slice
    ) -> tuple[Floats, Floats, Floats]:
        """The top, with the curvature of likelihood (over the squared shape) and posterior."""
        k, tight = np.exp(rows[:, 0]), spread**-2
        moved = (rows - self.row).T
        effect = self.effect[which, None] - self.shared[which] @ moved
        slope = self.slope[which, None] - self.lean[which] @ moved
        bend = self.curvature[which, None] / k**2
        away = np.clip(effect, -2 * spread, 2 * spread) - effect
        for _ in range(3):
            pull = bend * np.exp(-k * away)
            uphill = slope + k * (pull - bend) - (effect + away) * tight
            uphill /= pull * k**2 + tight
            away += np.clip(uphill, -1.0 / k, 1.0 / k, out=uphill)
        pull = bend * np.exp(-k * away)
        return effect + away, pull, pull * k**2 + tight


def lines_at(lives: GroupedLives, row: Floats, near: Lines | None = None) -> Lines:
    """Where the effects of the lines lie at a row: Newton steps on all of them at once.

    Parameters
    ----------
    near : Lines, optional
        Where they lie at a row not far from this one.
    """
    assert lives.groups.places is not None  # asked only where places are looked at
    spread = lives.spread_of_places(row[None, :])[0]
    count = lives.nodes.count
    if near is not None:
        effect = near.likeliest(row, spread)
    else:
        effect, tight = np.zeros(len(lives.groups.places.levels)), float(spread[0]) ** -2
        reach = 1.5 / np.exp(row[0])
        for _ in range(4):
            found = lives.slopes(row[None, :], effect[None, :], every=False)
            slope = lives.by_lines(found.by_scale[0] * count)
            # A line whose likelihood bends upwards, as one of unknown fitting can, counts as flat.
            curvature = np.maximum(-lives.by_lines(found.curvature[0] * count), 0.0)
            uphill = (slope - effect * tight) / (curvature + tight)
            effect = effect + np.clip(uphill, -reach, reach)
    small, curve = 1e-5, lives.n_curve
    moves = np.zeros((curve + 1, len(row)))
    moves[1:, :curve] = np.eye(curve) * small
    found = lives.slopes(row + moves, np.repeat(effect[None, :], len(moves), axis=0), every=False)
    slopes = lives.by_lines(found.by_scale * count)
    by_life = -found.curvature[0] * count
    curvature = np.maximum(lives.by_lines(by_life), 0.0)
    lean, shared = np.zeros((2, len(effect), len(row)))
    for i in range(curve):
        lean[:, i] = -(slopes[i + 1] - slopes[0]) / small
    # The log scale is the same thing as the effect, and so are the groups of a line's parts.
    lean[:, 1], shared[:, 1] = 0.0, 1.0
    # Where its lives say nothing yet they all count the same.
    say = np.maximum(by_life, 0.0) + _LEAST_SAY
    shared[:, lives.n_own :] = (lives.by_lines(say * lives.members.T) / lives.by_lines(say)).T
    return Lines(row, effect, slopes[0], curvature, lean, shared)


def log_likelihood(
    lives: GroupedLives, rows: Floats, lines: Lines | None, by_line: Floats | None = None
) -> Floats:
    """Log-likelihood of rows with the effects of lines integrated out, shape (n,).

    Parameters
    ----------
    rows : ndarray, shape (n, n_columns)
    lines : Lines or None
        None where there are no effects of lines.
    by_line : ndarray, shape (n, n_places), optional
        Filled with the log-likelihood of each line.
    """

    def of(block: Block) -> list[tuple[slice, Floats]]:
        found = []
        for part in parts_of(len(rows), block):
            of_lines = _of_block(lives, rows[part], lines, block)
            if by_line is not None:
                by_line[part, block.lines] = of_lines.T
            found.append((part, of_lines.sum(axis=0)))
        return found

    total = np.zeros(len(rows))
    blocks = lives.blocks_for_few if len(rows) <= FEW_ROWS else lives.blocks
    for found in side_by_side(of, blocks):
        for part, summed in found:
            total[part] += summed
    return total


def _of_block(lives: GroupedLives, rows: Floats, lines: Lines | None, block: Block) -> Floats:
    if lines is not None:
        return at_points(lives, rows, lines, block).log_integral
    none = np.zeros((1, block.lines.stop - block.lines.start, len(rows)))
    shift = lives.shift_of(block.lives, rows)
    return np.asarray(block.log_likelihood(lives.draws(rows), shift, none)[0])


class AtPoints(NamedTuple):
    """The integrals over the effects of some lines at some rows of parameters.

    Attributes
    ----------
    ratio : ndarray, shape (n_points, n_lines, n)
        Log of likelihood times prior, over a standard normal curve (without its constant)
        in widths from the middle, times the width.
    likely : ndarray, shape (n_points, n_lines, n)
        The share that each point has in the integral.
    log_integral, middle, width : ndarray, shape (n_lines, n)
    """

    ratio: Floats
    likely: Floats
    log_integral: Floats
    middle: Floats
    width: Floats


def at_points(lives: GroupedLives, rows: Floats, lines: Lines, block: Block) -> AtPoints:
    """Integrals over the effect of each line of a block, at each of some rows."""
    spread = lives.spread_of_places(rows)[:, 0]
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        middle, width = lines.about(rows, spread, block.lines)
        found = _at(lives, rows, spread, block, middle, width)
        which = np.arange(len(rows))
        part = found
        for _ in range(_MOVES):
            mean, variance = _middle_and_width(part.likely)
            off = (np.abs(mean) > _OFF) | (variance < _NARROW) | (variance > _BROAD)
            some = np.flatnonzero(off.any(axis=0))
            if not len(some):
                break
            which, off = which[some], off[:, some]
            middle, width = (of[:, some] for of in (part.middle, part.width))
            middle = middle + np.where(off, mean[:, some], 0.0) * width
            stretch = np.sqrt(np.clip(variance[:, some], *_STRETCH))
            width = width * np.where(off, stretch, 1.0)
            part = _at(lives, rows[which], spread[which], block, middle, width)
            for whole, of in zip(found, part, strict=True):
                whole[..., which] = of
    return found


def _at(
    lives: GroupedLives,
    rows: Floats,
    spread: Floats,
    block: Block,
    middle: Floats,
    width: Floats,
) -> AtPoints:
    """The integrals by points about given middles."""
    effects = middle + width * FIVE.away[:, None, None]
    shift = lives.shift_of(block.lives, rows)
    ratio = block.log_likelihood(lives.draws(rows), shift, effects)
    effects /= spread
    effects *= effects
    effects -= (FIVE.away**2)[:, None, None]
    effects *= 0.5
    ratio -= effects
    ratio += np.log(width / spread)
    # Neither what is not a number nor what is beyond all numbers is possible.
    ratio[~(ratio < np.inf)] = -np.inf
    likely = ratio + FIVE.log_weight[:, None, None]
    top = likely.max(axis=0)
    likely -= np.where(top > -np.inf, top, 0.0)
    np.exp(likely, out=likely)
    total = likely.sum(axis=0)
    likely /= np.where(total > 0, total, 1.0)
    return AtPoints(ratio, likely, top + np.log(total), middle, width)


def _middle_and_width(likely: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of the effects, in widths from the middle, each of shape (n_lines, n)."""
    away = FIVE.away[:, None, None]
    mean = (likely * away).sum(axis=0)
    possible = likely.any(axis=0)
    variance = (likely * away**2).sum(axis=0) - mean**2
    # Where nothing is possible there is nowhere to go.
    return mean, np.where(possible, variance, 1.0)


def effects_of_lines(
    lives: GroupedLives, rows: Floats, lines: Lines, rng: np.random.Generator
) -> Floats:
    """Draw the effect of each line given a row, shape (n, n_places).

    The density is known at the points; between them its logarithm over the normal
    curve is taken as the polynomial through them, which is all but flat. So normal
    draws are taken or drawn again.
    """
    # A row that was drawn again has the same points.
    distinct, which = np.unique(rows, axis=0, return_inverse=True)
    which = which.ravel()
    order = np.argsort(which, kind="stable")
    first = np.searchsorted(which[order], np.arange(len(distinct) + 1))
    drawn = np.empty((len(rows), len(lines.effect)))
    for block in lives.blocks:
        for part in parts_of(len(distinct), block):
            some = order[first[part.start] : first[min(part.stop, len(distinct))]]
            at = at_points(lives, distinct[part], lines, block)
            of = which[some] - part.start
            away = _drawn_between(at.ratio, of, rng)
            drawn[some, block.lines] = (at.middle[:, of] + at.width[:, of] * away).T
    return drawn


_TO_POLYNOMIAL = np.linalg.inv(np.vander(FIVE.away))
_TO_GRID = np.vander(np.linspace(FIVE.away[0], FIVE.away[-1], 9), 5) @ _TO_POLYNOMIAL
_TRIES = 50


def _drawn_between(ratio: Floats, of: npt.NDArray[np.int64], rng: np.random.Generator) -> Floats:
    """Draws, in widths from the middle, for each line (rows) and some of the draws (columns)."""
    # A point so unlikely that it has no value any more is as unlikely as any.
    ratio = np.maximum(ratio - ratio.max(axis=0), -50.0)
    polynomial = np.tensordot(_TO_POLYNOMIAL, ratio, axes=1)
    polynomial[-1] -= np.tensordot(_TO_GRID, ratio, axes=1).max(axis=0)
    polynomial = polynomial[:, :, of].reshape(len(polynomial), -1)
    found = np.empty(polynomial.shape[1])
    left = np.arange(len(found))
    for _ in range(_TRIES):
        away = rng.standard_normal(len(left))
        found[left] = away
        # Polynomials run away outside the points that they go through.
        level = _value(polynomial, np.clip(away, FIVE.away[0], FIVE.away[-1]))
        again = np.log(rng.random(len(left))) > level
        left, polynomial = left[again], polynomial[:, again]
        if not len(left):
            break
    return found.reshape(ratio.shape[1], len(of))


def _value(polynomial: Floats, at: Floats) -> Floats:
    total = polynomial[0] * at
    for coefficient in polynomial[1:-1]:
        total += coefficient
        total *= at
    total += polynomial[-1]
    return np.asarray(total)
