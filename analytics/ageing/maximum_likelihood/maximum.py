"""Maximum likelihood of the wear-out families, by Newton's method with exact derivatives.

Without failures in windows the Weibull scale follows from
the shape, T being the sum of age ** shape over exits less the same over entries::

    scale ** shape = T / failures
    d/d(shape):  failures / shape + sum of log age at failure - failures * T' / T = 0

so that one number is sought, between limits that close in on it. Where there is
no maximum, the answer says why; it is never the place where a search happened to stop.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, Nodes
from analytics.ageing.families import Family
from analytics.ageing.maximum_likelihood.binned import Margins
from analytics.ageing.maximum_likelihood.surface import Surface, surface_of

Floats = npt.NDArray[np.float64]

SHAPES = (0.05, 40.0)
"""Weibull shapes (in other families, those that spread log life as much) that are believed of a
maximum; beyond them the lives do not say how sharply they end."""

_WALK = (0.01, 200.0)
"""Shapes that a search may cross on its way."""

_LEAST_INFORMATION = 1e-3
"""Curvature at a maximum, in logarithms of life and shape, below which it is a plain."""

_STEPS = 100
"""Newton steps before a search is given up."""

_LONGEST = 1.0
"""Longest step, in log shape or in log life times the shape."""

_GAIN = 1e-13
"""Log-likelihood that a step must promise, or it is the last."""

_CELLS_SCANNED = 512
"""Counts of log age in which the Weibull shape is first looked for."""

_LOG_2 = np.log([2.0])


class NoMaximum(StrEnum):
    """Why there is no maximum, in words."""

    NO_LIVES = "There are no lives."
    NO_FAILURES = "None has failed: the longer the life, the likelier the records, without end."
    ONE_FAILURE = "Fewer than two have failed: how sharply they wear out cannot be told from one."
    ONE_AGE = (
        "All failures may have come at one age, which none outlasted: the sharper the curve, "
        "the likelier the records, without end."
    )
    NOT_WATCHED = "No life was watched for any time before it ended."
    AGE_ZERO = "A part failed at age zero, which no curve of this family allows."
    TOO_SHARP = "The failures lie too close together to say how sharply the others will wear out."
    TOO_FLAT = "The records fit a curve the better, the flatter it is: no wear-out can be told."
    PLAIN = "Very different curves explain the records equally well."
    NOT_FOUND = "The search did not end at a maximum."


@dataclass(frozen=True)
class MaximumLikelihood:
    """The wear-out parameters that make the lives most likely.

    Attributes
    ----------
    log_shape, log_scale : float
        In the family's own terms.
    log_likelihood : float
        At the maximum, in densities per unit of the clock.
    covariance : ndarray, shape (2, 2), or None
        Of log shape and log scale: the inverse of the curvature at the maximum.
    """

    log_shape: float
    log_scale: float
    log_likelihood: float
    covariance: Floats | None = None

    @property
    def shape(self) -> float:
        """Shape of the family."""
        return float(np.exp(self.log_shape))

    @property
    def scale(self) -> float:
        """Scale on the clock."""
        return float(np.exp(self.log_scale))


def highest(surface: Surface) -> MaximumLikelihood | NoMaximum:
    """The maximum of a log-likelihood, or why there is none.

    Returns
    -------
    MaximumLikelihood or NoMaximum
    """
    known, windowed = surface.known, surface.windowed
    if known.lives == 0 and windowed is None:
        return NoMaximum.NO_LIVES
    if surface.failures == 0:
        return NoMaximum.NO_FAILURES
    if surface.failures < 2:
        return NoMaximum.ONE_FAILURE
    if known.at_zero:
        return NoMaximum.AGE_ZERO
    if known.never_watched and windowed is None:
        return NoMaximum.NOT_WATCHED
    if known.one_age and windowed is None:
        return NoMaximum.ONE_AGE
    if surface.family.name == "weibull" and windowed is None and not len(known.found):
        return _weibull_of_known(known)
    return _climbed(surface)


def maximum_likelihood(family: Family, nodes: Nodes) -> MaximumLikelihood | None:
    """Maximum-likelihood wear-out parameters, all failures taken as wear-out.

    Returns
    -------
    MaximumLikelihood or None
        None where it does not exist; `highest` of the same lives says why.
    """
    found = highest(surface_of(family, nodes))
    return found if isinstance(found, MaximumLikelihood) else None


def _climbed(surface: Surface) -> MaximumLikelihood | NoMaximum:
    """Newton's method in two parameters, every step of which must lead upwards."""
    unit = np.log(surface.family.shape_unit)
    best = max(_starts(surface), key=lambda start: surface.at(*start)[0])
    place = np.array(best)
    value, slope, bend = surface.at(*place)
    if not np.isfinite(value):
        return NoMaximum.NOT_FOUND
    for _ in range(_STEPS):
        step = _newton_step(slope, bend, float(np.exp(place[0])))
        gain = float(slope @ step)
        if gain < _GAIN:
            place = place + step
            break
        reach = 1.0
        while reach > 1e-9:
            tried = place + reach * step
            found = surface.at(*tried)
            if found[0] >= value + 1e-4 * reach * gain - 1e-13 * abs(value):
                break
            reach /= 4
        else:
            break
        place, (value, slope, bend) = tried, found
        if not np.log(_WALK[0]) < place[0] - unit < np.log(_WALK[1]):
            break
    value, slope, bend = surface.at(*place)
    return _judged(place, value, bend, surface.family.shape_unit, _newton_gain(slope, bend))


