"""What clearance readings say for or against a curve of lives.

If a bearing fails by wear when its clearance passes the renew limit, then its
rate and its life are the same thing said twice: ``life = (limit - new) / rate``.
A curve of lives is then a belief about rates, and the readings of a path speak
for or against it. For a life whose record says that it ended in a window E (or
that it had not ended by an age)::

    p(readings | curve, record) = E[ p(readings | rate) | life in E, curve ]

so that nothing is counted twice: the record is already in the curve. The
clearance at fitting counts in p(readings | rate) with its spread, and in the
life with its middle, which moves a life by a few per cent at most.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL
from analytics.ageing.families import Family
from analytics.ageing.likelihood import Parameters
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.straight_lines import (
    CELLS_AT_ONCE,
    PER,
    Paths,
    peak,
    some_at_once,
    straight_line_terms,
)

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_NODES = np.polynomial.legendre.leggauss(24)
_LEAST = 1e-300

_SELDOM = 0.003
"""A day of fitting drawn less often than this is left out."""


def log_contribution(
    posterior: Posterior,
    theta: Parameters,
    wear: Wear,
    log_error: Floats,
    offset: Floats,
    counts: Bools,
    shift: Floats | None = None,
    stretch: Floats | None = None,
) -> Floats:
    """Log of p(readings | curve, records), for each draw of the curve.

    Parameters
    ----------
    posterior : Posterior
        For the families, and for how long a failure can be an early one.
    theta : Parameters
        n draws; only the wear-out part is used.
    wear : Wear
    log_error, offset : ndarray, shape (n_draws,)
        Log of the reading error and the offset of new clearances, in mm.
    counts : ndarray of bool, shape (n_paths,)
        Paths that count.
    shift : ndarray, shape (n_draws, n_paths), optional
        Added to the log scale of each path's life: its own life factors.
    stretch : ndarray, shape (n_draws,), optional
        Log of what had worn away when bearings were called failed, over what the
        limit allows; 0 where not given: they fail at the limit.

    Returns
    -------
    ndarray, shape (n_draws,)
    """
    nodes, path = wear.nodes, wear.paths.path
    outcome = nodes.outcome[nodes.life]
    # What failed early did not wear out; it had not yet done so then.
    early = nodes.upper_years <= posterior.early_years
    outcome = np.where(early & (outcome != CENSORED), CENSORED, outcome)
    high = np.where(outcome == INTERVAL, nodes.upper, np.inf)
    exact = outcome == EXACT
    recorded = counts[path]
    # Days of fitting that the readings all but rule out add nothing to what is said with them.
    read = recorded & (_share_drawn(wear) >= _SELDOM)
    renew = np.array([limit.renew_mm if limit else np.nan for limit in wear.limits])[path]
    with_them, without = _part(wear.paths, read), _part(wear.paths, recorded)
    total = np.empty(len(theta))
    step = max(1, CELLS_AT_ONCE // max(1, int(read.sum()) * len(_NODES[0])))
    for at in range(0, len(theta), step):
        chunk = slice(at, at + step)
        curve = Curve.of(
            posterior, theta.part(chunk), shift if shift is None else shift[chunk][:, path]
        )
        room = np.maximum(renew[read] - with_them.new - offset[chunk, None], 1e-3)
        room *= PER / wear.size_factor[path][read]
        if stretch is not None:
            room *= np.exp(stretch[chunk, None])
        lines = straight_line_terms(with_them, log_error[chunk], offset[chunk])
        top = log_read(
            curve.part(read), np.log(room), lines, nodes.lower[read], high[read], exact[read]
        )
        bottom = log_recorded(
            curve.part(recorded), nodes.lower[recorded], high[recorded], exact[recorded]
        )
        total[chunk] = (
            _log_sums(with_them, top + with_them.log_weight)
            - _log_sums(without, bottom + without.log_weight)
        ).sum(axis=1)
    return total


@dataclass(frozen=True)
class Curve:
    """Draws of a curve of lives, the same for all rows or one for each.

    Attributes
    ----------
    family : Family
        That of the draws, or those, where each draw has its own.
    log_shape : ndarray, shape (n_draws, 1)
    log_scale : ndarray, shape (n_draws, 1) or (n_draws, n_rows)
    """

    family: Family
    log_shape: Floats
    log_scale: Floats

    @classmethod
    def of(cls, posterior: Posterior, theta: Parameters, shift: Floats | None) -> Curve:
        """From draws, with what is added to the log scale of each row, shape (n_draws, n_rows)."""
        scale, family = theta.log_scale[:, None], posterior.family.of_draws(theta.codes)
        return cls(family, theta.log_shape[:, None], scale if shift is None else scale + shift)

    def part(self, rows: Bools | slice) -> Curve:
        """The curves of some rows."""
        if self.log_scale.shape[1] == 1:
            return self
        return Curve(self.family, self.log_shape, self.log_scale[:, rows])

    def log_density(self, log_age: Floats) -> Floats:
        """Log density of the log of a life, shape of `log_age`: (n_draws[, n_nodes], n_rows)."""
        shape, scale = self.log_shape, self.log_scale
        if log_age.ndim > 2:
            shape, scale = shape[:, None], scale[:, None]
        z = log_age - scale
        z *= np.exp(shape)
        density = self.family.log_density(z)
        density += shape
        return density

    def cumulative_hazard(self, age: Floats) -> Floats:
        """Cumulative hazard at ages, shape (n_draws, n_rows)."""
        return self.family.cumulative_hazard(age[None, :], self.log_shape, self.log_scale)

    def log_age(self, share: float) -> Floats:
        """Log of the age by which a share has failed, shape of `log_scale`."""
        worn = np.array(-np.log1p(-share))
        return np.asarray(np.log(self.family.age_at(worn, self.log_shape, self.log_scale)))


def log_read(
    curve: Curve,
    log_room: Floats,
    lines: tuple[Floats, Floats, Floats],
    low: Floats,
    high: Floats,
    exact: Bools,
) -> Floats:
    """Log of p(readings, life in the window) for each draw and row.

    Parameters
    ----------
    curve : Curve
        n draws.
    log_room : ndarray, shape (n_draws, n_rows)
        Log of what wears away before the limit, in mm times `PER`.
    lines : tuple of ndarray
        From `straight_line_terms`.
    low, high : ndarray, shape (n_rows,)
        Window of the life, in shaft hours.
    exact : ndarray of bool, shape (n_rows,)
        Lives that ended at `low`: their density takes the window's place.
    """
    a, b, k = lines
    # The curve as a normal belief about the log rate, only to find where the integrand lies.
    spread = np.maximum((curve.log_age(0.84) - curve.log_age(0.16)) / 2, 1e-3)
    at, width = peak(a, b, log_room - curve.log_age(0.5), spread + 0 * a)
    with np.errstate(divide="ignore"):
        least, most = log_room - np.log(high), log_room - np.log(low)
    begin, end = np.clip(at - 8 * width, least, most), np.clip(at + 9 * width, least, most)
    # Where the record and the readings lie far apart, the nearer end of the record's window.
    begin = np.where(end <= begin, np.maximum(least, end - width), begin)
    end = np.where(end <= begin, np.minimum(most, begin + width), end)
    found = np.empty(a.shape)
    for rows in some_at_once(a.shape[1], len(_NODES[0])):
        theirs = (one[:, rows] for one in (log_room, a, b, begin, end))
        found[:, rows] = k[:, rows] + _log_integral(curve.part(rows), *theirs)
    if exact.any():
        log_age = np.broadcast_to(np.log(low[exact]), found[:, exact].shape)
        rate = np.exp(log_room[:, exact] - log_age)
        line = k[:, exact] + rate * (b[:, exact] - 0.5 * a[:, exact] * rate)
        found[:, exact] = line + curve.part(exact).log_density(log_age)
    return np.asarray(found)


def _log_integral(
    curve: Curve, log_room: Floats, a: Floats, b: Floats, begin: Floats, end: Floats
) -> Floats:
    """Log of the integral of readings and curve over log rates in a window, shape of `a`."""
    x, w = (one[:, None] for one in _NODES)
    log_rates = begin[:, None] + (end - begin)[:, None] * ((x + 1) / 2)
    rates = np.exp(log_rates)
    inside = rates * (b[:, None] - 0.5 * a[:, None] * rates)
    inside += curve.log_density(log_room[:, None] - log_rates)
    top = inside.max(axis=1)
    inside -= top[:, None]
    integral = (np.exp(inside, out=inside) * w).sum(axis=1) * (end - begin) / 2
    return np.asarray(top + np.log(np.maximum(integral, _LEAST)))


def log_recorded(curve: Curve, low: Floats, high: Floats, exact: Bools) -> Floats:
    """Log of p(life in the window) for each draw and row, as `log_read` without the readings."""
    to_low = curve.cumulative_hazard(low)
    found = -to_low
    windowed = np.isfinite(high)
    if windowed.any():
        to_high = curve.part(windowed).cumulative_hazard(high[windowed])
        share = -np.expm1(-(to_high - to_low[:, windowed]))
        found[:, windowed] += np.log(np.maximum(share, _LEAST))
    if exact.any():
        log_age = np.broadcast_to(np.log(low[exact]), found[:, exact].shape)
        found[:, exact] = curve.part(exact).log_density(log_age)
    return found


def _share_drawn(wear: Wear) -> Floats:
    """How often each day of fitting was drawn for its path, 0 to 1."""
    row = wear.draws.row
    return np.bincount(row.ravel(), minlength=len(wear.paths.n)) / len(row)


def _part(paths: Paths, rows: Bools) -> Paths:
    """Some rows, at least one of each path that is left."""
    sizes = np.bincount(paths.path[rows], minlength=len(paths))
    sizes = sizes[sizes > 0]
    names = ("log_weight", "n", "w", "sh", "shh", "sy", "shy", "syy", "new", "new_sd")
    first = (np.cumsum(sizes) - sizes).astype(np.int64)
    return Paths(first=first, **{name: getattr(paths, name)[rows] for name in names})


def _log_sums(paths: Paths, logs: Floats) -> Floats:
    top = np.maximum.reduceat(logs, paths.first, axis=1)
    inside = np.exp(logs - top[:, paths.path])
    return np.asarray(top + np.log(np.add.reduceat(inside, paths.first, axis=1)))
