"""Draws from the posterior of a kind with groups, by importance.

At its mode the log-likelihood is close to a parabola. Under the parabola the
parameters and effects have a normal posterior given the spreads of the fields,
and its evidence says how likely any spreads are. So spreads are drawn first,
then parameters and effects given them, from a Student-t; each row is weighed by
the true posterior over the proposal.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from analytics.ageing.families import own_terms, shared_terms
from analytics.ageing.groups.group_effects import Local, local, log_target
from analytics.ageing.groups.grouped_lives import SPREAD, GroupedLives
from analytics.ageing.groups.shaft_lines import Lines

Floats = npt.NDArray[np.float64]

_LEAST_DF = 8.0
"""Degrees of freedom of the proposal, or as many as it has columns: in many dimensions the tails
of a Student-t of few would take nearly all proposals far out."""

_OWN_DF, _FAR_SHARE, _FAR = 8.0, 0.1, 2.0
"""A row's own columns are few, and may lie far out where a belief about them fails."""

_POWERS, _DECIDE = (1.0, 0.7, 0.5, 0.35, 0.25, 0.15), 60.0
"""Powers that weights are raised to until at least so many rows count."""

_DOUBT = 40.0
_SPREADS_DF, _SPREADS_TRIED = 5.0, 250
_EVIDENCE_AT_ONCE = 4_000_000
_LEAST_CURVATURE = 0.3
"""No prior is so wide that a parameter, all of them logarithms, has a spread above 2."""


_LITTLE = 0.01
"""Gain in log density that is not worth another step: a seventh of a standard deviation."""


_NEAR = 1.0
_MOST_STEPS = 25


@dataclass(frozen=True)
class Mode:
    """The likeliest row, the spreads that go with it, and the parabola there.

    Attributes
    ----------
    row : ndarray, shape (n_columns,)
    spreads : ndarray, shape (n_fields,)
    linear : ndarray, shape (n_columns,)
    curvature : ndarray, shape (n_columns, n_columns)
        The parabola: log L = linear'x - x' curvature x / 2, without the belief
        about the effects of fields. It has a peak.
    lines : Lines or None
    offset, width : ndarray, shape (n_columns,)
        Where rows are proposed, and how widely, in standard deviations of the parabola.
    """

    row: Floats
    spreads: Floats
    linear: Floats
    curvature: Floats
    lines: Lines | None
    offset: Floats
    width: Floats


@dataclass(frozen=True)
class Weighed:
    """Rows of parameters with the spreads they go with, and the log of their weights.

    Attributes
    ----------
    away : ndarray, shape (n, n_columns)
        Where the rows lie in standard deviations of the parabola.
    by_line : ndarray, shape (n, n_places), or None
        Log-likelihood of each line.
    """

    rows: Floats
    spreads: Floats
    log_weight: Floats
    away: Floats
    by_line: Floats | None = None


def weighed_rows(
    lives: GroupedLives, mode: Mode, n: int, rng: np.random.Generator, *, by_line: bool = False
) -> Weighed:
    """Rows proposed about the mode.

    Parameters
    ----------
    n : int
        How many.
    by_line : bool
        Keep the log-likelihood of each line.
    """
    spreads = _spreads(lives, mode, n, rng)
    evidence, middle, precision = _given(lives, mode, spreads)
    # With its own columns last, a row's own are drawn first and its effects given them.
    turned = precision[:, ::-1, ::-1]
    root = np.linalg.cholesky(turned)
    away = mode.offset + mode.width * _away(lives.n_own, lives.n_columns, n, rng)
    beside = np.linalg.solve(np.swapaxes(root, 1, 2), away[:, ::-1, None])[:, ::-1, 0]
    rows: Floats = np.asarray(middle + beside)
    log_proposal = _log_density((away - mode.offset) / mode.width, lives.n_own)
    if mode.lines is not None:
        # A spread below none is folded over to the other side, where two densities then add up.
        own = lives.n_curve
        mirrored = rows - middle
        mirrored[:, own] = -rows[:, own] - middle[:, own]
        other = np.einsum("nji,nj->ni", root, mirrored[:, ::-1])[:, ::-1]
        rows[:, own] = np.abs(rows[:, own])
        folded = _log_density((other - mode.offset) / mode.width, lives.n_own)
        log_proposal = np.logaddexp(log_proposal, folded)
    log_proposal += np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    # So that rows proposed here or there about the same parabola go together.
    log_proposal -= np.log(mode.width).sum()
    rows += _sheared(mode, precision_at_mode(lives, mode), rows[:, 0])
    of_lines = None
    if by_line and mode.lines is not None:
        of_lines = np.empty((n, len(mode.lines.effect)))
    target = log_target(lives, rows, spreads, mode.lines, of_lines)
    return Weighed(rows, spreads, target - log_proposal - evidence, away, of_lines)