def _newton_step(slope: Floats, bend: Floats, shape: float) -> Floats:
    """Newton's step with every curvature taken downwards, and of a length that can be trusted."""
    # In the logarithm of life times the shape, both parameters are of the same size.
    size = np.array([1.0, 1.0 / shape])
    values, axes = np.linalg.eigh(-bend * np.outer(size, size))
    floor = max(1e-12, 1e-9 * float(np.abs(values).max()))
    step = axes @ ((axes.T @ (slope * size)) / np.maximum(np.abs(values), floor))
    longest = float(np.abs(step).max())
    return np.asarray(size * step * min(1.0, _LONGEST / longest if longest > 0 else 1.0))


def _newton_gain(slope: Floats, bend: Floats) -> float:
    """What one more step would gain: small at a maximum."""
    try:
        return float(abs(slope @ np.linalg.solve(bend, slope)))
    except np.linalg.LinAlgError:
        return np.inf


def _judged(
    place: Floats, value: float, bend: Floats, unit: float, gain: float
) -> MaximumLikelihood | NoMaximum:
    """A maximum where the search ended, or the reason why that is none."""
    log_shape, log_scale = (float(number) for number in place)
    if log_shape - np.log(unit) >= np.log(SHAPES[1]):
        return NoMaximum.TOO_SHARP
    if log_shape - np.log(unit) <= np.log(SHAPES[0]):
        return NoMaximum.TOO_FLAT
    if not (np.isfinite(value) and np.isfinite(bend).all() and gain < 1e-9):
        return NoMaximum.NOT_FOUND
    size = np.array([1.0, np.exp(-log_shape)])
    if np.linalg.eigvalsh(-bend * np.outer(size, size)).min() < _LEAST_INFORMATION:
        return NoMaximum.PLAIN
    return MaximumLikelihood(
        log_shape, log_scale, value, np.asarray(np.linalg.inv(-bend), dtype=float)
    )


def _starts(surface: Surface) -> list[tuple[float, float]]:
    """Where to begin: the Weibull fit to the middles of all windows, and a grid where needed."""
    known, windowed = surface.known, surface.windowed
    middle = np.log((np.exp(known.log_after) + np.exp(known.log_by)) / 2)
    log_age = [known.log_age, middle, known.log_after]
    net = [known.net, known.found, -known.found]
    log_failed, failed = [known.log_failed, middle], [known.failed, known.found]
    if windowed is not None:
        begun, ended, died = _middles(windowed)
        log_age += [ended, begun]
        net += [windowed.count, -windowed.count]
        log_failed.append(ended[died])
        failed.append(windowed.count[died])
    ages, weights = np.concatenate(log_age), np.concatenate(net)
    lived = np.isfinite(ages)
    line = _ShapeAlone(
        ages[lived], weights[lived], np.concatenate(log_failed), np.concatenate(failed)
    )
    unit = surface.family.shape_unit
    log_shape = min(max(line.roughly(), np.log(0.3)), np.log(15.0))
    first = line.log_scale(log_shape)
    # The family's curve is to have the same median as the Weibull one.
    middle_z = float(np.log(surface.family.age_at(_LOG_2, np.zeros(1), np.zeros(1)))[0])
    moved = (float(np.log(_LOG_2[0])) - middle_z / unit) * float(np.exp(-log_shape))
    found = [(log_shape + float(np.log(unit)), first + moved)]
    if windowed is not None or not np.isfinite(surface.at(*found[0])[0]):
        typical = float(np.median(ages[lived])) if lived.any() else 0.0
        found += [
            (float(np.log(shape * unit)), typical + away)
            for shape in (0.7, 1.5, 3.0, 8.0)
            for away in (0.0, 0.7, 2.0)
        ]
    return found


def _middles(nodes: Nodes) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    """Log ages at entry and at the end of each life, its window taken at its middle."""

    def mean(age: Floats) -> Floats:
        return np.asarray(np.add.reduceat(nodes.weight * age, nodes.first))

    upper = np.where(nodes.outcome[nodes.life] == CENSORED, nodes.lower, nodes.upper)
    with np.errstate(divide="ignore"):
        begun, ended = np.log(mean(nodes.entry)), np.log(mean((nodes.lower + upper) / 2))
    died = (nodes.outcome != CENSORED) & np.isfinite(ended)
    return begun, ended, died


