"""Intervals about a maximum-likelihood fit: by profile likelihood, and by the delta method.

A value belongs to a profile-likelihood interval where the best of all curves
that have it is not much less likely than the best of all curves: twice the
difference of log-likelihoods stays below a chi-squared point with one degree of
freedom (Meeker & Escobar 1998, Statistical Methods for Reliability Data, chapter 8;
from memory). Such an interval need not end: where the likelihood never falls far
enough, that side is open, and is given as 0 or as infinity.

The delta method takes the log-likelihood for a parabola, here on the
complementary log-log scale of a survival, log(-log S). It is shown for
comparison; with few failures it is the worse of the two.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import ndtri

from analytics.ageing.maximum_likelihood.maximum import MaximumLikelihood, NoMaximum
from analytics.ageing.maximum_likelihood.surface import Surface

Floats = npt.NDArray[np.float64]
Path = Callable[[float], tuple[Floats, Floats, Floats]]
"""Log shape and log scale at a point of a line, with their first and second derivatives."""

LEVEL = 0.90

REACH = 1e3
"""An age this many times the oldest, or this small a part of the youngest, is no limit at all; nor
is such a multiple or part of the best shape."""

_SHAPE_RANGE = (1e-3, 1e3)
"""Weibull shapes among which the most likely is sought where another figure is held."""

_STEPS = 60
_ANEW = np.arange(-60.0, 60.5, 0.5)


@dataclass(frozen=True)
class Limits:
    """An estimate and its interval.

    Attributes
    ----------
    best : float or None
        At the maximum of the likelihood; None where there is none.
    low, high : float or None
        Ends of the interval; None where there is no interval. An open end is at
        0, at infinity, or for a survival at 0 or 1.
    open_low, open_high : bool
        The records set no limit on this side.
    reason : str or None
        Why there is no interval.
    """

    best: float | None
    low: float | None
    high: float | None
    open_low: bool = False
    open_high: bool = False
    reason: str | None = None


def shape_limits(
    surface: Surface, best: MaximumLikelihood | NoMaximum, level: float = LEVEL
) -> Limits:
    """Profile-likelihood interval of the family's shape."""
    if isinstance(best, NoMaximum):
        return _absent(best)

    def highest(log_shape: float, near: float) -> tuple[float, float]:
        def path(log_scale: float) -> tuple[Floats, Floats, Floats]:
            return np.array([log_shape, log_scale]), np.array([0.0, 1.0]), np.zeros(2)

        return _along(surface, path, near, np.exp(-log_shape), (-np.inf, np.inf))

    widest = np.log(REACH)
    ends = _ends(
        highest,
        best.log_likelihood,
        best.log_shape,
        best.log_scale,
        _error(best, np.array([1.0, 0.0])),
        (best.log_shape - widest, best.log_shape + widest),
        level,
    )
    return _limits(best.shape, ends, np.exp, (0.0, np.inf))


def life_limits(
    surface: Surface,
    best: MaximumLikelihood | NoMaximum,
    share: float = 0.10,
    level: float = LEVEL,
) -> Limits:
    """Profile-likelihood interval of the age by which a share has failed.

    Parameters
    ----------
    surface : Surface
    best : MaximumLikelihood or NoMaximum
        Its maximum, from `maximum.highest`.
    share : float
        Between 0 and 1; 0.1 for the 10 % life.
    level : float
        Of confidence.
    """
    if isinstance(best, NoMaximum):
        return _absent(best)
    return _life_at(surface, best, _z_at(surface, -float(np.log1p(-share))), level)


def scale_limits(
    surface: Surface, best: MaximumLikelihood | NoMaximum, level: float = LEVEL
) -> Limits:
    """Profile-likelihood interval of the family's scale: the life at z = 0."""
    return _absent(best) if isinstance(best, NoMaximum) else _life_at(surface, best, 0.0, level)