def adapted(mode: Mode, found: Weighed) -> Mode:
    """The same parabola, but rows proposed where those that were weighed say that they lie.

    Parameters
    ----------
    found : Weighed
        Proposed about this very mode.
    """
    weight = tempered(found.log_weight)
    middle = weight @ found.away
    square = weight @ (found.away - middle) ** 2
    # As many effective rows as these again say that the parabola's own width was right.
    effective = 1.0 / float(weight @ weight)
    width = np.sqrt(np.clip((effective * square + _DOUBT) / (effective + _DOUBT), 0.5, 2.0))
    return replace(mode, offset=middle, width=width)


def tempered(log_weight: Floats) -> Floats:
    """Weights adding up to 1, brought closer to each other until no few of them decide."""
    for power in _POWERS:
        weight = np.exp(power * (log_weight - log_weight.max()))
        weight /= weight.sum()
        if weight @ weight < 1.0 / _DECIDE:
            break
    return np.asarray(weight)


def _away(own: int, columns: int, n: int, rng: np.random.Generator) -> Floats:
    """How far rows lie from their middle, in standard deviations, shape (n, columns)."""
    away = rng.standard_normal((n, columns))
    far = np.where(np.arange(n) < _FAR_SHARE * n, _FAR, 1.0)
    away[:, :own] *= (far * np.sqrt(_OWN_DF / rng.chisquare(_OWN_DF, n)))[:, None]
    if columns > own:
        df = max(_LEAST_DF, float(columns - own))
        away[:, own:] *= np.sqrt(df / rng.chisquare(df, n))[:, None]
    return away


def _log_density(away: Floats, own: int) -> Floats:
    """Log density of what `_away` draws, up to a constant."""
    square, power = (away[:, :own] ** 2).sum(axis=1) / _OWN_DF, -0.5 * (_OWN_DF + own)
    total = np.logaddexp(
        np.log1p(-_FAR_SHARE) + power * np.log1p(square),
        np.log(_FAR_SHARE) - own * np.log(_FAR) + power * np.log1p(square / _FAR**2),
    )
    effects = away.shape[1] - own
    if effects:
        df = max(_LEAST_DF, float(effects))
        total -= 0.5 * (df + effects) * np.log1p((away[:, own:] ** 2).sum(axis=1) / df)
    return np.asarray(total)


def recentred(lives: GroupedLives, mode: Mode, found: Weighed) -> Mode:
    """A parabola about where rows that were weighed say the posterior lies.

    For a posterior whose mode is far from its middle. Weights are brought closer to
    each other, so that no few rows decide.
    """
    weight = tempered(found.log_weight)
    row = weight @ found.rows
    spreads = np.exp(weight @ np.log(found.spreads))
    return _peaked_at(lives, row, local(lives, row, mode.lines), row, spreads)


def _peaked_at(lives: GroupedLives, there: Floats, at: Local, row: Floats, spreads: Floats) -> Mode:
    """The parabola at a row, moved so that it has its peak at another close by."""
    curvature = _with_a_peak(at.curvature)
    # The effects keep their own slopes, which say how likely spreads are; the kind's own
    # columns get those that put the peak at the middle found.
    own, effects = slice(0, lives.n_own), slice(lives.n_own, None)
    linear = at.slope + curvature @ there
    hold = curvature[effects, effects] + np.diag(_tightness(lives, spreads[None, :])[0][effects])
    peak = row.copy()
    peak[effects] = np.linalg.solve(hold, linear[effects] - curvature[effects, own] @ row[own])
    linear[own] = curvature[own] @ peak
    none = np.zeros(len(row))
    return Mode(row, spreads, linear, curvature, at.lines, offset=none, width=none + 1.0)