class _ShapeAlone:
    """The Weibull log-likelihood along its best scale: a curve over the log shape alone."""

    def __init__(self, log_age: Floats, net: Floats, log_failed: Floats, failed: Floats) -> None:
        # Measured from the oldest age, no power of an age can overflow.
        self.oldest = float(log_age.max(initial=-np.inf))
        self.below, self.net = log_age - self.oldest, net
        self.failures = float(failed.sum())
        self.failed_below = float(failed @ log_failed) - self.failures * self.oldest

    def powers(self, log_shape: float) -> tuple[float, float, float]:
        """Sum of (age / oldest) ** shape, and of it times the log of that ratio, once and twice."""
        power = np.exp(np.exp(log_shape) * self.below)
        power *= self.net
        first = power * self.below
        return float(power.sum()), float(first.sum()), float(first @ self.below)

    def slope(self, log_shape: float) -> tuple[float, float]:
        """First and second derivative of the curve."""
        total, first, second = self.powers(log_shape)
        shape = np.exp(log_shape)
        if not total > 0:
            return np.nan, np.nan
        mean = first / total
        down = self.failures / shape + self.failed_below - self.failures * mean
        bend = -self.failures / shape**2 - self.failures * (second / total - mean**2)
        return float(shape * down), float(shape**2 * bend + shape * down)

    def log_scale(self, log_shape: float) -> float:
        """The best log scale at a log shape."""
        total = max(self.powers(log_shape)[0], 1e-300)
        return self.oldest + float(np.log(total / self.failures) * np.exp(-log_shape))

    def roughly(self) -> float:
        """The log shape where the curve is highest on a grid, ages counted in a few cells."""
        below, net = self.below, self.net
        lowest = float(below.min(initial=0.0))
        if len(below) > _CELLS_SCANNED and lowest < 0:
            cell = (below * ((_CELLS_SCANNED - 1) / lowest)).astype(np.int64)
            net = np.bincount(cell, weights=net, minlength=_CELLS_SCANNED).astype(float)
            below = np.linspace(0.0, lowest, _CELLS_SCANNED)
        shapes = np.linspace(float(np.log(SHAPES[0])), float(np.log(SHAPES[1])), 28)
        total = np.exp(np.exp(shapes)[:, None] * below) @ net
        with np.errstate(divide="ignore", invalid="ignore"):
            height = (
                self.failures * (shapes - np.log(np.maximum(total, 0.0)))
                + np.exp(shapes) * self.failed_below
            )
        height = np.where(total > 0, height, -np.inf)
        return float(shapes[int(np.argmax(height))]) if np.isfinite(height).any() else 0.7


def _weibull_of_known(known: Margins) -> MaximumLikelihood | NoMaximum:
    """Newton's method in the shape alone, between limits that close in on it."""
    line = _ShapeAlone(known.log_age, known.net, known.log_failed, known.failed)
    low, high = (float(end) for end in np.log(SHAPES))
    at = min(max(line.roughly(), low + 0.1), high - 0.1)
    for _ in range(_STEPS):
        slope, bend = line.slope(at)
        if np.isnan(slope):
            return NoMaximum.NOT_FOUND
        low, high = (at, high) if slope > 0 else (low, at)
        step = -slope / bend if bend < 0 else np.sign(slope)
        to = at + float(np.clip(step, -_LONGEST, _LONGEST))
        if not low < to < high:
            to = (low + high) / 2
        done, at = abs(to - at) < 1e-7, to
        if done:
            break
    if high >= np.log(SHAPES[1]) and at > high - 1e-4:
        return NoMaximum.TOO_SHARP
    if low <= np.log(SHAPES[0]) and at < low + 1e-4:
        return NoMaximum.TOO_FLAT
    return _weibull_at(line, at, known)


def _weibull_at(
    line: _ShapeAlone, log_shape: float, known: Margins
) -> MaximumLikelihood | NoMaximum:
    """Value and curvature where the slope along the best scale is none."""
    total, first, second = line.powers(log_shape)
    shape, deaths = float(np.exp(log_shape)), line.failures
    # The best scale makes the cumulative hazards add up to the failures; `up` is measured in them.
    up = float(np.log(deaths / total))
    mean, square = first / total * shape, second / total * shape**2
    z, zz = deaths * (mean + up), deaths * (square + 2 * up * mean + up**2)
    failed_z = shape * line.failed_below + deaths * up
    place = np.array([log_shape, line.oldest - up / shape])
    value = deaths * log_shape + failed_z - float(known.failed @ known.log_failed) - deaths
    bend = np.array([[failed_z - zz - z, shape * z], [shape * z, -(shape**2) * deaths]])
    slope, curve = line.slope(log_shape)
    return _judged(place, value, bend, 1.0, abs(slope**2 / curve))
