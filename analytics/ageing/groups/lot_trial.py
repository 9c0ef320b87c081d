"""One lot beside the others: how well each of three accounts of it explains the records.

The accounts: the lot is like all others; its life is longer or shorter by a factor; its
shape too is its own. The lot shares nothing with the others but their curve, so that each
account is an integral over the lot's own likelihood alone, weighed by what the others say
of the curve. They are many, and what they say is taken as normal about its top (Laplace's
method); the lot's few lives are integrated on a grid, without such a shortcut.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.special import expit, logsumexp, ndtr

from analytics.ageing.clocks import Nodes
from analytics.ageing.families import Family
from analytics.ageing.groups.slopes import slopes_of
from analytics.ageing.likelihood import Parameters, lives_of, per_life
from analytics.ageing.prior import log_prior
from analytics.records.kinds import Prior

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

LOT_LIFE, LOT_SHAPE = 0.7, 0.7
"""How far a bad lot's log life and log shape may lie from the others' (planning defaults).

A lot worth the name lasts half as long or less; spoilt rubber does not keep the sharp wear-out
of sound rubber (common practice, no source).
"""

_FAR = 0.5
"""Without the lot the others' top moves by half a squared standard deviation: sought anew."""

_HOPELESS, _IMPOSSIBLE = 100.0, 1e12
"""A log-likelihood per life of less is worth no step from there; in all of less than the other it
has slopes whose squares are beyond what numbers can hold."""

_STEPS = 25
_SMALL = 1e-4
_LEAST_CURVATURE = 0.3
_ENDS = (0.05, 0.5, 0.95)
_COARSE, _FINE = (15, 27), (15, 25)
_DEPTH = 12.0
"""What is e**12 times less likely than the likeliest cell of a grid adds nothing."""


class Peak(NamedTuple):
    """Top of what some lives and the prior say of a curve, and how it falls off.

    Attributes
    ----------
    value : float
        Log of likelihood and prior there.
    mode : ndarray, shape (n,)
        Log shape, log scale and, where early failures are modelled, their log-odds.
    bent : ndarray, shape (n, n)
        Minus the second derivatives.
    """

    value: float
    mode: Floats
    bent: Floats

    @property
    def evidence(self) -> float:
        """Log of the integral over the curve, by Laplace's method, up to a constant."""
        return self.value - 0.5 * float(np.linalg.slogdet(self.bent)[1])


class OneLot(NamedTuple):
    """What the trial of one lot found.

    Attributes
    ----------
    alike, shorter, apart : float
        Log of how likely the lot's records are by each account, given all others.
    factor, shape : tuple of float
        Low end, middle and high end of the 90 % interval, with a life of its own.
    shape_of_others : float
    """

    alike: float
    shorter: float
    apart: float
    factor: tuple[float, float, float]
    shape: tuple[float, float, float]
    shape_of_others: float