def precision_at_mode(lives: GroupedLives, mode: Mode) -> Floats:
    """Precision of the rows under the parabola, given the spreads at the mode."""
    return np.asarray(mode.curvature + np.diag(_tightness(lives, mode.spreads[None, :])[0]))


def _sheared(mode: Mode, precision: Floats, log_shape: Floats) -> Floats:
    """What bends a straight proposal along the ridge of the posterior, shape (n, n_columns).

    The records fix an age by which a share has failed, log scale + z / shape, so that
    scale and effects lean on one over the shape rather than on its logarithm. A
    shear leaves volumes, and so the density of the proposal, as they are.
    """
    covariance = np.linalg.inv(precision)
    lean = covariance[0] / covariance[0, 0]
    lean[0] = 0.0
    away = log_shape - mode.row[0]
    return np.asarray((-np.expm1(-away) - away)[:, None] * lean)


def mode_of(lives: GroupedLives, near: tuple[str, Mode] | None = None) -> Mode:
    """The mode of the parameters, with the spreads that the effects there ask for.

    Newton steps, the spreads moved to what the effects found so far say of them
    (expectation and maximisation).

    Parameters
    ----------
    near : tuple of (str, Mode), optional
        Another family, with the mode of the same lives in it.
    """
    if near is None:
        row, spreads = _start(lives), np.full(len(lives.groups.fields), 0.2)
    else:
        name, other = near
        row, spreads = other.row.copy(), other.spreads
        shared = shared_terms(name, row[0], row[1])
        row[0], row[1] = own_terms(lives.family.name, *shared)
    gain, asked = np.inf, 0
    lines: Lines | None = None
    for _ in range(_MOST_STEPS):
        at = local(lives, row, lines)
        lines = at.lines
        if gain < _NEAR:
            # Near enough for the effects to say how far the levels of a field stray.
            tight = np.diag(_tightness(lives, spreads[None, :])[0])
            covariance = np.asarray(np.linalg.inv(_with_a_peak(at.curvature + tight)))
            spreads, asked = _spreads_asked(lives, row, covariance), asked + 1
        moved, gain = _step(lives, row, spreads, at)
        stuck = (moved == row).all()
        if stuck or (gain < _LITTLE and asked > 1):
            break
        row = moved
    return _peaked_at(lives, row, at, moved, spreads)


def _start(lives: GroupedLives) -> Floats:
    """A likely row without any effects: the best of a coarse grid."""
    middle = float(np.log(np.maximum(lives.nodes.upper, 1e-9)).mean())
    shapes = np.log(np.array([1.0, 2.0, 4.0]) * lives.family.shape_unit)
    steps = (-0.3, 0.2, 0.7, 1.2, 1.8)
    grid = np.array([(a, middle + d, -4.0)[: lives.n_curve] for a in shapes for d in steps])
    rows = np.zeros((len(grid), lives.n_columns))
    rows[:, : lives.n_curve] = grid
    rows[:, lives.n_curve : lives.n_own] = SPREAD / 2
    spreads = np.ones((len(grid), len(lives.groups.fields)))
    value = lives.values(rows) @ lives.nodes.count + lives.belief(rows, spreads)
    return np.asarray(rows[int(np.argmax(np.where(np.isnan(value), -np.inf, value)))])


def _step(lives: GroupedLives, row: Floats, spreads: Floats, at: Local) -> tuple[Floats, float]:
    """The best of some points on the way to the peak of the parabola, and what it should gain."""
    tight = _tightness(lives, spreads[None, :])[0]
    curvature = _with_a_peak(at.curvature + np.diag(tight))
    step = np.linalg.solve(curvature, at.slope - tight * row)
    lines = lives.n_curve
    if at.lines is not None:
        # Its slope at no spread at all is 0, whatever the records say.
        step[lines] = max(step[lines], 0.4 * row[lines] - row[lines], 0.01 - row[lines])
    step *= min(1.0, 1.0 / max(float(np.abs(step).max()), 1e-12))
    gain = 0.5 * float(step @ curvature @ step)
    rows = row + np.array([0.0, 1.0, 0.5, 0.25, 0.1, 0.03, 0.005])[:, None] * step
    value = log_target(lives, rows, np.repeat(spreads[None, :], len(rows), axis=0), at.lines)
    return np.asarray(rows[int(np.argmax(value))]), gain