def survival_limits(
    surface: Surface, best: MaximumLikelihood | NoMaximum, age: float, level: float = LEVEL
) -> Limits:
    """Profile-likelihood interval of the survival to an age, above 0, on the clock."""
    if isinstance(best, NoMaximum):
        return _absent(best)
    log_age = float(np.log(age))
    z_best = best.shape * (log_age - best.log_scale)

    def highest(z: float, near: float) -> tuple[float, float]:
        return _along(surface, _through(log_age, z), near, 1.0, _log_shapes(surface))

    # Beyond these the survival is 1 or 0 to a part in a million million.
    reach = _z_at(surface, 1e-12), _z_at(surface, 27.6)
    ends = _ends(
        highest,
        best.log_likelihood,
        z_best,
        best.log_shape,
        _error(best, np.array([z_best, -best.shape])),
        (min(reach[0], z_best - 1.0), max(reach[1], z_best + 1.0)),
        level,
    )

    def survival(z: float) -> float:
        return float(np.exp(-surface.family.slopes(np.array([z]))[0][0]))

    (low, high) = ends
    return Limits(
        survival(z_best),
        0.0 if high is None else survival(high),
        1.0 if low is None else survival(low),
        open_low=high is None,
        open_high=low is None,
    )


def delta_survival_limits(
    surface: Surface,
    best: MaximumLikelihood | NoMaximum,
    age: float,
    given_age: float = 0.0,
    level: float = LEVEL,
) -> Limits:
    """Delta-method interval of the survival to an age, on the complementary log-log scale.

    Parameters
    ----------
    surface : Surface
    best : MaximumLikelihood or NoMaximum
        Its maximum, from `maximum.highest`.
    age, given_age : float
        On the clock; of those still working at `given_age`, the share that reaches `age`.
    level : float
        Of confidence.
    """
    if isinstance(best, NoMaximum):
        return _absent(best)
    total, slope = 0.0, np.zeros(2)
    for at, sign in ((age, 1.0), (given_age, -1.0)):
        if at > 0:
            z = best.shape * (np.log(at) - best.log_scale)
            hazard, rate, _ = surface.family.slopes(np.array([z]))
            total += sign * float(hazard[0])
            slope += sign * float(rate[0]) * np.array([z, -best.shape])
    if not 0 < total < np.inf or best.covariance is None:
        return Limits(None, None, None, reason="The fit gives no chance of failing by that age.")
    away = float(-ndtri((1 - level) / 2)) * _error(best, slope / total)
    low, high = (float(np.exp(-total * np.exp(move))) for move in (away, -away))
    return Limits(float(np.exp(-total)), low, high)


def _life_at(surface: Surface, best: MaximumLikelihood, z: float, level: float) -> Limits:
    log_life = best.log_scale + z / best.shape

    def highest(log_age: float, near: float) -> tuple[float, float]:
        return _along(surface, _through(log_age, z), near, 1.0, _log_shapes(surface))

    ages = np.append(_log_ages(surface), log_life)
    ends = _ends(
        highest,
        best.log_likelihood,
        log_life,
        best.log_shape,
        _error(best, np.array([-z / best.shape, 1.0])),
        (float(ages.min() - np.log(REACH)), float(ages.max() + np.log(REACH))),
        level,
    )
    return _limits(float(np.exp(log_life)), ends, np.exp, (0.0, np.inf))


def _log_ages(surface: Surface) -> Floats:
    """Logarithms of the ages that lives were seen at, above 0."""
    known, windowed = surface.known, surface.windowed
    every = [known.log_age, known.log_failed, known.log_by]
    if windowed is not None:
        every.append(np.log(windowed.upper[windowed.upper > 0]))
    return np.concatenate(every)


def _z_at(surface: Surface, cumulative: float) -> float:
    """The z = shape * (log age - log scale) at which a cumulative hazard is reached."""
    zero = np.zeros(1)
    return float(np.log(surface.family.age_at(np.array([cumulative]), zero, zero))[0])