@dataclass(frozen=True)
class Trial:
    """All lives of a kind as alike, but for the effects of groups other than the lot.

    Attributes
    ----------
    effects : ndarray, shape (n_lives,)
        Added to the log scale of each life.
    start : ndarray, shape (2,)
        Log shape and log scale to begin the search at.
    """

    family: Family
    prior: Prior
    nodes: Nodes
    effects: Floats
    early_years: float
    early: bool
    start: Floats

    @cached_property
    def alike(self) -> Peak:
        """Top of what all lives say."""
        start = np.append(self.start, [-4.0] if self.early else [])
        return self.peak(start, np.ones(self.nodes.n_lives, dtype=bool))

    def peak(self, row: Floats, which: Bools) -> Peak:
        """Top of what some lives say, by Newton steps that are cut short where they lead down."""
        nodes, effects = self.nodes, self.effects
        if not which.all():
            nodes, effects = lives_of(nodes, which), effects[which]
        value, slope, bent = self._local(row, nodes, effects)
        if value < -_HOPELESS * (1 + len(effects)):
            # So far out there is no way up that numbers can tell: begun where lives end.
            starts = [self._local(at, nodes, effects) for at in self._usual(row, nodes)]
            best = int(np.argmax([start[0] for start in starts]))
            row, (value, slope, bent) = self._usual(row, nodes)[best], starts[best]
        for _ in range(_STEPS):
            step = _solved(bent, slope)
            gain = float(slope @ step)
            if gain < 1e-6:
                break
            length = min(1.0, 1.5 / float(np.abs(step).max()))
            for _ in range(12):
                tried = self._local(row + length * step, nodes, effects)
                if tried[0] > value - 1e-9:
                    break
                length /= 3
            else:
                break
            row, (value, slope, bent) = row + length * step, tried
        values, vectors = np.linalg.eigh(bent)
        return Peak(value, row, (vectors * np.maximum(values, _LEAST_CURVATURE)) @ vectors.T)

    def _usual(self, row: Floats, nodes: Nodes) -> list[Floats]:
        """Rows of usual shapes whose lives last about as long as, or longer than, those watched."""
        middle = float(np.log(np.maximum(nodes.upper, 1e-9)).mean())
        curves = [
            (np.log(shape * self.family.shape_unit), middle + beyond)
            for shape in (1.0, 2.5, 6.0)
            for beyond in (0.0, 0.7, 1.5)
        ]
        return [np.array([*curve, -4.0][: len(row)]) for curve in curves]

    @cached_property
    def of_lives(self) -> tuple[Floats, Floats, Floats]:
        """Log-likelihood of every life at the top of all, its slope and its curvature.

        Shapes (n_lives,), (n_lives, n) and (n_lives, n, n).
        """
        return self._per_life(self.alike.mode, self.nodes, self.effects)

    def _local(self, row: Floats, nodes: Nodes, effects: Floats) -> tuple[float, Floats, Floats]:
        value, slope, bent = self._per_life(row, nodes, effects)
        believed, by_prior, prior_bent = self._belief(row)
        total = float(value @ nodes.count) + believed
        if not total > -_IMPOSSIBLE:
            return -np.inf, by_prior, prior_bent
        return (
            total,
            nodes.count @ slope + by_prior,
            np.tensordot(nodes.count, bent, axes=1) + prior_bent,
        )

    def _per_life(
        self, row: Floats, nodes: Nodes, effects: Floats
    ) -> tuple[Floats, Floats, Floats]:
        n = len(row)
        rows = row + np.vstack([np.zeros(n), np.eye(n) * _SMALL])
        found = slopes_of(
            self.family,
            Parameters.from_rows(rows),
            nodes,
            self.early_years,
            np.broadcast_to(effects, (n + 1, len(effects))),
        )
        slopes = np.stack([found.by_shape, found.by_scale, found.by_early][:n], axis=-1)
        bent = -np.moveaxis((slopes[1:] - slopes[0]) / _SMALL, 0, -1)
        return found.value[0], slopes[0], (bent + np.swapaxes(bent, -1, -2)) / 2

    def _belief(self, row: Floats) -> tuple[float, Floats, Floats]:
        """Log prior with slope and curvature, by differences."""
        n, small = len(row), 1e-3
        moves = np.eye(n) * small
        pairs = moves[:, None, :] + moves[None, :, :]
        mixed = moves[:, None, :] - moves[None, :, :]
        points = np.vstack(
            [np.zeros((1, n)), moves, -moves, *pairs, *-pairs, *mixed, *-mixed]
        )  # fmt: skip
        # Far out the prior has no density any more, and nothing to lean on.
        value = np.maximum(log_prior(self.family, self.prior, row + points), -1e9)
        slope = (value[1 : n + 1] - value[n + 1 : 2 * n + 1]) / (2 * small)
        up, down, one, other = value[2 * n + 1 :].reshape(4, n, n)
        return float(value[0]), slope, -(up + down - one - other) / (4 * small**2)


def trial_of(trial: Trial, of_lot: Bools) -> OneLot:
    """Try one lot.

    Parameters
    ----------
    trial : Trial
    of_lot : ndarray of bool, shape (n_lives,)
    """
    others = _others(trial, of_lot)
    spread = np.linalg.inv(others.bent)[:2, :2]
    spread = (spread + spread.T) / 2
    lot = _Lot(trial, lives_of(trial.nodes, of_lot), trial.effects[of_lot], others.mode)
    middle = others.mode[:2]
    shorter = lot.beside(middle, spread + np.diag([0.0, LOT_LIFE**2]))
    wide = spread + np.diag([LOT_SHAPE**2, LOT_LIFE**2])
    apart = lot.beside(middle, wide)
    # Given the lot's own curve, what is believed of the others' is normal again.
    towards = spread @ np.linalg.inv(wide)
    left = float(np.sqrt(max((spread - towards @ spread)[1, 1], 1e-12)))
    away = np.stack(np.meshgrid(apart.shapes, apart.scales, indexing="ij"), -1) - middle
    step = apart.shapes[1] - apart.shapes[0]
    return OneLot(
        alike=trial.alike.evidence - others.evidence,
        shorter=shorter.evidence,
        apart=apart.evidence,
        factor=_mixture_quantiles(away[..., 1] - away @ towards[1], apart.weight, left),
        shape=_mixture_quantiles(apart.shapes, apart.weight.sum(axis=1), step / 2),
        shape_of_others=float(np.exp(others.mode[0])),
    )