def _with_a_peak(curvature: Floats) -> Floats:
    """The same without what bends upwards."""
    values, vectors = np.linalg.eigh((curvature + curvature.T) / 2)
    return np.asarray((vectors * np.maximum(values, _LEAST_CURVATURE)) @ vectors.T)


def _tightness(lives: GroupedLives, spreads: Floats) -> Floats:
    """One over the squared spread of each column of the rows, 0 for the kind's own."""
    tight = np.zeros((len(spreads), lives.n_columns))
    for at, (_, columns) in enumerate(lives.by_field):
        tight[:, columns] = spreads[:, at, None] ** -2
    return tight


def _given(lives: GroupedLives, mode: Mode, spreads: Floats) -> tuple[Floats, Floats, Floats]:
    """Log evidence of spreads under the parabola; middle and precision of the rows given them."""
    n, columns = len(spreads), lives.n_columns
    precision = np.broadcast_to(mode.curvature, (n, columns, columns)).copy()
    diagonal = np.arange(columns)
    precision[:, diagonal, diagonal] += _tightness(lives, spreads)
    linear = np.broadcast_to(mode.linear, (n, columns))
    middle = np.linalg.solve(precision, linear[..., None])[..., 0]
    evidence = 0.5 * (linear * middle).sum(axis=1) - 0.5 * np.linalg.slogdet(precision)[1]
    for at, (field, _) in enumerate(lives.by_field):
        evidence -= len(field.levels) * np.log(spreads[:, at])
    return np.asarray(evidence), np.asarray(middle), precision


def _spreads_asked(lives: GroupedLives, row: Floats, covariance: Floats) -> Floats:
    """The likeliest spreads given the effects and how well each is known."""
    squares = row**2 + np.diagonal(covariance)
    found = []
    for field, columns in lives.by_field:
        n, total = len(field.levels), float(squares[columns].sum())
        found.append(0.5 * SPREAD**2 * (-n + np.sqrt(n**2 + 4 * total / SPREAD**2)))
    return np.asarray(np.maximum(np.sqrt(np.array(found)), 0.03))


def _spreads(lives: GroupedLives, mode: Mode, n: int, rng: np.random.Generator) -> Floats:
    """Draws of the spreads under the parabola: proposed, fitted, proposed again, resampled."""
    fields = len(mode.spreads)
    if not fields:
        return np.empty((n, 0))
    centre, root = np.log(mode.spreads) - 0.2, np.eye(fields) * 0.7
    for size in (_SPREADS_TRIED, _SPREADS_TRIED, n):
        stretch = np.sqrt(_SPREADS_DF / rng.chisquare(_SPREADS_DF, size))
        away = rng.standard_normal((size, fields)) * stretch[:, None]
        log_spread = np.clip(centre + away @ root.T, -15.0, 2.0)
        spreads = np.exp(log_spread)
        log_weight = _evidence(lives, mode, spreads)
        log_weight += (log_spread - 0.5 * (spreads / SPREAD) ** 2).sum(axis=1)
        log_weight += 0.5 * (_SPREADS_DF + fields) * np.log1p((away**2).sum(axis=1) / _SPREADS_DF)
        weight = np.exp(log_weight - log_weight.max())
        weight /= weight.sum()
        # Towards equal weights, so that a first proposal that fits badly still moves the next.
        level = np.sqrt(weight) / np.sqrt(weight).sum()
        centre = level @ log_spread
        apart = (log_spread - centre) * np.sqrt(level)[:, None]
        root = np.linalg.cholesky(apart.T @ apart + 1e-3 * np.eye(fields))
    at = (rng.random() + np.arange(n)) / n
    chosen = np.minimum(np.searchsorted(np.cumsum(weight), at), size - 1)
    return np.asarray(spreads[rng.permutation(chosen)])


def _evidence(lives: GroupedLives, mode: Mode, spreads: Floats) -> Floats:
    found = np.empty(len(spreads))
    step = max(1, _EVIDENCE_AT_ONCE // lives.n_columns**2)
    for at in range(0, len(spreads), step):
        found[at : at + step] = _given(lives, mode, spreads[at : at + step])[0]
    return found
