"""The posterior of a kind with groups, its slope and its curvature, with lines integrated out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.groups.grouped_lives import SPREAD, GroupedLives
from analytics.ageing.groups.shaft_lines import (
    FIVE,
    Lines,
    at_points,
    lines_at,
    log_likelihood,
)

Floats = npt.NDArray[np.float64]


def log_target(
    lives: GroupedLives,
    rows: Floats,
    spreads: Floats,
    lines: Lines | None,
    by_line: Floats | None = None,
) -> Floats:
    """Log posterior of rows given the spreads of the fields, up to a constant.

    Parameters
    ----------
    rows : ndarray, shape (n, n_columns)
    spreads : ndarray, shape (n, n_fields)
    lines : Lines or None
        None where places are not looked at.
    by_line : ndarray, shape (n, n_places), optional
        Filled with the log-likelihood of each line.

    Returns
    -------
    ndarray, shape (n,)
        The effects of lines are integrated out.
    """
    # Rows far out overflow; they come out as impossible.
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        total = lives.belief(rows, spreads) + log_likelihood(lives, rows, lines, by_line)
    return np.where(total < np.inf, total, -np.inf)


@dataclass(frozen=True)
class Local:
    """The log-likelihood about a row, lines integrated out, with the belief about the row's own.

    Attributes
    ----------
    slope : ndarray, shape (n_columns,)
    curvature : ndarray, shape (n_columns, n_columns)
        Minus the second derivatives.
    lines : Lines or None
    """

    slope: Floats
    curvature: Floats
    lines: Lines | None


def local(lives: GroupedLives, row: Floats, near: Lines | None = None) -> Local:
    """Slope and curvature of the log-likelihood at a row of parameters.

    Parameters
    ----------
    near : Lines, optional
        Where the effects of lines lie at a row not far from this one.

    Where lines are integrated out these are the means of slope and curvature over
    the effects of each line, the latter less the spread of the slope (Louis, Finding
    the observed information matrix when using the EM algorithm, 1982; from memory).
    """
    curve, small = lives.n_curve, 1e-5
    places = lives.groups.places
    moves = np.zeros((curve + 1, len(row)))
    moves[1:, :curve] = np.eye(curve) * small
    lines = None if places is None else lines_at(lives, row, near)
    if lines is None:
        weights = np.ones((1, lives.nodes.n_lives))
        found = lives.slopes(row + moves)
        effects = None
    else:
        likely, effects = _effects_at(lives, row, lines)
        weights = likely[:, places.codes] if places is not None else likely
        rows = np.tile(row + moves, (len(effects), 1))
        found = lives.slopes(rows, np.repeat(effects, len(moves), axis=0))
    shape = (len(weights), len(moves), lives.nodes.n_lives)
    slopes = np.stack(
        [of.reshape(shape) for of in (found.by_shape, found.by_scale, found.by_early)[:curve]],
        axis=-1,
    )
    bent = np.stack([(slopes[:, i + 1] - slopes[:, 0]) / small for i in range(curve)], axis=-1)
    bent = -(bent + np.swapaxes(bent, -1, -2)) / 2
    bent[..., 1, 1] = -found.curvature.reshape(shape)[:, 0]
    count = lives.nodes.count
    score = slopes[:, 0] * count[:, None]
    mean_bent = np.einsum("qn,qnij->nij", weights, bent) * count[:, None, None]
    mean_score = np.einsum("qn,qni->ni", weights, score)

    slope, curvature = np.zeros(len(row)), np.zeros((len(row), len(row)))
    member = lives.members
    curvature[:curve, :curve] = mean_bent.sum(axis=0)
    curvature[lives.n_own :, :curve] = member.T @ mean_bent[:, 1, :]
    curvature[:curve, lives.n_own :] = curvature[lives.n_own :, :curve].T
    curvature[lives.n_own :, lives.n_own :] = (member * mean_bent[:, 1, 1, None]).T @ member
    slope[:curve] = mean_score.sum(axis=0)
    slope[lives.n_own :] = member.T @ mean_score[:, 1]
    if lines is not None and effects is not None and places is not None:
        scores = np.zeros((len(effects), len(places.levels), len(row)))
        scores[..., :curve] = np.swapaxes(lives.by_lines(np.swapaxes(score, 1, 2)), 1, 2)
        for column in range(member.shape[1]):
            scores[..., lives.n_own + column] = lives.by_lines(score[..., 1] * member[:, column])
        spread = lives.spread_of_places(row[None, :])[0, 0]
        squares = (effects / spread) ** 2
        scores[..., curve] = (squares - 1.0) / spread
        slope[curve] = (likely * scores[..., curve]).sum()
        curvature[curve, curve] = (likely * (3 * squares - 1.0)).sum() / spread**2
        apart = scores - (likely[..., None] * scores).sum(axis=0)
        apart = (np.sqrt(likely)[..., None] * apart).reshape(-1, len(row))
        curvature -= apart.T @ apart
    by_prior, prior_bent = _prior_at(lives, row)
    slope[: lives.n_own] += by_prior
    curvature[: lives.n_own, : lives.n_own] += prior_bent
    return Local(slope, curvature, lines)


def _effects_at(lives: GroupedLives, row: Floats, lines: Lines) -> tuple[Floats, Floats]:
    """Some effects of each line with how likely each is, each of shape (n_points, n_places)."""
    likely = np.empty((len(FIVE.away), len(lines.effect)))
    effects = np.empty(likely.shape)
    for block in lives.blocks_for_few:
        at = at_points(lives, row[None, :], lines, block)
        likely[:, block.lines] = at.likely[..., 0]
        effects[:, block.lines] = at.middle[:, 0] + at.width[:, 0] * FIVE.away[:, None]
    return likely, effects


def _prior_at(lives: GroupedLives, row: Floats) -> tuple[Floats, Floats]:
    """Slope and curvature of the belief about the kind's own columns, by central differences."""
    n, small = lives.n_curve, 1e-3
    moves = np.eye(n) * small
    points = []
    for i in range(n):
        points += [row[:n] + moves[i], row[:n] - moves[i]]
    for i in range(n):
        for j in range(n):
            points += [row[:n] + moves[i] + moves[j], row[:n] + moves[i] - moves[j],
                       row[:n] - moves[i] + moves[j], row[:n] - moves[i] - moves[j]]  # fmt: skip
    value = lives.log_prior(np.array(points))
    slope, bent = np.zeros(lives.n_own), np.zeros((lives.n_own, lives.n_own))
    # At the edge of what is believed at all there is nothing to lean on.
    if np.isfinite(value).all():
        slope[:n] = (value[0 : 2 * n : 2] - value[1 : 2 * n : 2]) / (2 * small)
        mixed = value[2 * n :].reshape(n, n, 4) @ np.array([1.0, -1.0, -1.0, 1.0])
        bent[:n, :n] = -(mixed + mixed.T) / (8 * small**2)
    # Of the spread of lines: half-normal.
    slope[n:], bent[n:, n:] = -row[n : lives.n_own] / SPREAD**2, SPREAD**-2
    return slope, bent