def _others(trial: Trial, of_lot: Bools) -> Peak:
    """Top of what the others say: one step from the top of all, or sought where that is far."""
    top, (value, slope, bent) = trial.alike, trial.of_lives
    count = trial.nodes.count[of_lot]
    left = top.bent - np.tensordot(count, bent[of_lot], axes=1)
    pull = -count @ slope[of_lot]
    if np.linalg.eigvalsh(left).min() > _LEAST_CURVATURE:
        step = np.linalg.solve(left, pull)
        if pull @ step < _FAR:
            gained = float(0.5 * pull @ step - count @ value[of_lot])
            return Peak(top.value + gained, top.mode + step, left)
    return trial.peak(top.mode, ~of_lot)


@dataclass(frozen=True)
class _Lot:
    """The lives of a lot, which see a curve of (log shape, log scale)."""

    trial: Trial
    nodes: Nodes
    effects: Floats
    curve: Floats

    def values(self, shapes: Floats, scales: Floats) -> Floats:
        """Log-likelihood at curves, of the shape of the arguments."""
        trial = self.trial
        flat = np.ravel(shapes), np.ravel(scales)
        early = np.full(len(flat[0]), expit(self.curve[2]) if trial.early else 0.0)
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            of_life = per_life(
                trial.family,
                Parameters(*flat, early),
                self.nodes,
                trial.early_years,
                np.broadcast_to(self.effects, (len(early), len(self.effects))),
            )
        # Far out a life's cumulative hazard nears the largest number there is, and their sum is
        # beyond it: no life need be less likely than this to have no weight at all.
        total = np.maximum(of_life, -_IMPOSSIBLE) @ self.nodes.count
        return np.where(np.isnan(total), -np.inf, total).reshape(np.shape(shapes))

    def beside(self, mode: Floats, wide: Floats) -> _Grid:
        """With a curve of its own, which is believed to lie about that of the others.

        Parameters
        ----------
        mode, wide : ndarray, shape (2,) and (2, 2)
            Middle and covariance of what is believed of its log shape and log scale.
        """
        far = np.sqrt(np.diag(wide))
        ends = [(float(at - 5 * by), float(at + 5 * by)) for at, by in zip(mode, far, strict=True)]
        inverse, size = np.linalg.inv(wide), _COARSE
        constant = np.log(2 * np.pi) + 0.5 * float(np.linalg.slogdet(wide)[1])
        for _ in range(4):
            shapes, scales = (np.linspace(*end, n) for end, n in zip(ends, size, strict=True))
            at = np.stack(np.meshgrid(shapes, scales, indexing="ij"), -1)
            away = at - mode
            log_density = -0.5 * np.einsum("...i,ij,...j->...", away, inverse, away) - constant
            total = self.values(at[..., 0], at[..., 1]) + log_density
            boxes = [_box(shapes, total.max(axis=1)), _box(scales, total.max(axis=0))]
            shrunk = [
                (box[1] - box[0]) / (end[1] - end[0]) for box, end in zip(boxes, ends, strict=True)
            ]
            if size == _FINE and min(shrunk) > 0.7:
                break
            ends, size = boxes, _FINE
        cell = np.log(shapes[1] - shapes[0]) + np.log(scales[1] - scales[0])
        weight = np.exp(total - total.max())
        return _Grid(float(logsumexp(total) + cell), shapes, scales, weight / weight.sum())


class _Grid(NamedTuple):
    """A lot's own curve on a grid: log evidence, both axes, and the share of each cell."""

    evidence: float
    shapes: Floats
    scales: Floats
    weight: Floats


def _mixture_quantiles(middles: Floats, weight: Floats, width: float) -> tuple[float, float, float]:
    """Exponentials of the 5, 50 and 95 % points of a mixture of normals."""
    flat, share = middles.ravel(), weight.ravel()
    kept = share > 1e-7
    flat, share = flat[kept], share[kept] / share[kept].sum()
    points = np.linspace(flat.min() - 4 * width, flat.max() + 4 * width, 200)
    below = ndtr((points[:, None] - flat) / width) @ share
    low, middle, high = np.interp(_ENDS, below, points)
    return float(np.exp(low)), float(np.exp(middle)), float(np.exp(high))


def _box(axis: Floats, height: Floats) -> tuple[float, float]:
    """The part of an axis where a grid is not all but empty, with a cell to spare."""
    inside = np.flatnonzero(height > height.max() - _DEPTH)
    return float(axis[max(inside[0] - 1, 0)]), float(axis[min(inside[-1] + 1, len(axis) - 1)])


def _solved(bent: Floats, slope: Floats) -> Floats:
    values, vectors = np.linalg.eigh(bent)
    return np.asarray((vectors / np.maximum(values, _LEAST_CURVATURE)) @ (vectors.T @ slope))