def _through(log_age: float, z: float) -> Path:
    """Curves that stand at z at an age: a line over the log shape."""

    def path(log_shape: float) -> tuple[Floats, Floats, Floats]:
        away = z * np.exp(-log_shape)
        return np.array([log_shape, log_age - away]), np.array([1.0, away]), np.array([0.0, -away])

    return path


def _log_shapes(surface: Surface) -> tuple[float, float]:
    low, high = np.log(np.array(_SHAPE_RANGE) * surface.family.shape_unit)
    return float(low), float(high)


def _along(
    surface: Surface, path: Path, near: float, longest: float, within: tuple[float, float]
) -> tuple[float, float]:
    """Highest log-likelihood on a line, and where: Newton's method, every step upwards."""
    at = min(max(near, within[0]), within[1])
    value, slope, bend = _on(surface, path, at)
    if not np.isfinite(value):
        # The last place is out of reach of numbers here: begin anew from wherever is not.
        tried = at + longest * _ANEW
        tried = tried[(tried >= within[0]) & (tried <= within[1])]
        at = max(tried, key=lambda place: _on(surface, path, place)[0], default=at)
        value, slope, bend = _on(surface, path, at)
    for _ in range(_STEPS):
        step = -slope / bend if bend < 0 else float(np.sign(slope)) * longest
        step = min(max(step, -longest, within[0] - at), longest, within[1] - at)
        if not np.isfinite(step) or abs(slope * step) < 1e-11:
            break
        to = _on(surface, path, at + step)
        while to[0] < value and abs(step) > 1e-10:
            step /= 4
            to = _on(surface, path, at + step)
        if to[0] < value:
            break
        at, (value, slope, bend) = at + step, to
    return value, at


def _on(surface: Surface, path: Path, at: float) -> tuple[float, float, float]:
    """Value and two derivatives along a line."""
    place, first, second = path(at)
    value, slope, bend = surface.at(*place)
    return value, float(slope @ first), float(first @ bend @ first + slope @ second)


def _ends(
    highest: Callable[[float, float], tuple[float, float]],
    top: float,
    best: float,
    near: float,
    error: float,
    reach: tuple[float, float],
    level: float,
) -> tuple[float | None, float | None]:
    """Where the profile has fallen far enough on either side; None where it never does."""
    fall = 0.5 * float(ndtri((1 + level) / 2)) ** 2
    found: list[float | None] = []
    for sign, last in ((-1.0, reach[0]), (1.0, reach[1])):
        beside = near

        def above(at: float) -> float:
            nonlocal beside
            value, place = highest(at, beside)
            if np.isfinite(value):
                beside = place
            return max(value - top + fall, -1e3)

        inner, step = best, min(max(error, 1e-6), 1.0)
        outer = best
        while True:
            outer = inner + sign * step
            if sign * (outer - last) >= 0:
                outer = last
            if above(outer) < 0:
                found.append(float(brentq(above, inner, outer, xtol=1e-10, rtol=1e-12)))
                break
            if outer == last:
                found.append(None)
                break
            inner, step = outer, step * 1.5
    return found[0], found[1]


def _error(best: MaximumLikelihood, slope: Floats) -> float:
    """Standard error of a figure of which the derivatives are given."""
    if best.covariance is None:
        return 1.0
    return float(np.sqrt(slope @ best.covariance @ slope))


def _limits(
    best: float,
    ends: tuple[float | None, float | None],
    back: Callable[[float], float],
    open_ends: tuple[float, float],
) -> Limits:
    low, high = (
        opened if end is None else float(back(end))
        for end, opened in zip(ends, open_ends, strict=True)
    )
    return Limits(best, low, high, open_low=ends[0] is None, open_high=ends[1] is None)


def _absent(why: NoMaximum) -> Limits:
    return Limits(None, None, None, reason=str(why))
