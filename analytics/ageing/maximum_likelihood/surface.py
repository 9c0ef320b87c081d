"""The log-likelihood of lives in log shape and log scale, with its exact derivatives.

In every family the cumulative hazard is a function of z = shape * (log age - log
scale) alone (Meeker & Escobar 1998, Statistical Methods for Reliability Data,
chapter 4; from memory), so that its two derivatives by z are all that is needed::

    k, s    log shape, log scale
    dz/dk = z    dz/ds = -shape    d2z/dk2 = z    d2z/dk ds = -shape    d2z/ds2 = 0

A failure adds log hazard = k - log age + log H'(z). Lives of known fitting are counted
by age first (`binned`); those fitted in a window are sums over the nodes of their
window (`likelihood`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import Family
from analytics.ageing.maximum_likelihood.binned import Ages, Margins, margins

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Surface:
    """The log-likelihood of some lives, at any log shape and log scale.

    Attributes
    ----------
    family : Family
    known : Margins
        Lives whose fitting is known.
    windowed : Nodes or None
        Lives fitted in a window; None where there are none.
    """

    family: Family
    known: Margins
    windowed: Nodes | None = None

    @property
    def failures(self) -> float:
        """Failures, however they are known."""
        total = self.known.failures
        if self.windowed is not None:
            total += float(self.windowed.count[self.windowed.outcome != CENSORED].sum())
        return total

    def at(self, log_shape: float, log_scale: float) -> tuple[float, Floats, Floats]:
        """Value, gradient, shape (2,), and second derivatives, shape (2, 2).

        The value is minus infinity where the lives are impossible or out of reach of numbers.
        """
        shape = float(np.exp(log_shape))
        total = _Sum(0.0, np.zeros(2), np.zeros((2, 2)))
        known = self.known
        with np.errstate(all="ignore"):
            z = shape * (known.log_age - log_scale)
            total.add(shape, z, -known.net, *self.family.slopes(z))
            if len(known.failed):
                z = shape * (known.log_failed - log_scale)
                log_hazard = _log_hazard(self.family, known.log_failed, log_shape, log_scale)
                total.add(shape, z, known.failed, log_hazard, *self.family.bend(z))
                total.slope[0] += float(known.failed.sum())
            if len(known.found):
                after = _hazard_terms(self.family, known.log_after, log_shape, log_scale)
                by = _hazard_terms(self.family, known.log_by, log_shape, log_scale)
                total.add_terms(_inside(by - after), known.found)
            if self.windowed is not None:
                total.add_terms(
                    _windowed_terms(self.family, self.windowed, log_shape, log_scale),
                    self.windowed.count,
                )
        fine = np.isfinite(total.value) and np.isfinite(total.slope).all()
        if not (fine and np.isfinite(total.bend).all()):
            return -np.inf, total.slope, total.bend
        return float(total.value), total.slope, total.bend


def surface_of(family: Family, lives: Ages | Nodes) -> Surface:
    """The log-likelihood of lives, all failures taken as wear-out."""
    if isinstance(lives, Ages):
        return Surface(family, margins(lives))
    single = np.diff(np.append(lives.first, len(lives.life))) == 1
    known = margins(Ages.of_nodes(lives, single))
    return Surface(family, known, None if single.all() else _some(lives, ~single))


@dataclass
class _Sum:
    """A value with its gradient and second derivatives in log shape and log scale, added up."""

    value: float
    slope: Floats
    bend: Floats

    def add(
        self, shape: float, z: Floats, weight: Floats, f: Floats, first: Floats, second: Floats
    ) -> None:
        """Add a weighted sum of f(z), of which two derivatives by z are given."""
        self.value += float(weight @ f)
        by_first, by_second = weight * first, weight * second
        flat, tilt = float(by_first.sum()), float(by_first @ z)
        bent, bent_z, bent_zz = by_second.sum(), by_second @ z, (by_second * z) @ z
        self.slope += (tilt, -shape * flat)
        across = -shape * (bent_z + flat)
        self.bend += ((bent_zz + tilt, across), (across, shape**2 * bent))

    def add_terms(self, terms: Floats, weight: Floats) -> None:
        """Add a weighted sum of terms, shape (6, n): value, k, s, kk, ks, ss."""
        value, k, s, kk, ks, ss = terms @ weight
        self.value += float(value)
        self.slope += (k, s)
        self.bend += ((kk, ks), (ks, ss))


def _terms(shape: float, z: Floats, f: Floats, first: Floats, second: Floats) -> Floats:
    """f(z) and its derivatives in log shape (k) and log scale (s): value, k, s, kk, ks, ss."""
    tilt = first * z
    return np.stack(
        [
            f,
            tilt,
            -shape * first,
            second * z**2 + tilt,
            -shape * (second * z + first),
            shape**2 * second,
        ]
    )


def _hazard_terms(family: Family, log_age: Floats, log_shape: float, log_scale: float) -> Floats:
    shape = float(np.exp(log_shape))
    z = shape * (log_age - log_scale)
    return np.where(np.isfinite(log_age), _terms(shape, z, *family.slopes(z)), 0.0)


def _log_hazard(family: Family, log_age: Floats, log_shape: float, log_scale: float) -> Floats:
    return family.log_hazard(np.exp(log_age), np.array(log_shape), np.array(log_scale))


def _inside(between: Floats) -> Floats:
    """Log of 1 - exp(-d) for a difference d of cumulative hazards, as terms of six."""
    d, k, s, kk, ks, ss = between
    odds = 1.0 / np.expm1(d)
    bent = odds * (1.0 + odds)
    return np.stack(
        [
            np.log(-np.expm1(-d)),
            odds * k,
            odds * s,
            odds * kk - bent * k * k,
            odds * ks - bent * k * s,
            odds * ss - bent * s * s,
        ]
    )


def _windowed_terms(family: Family, nodes: Nodes, log_shape: float, log_scale: float) -> Floats:
    """Log-likelihood of each life fitted in a window, as terms of six, shape (6, n_lives)."""
    shape = float(np.exp(log_shape))
    outcome = nodes.outcome[nodes.life]
    exact, inside = outcome == EXACT, outcome == INTERVAL
    ended = np.log(np.where(exact, nodes.upper, nodes.lower))
    ending = -_hazard_terms(family, ended, log_shape, log_scale)
    if exact.any():
        log_age = ended[exact]
        z = shape * (log_age - log_scale)
        log_hazard = _log_hazard(family, log_age, log_shape, log_scale)
        ending[:, exact] += _terms(shape, z, log_hazard, *family.bend(z))
        ending[1, exact] += 1.0
    if inside.any():
        by = _hazard_terms(family, np.log(nodes.upper[inside]), log_shape, log_scale)
        ending[:, inside] += _inside(by + ending[:, inside])
    entered = -_hazard_terms(family, np.log(nodes.entry), log_shape, log_scale)
    seen = nodes.weight if nodes.entry_weight is None else nodes.entry_weight
    return _summed(ending, nodes.weight, nodes) - _summed(entered, seen, nodes)


def _summed(terms: Floats, weight: Floats, nodes: Nodes) -> Floats:
    """Log of the weighted sum of exponentials over the nodes of each life, as terms of six."""
    weighed = terms[0] + np.log(weight)
    top = np.maximum.reduceat(weighed, nodes.first)
    share = np.exp(weighed - top[nodes.life])
    total = np.add.reduceat(share, nodes.first)
    share /= total[nodes.life]
    _, k, s, kk, ks, ss = np.where(share > 0, terms, 0.0)

    def mean(each: Floats) -> Floats:
        return np.asarray(np.add.reduceat(share * each, nodes.first))

    k_mean, s_mean = mean(k), mean(s)
    return np.stack(
        [
            top + np.log(total),
            k_mean,
            s_mean,
            mean(kk + k * k) - k_mean**2,
            mean(ks + k * s) - k_mean * s_mean,
            mean(ss + s * s) - s_mean**2,
        ]
    )


def _some(nodes: Nodes, lives: npt.NDArray[np.bool_]) -> Nodes:
    """The lives chosen, with their nodes."""
    rows = lives[nodes.life]
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[lives]
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)
    per_node = (
        "weight", "start", "entry", "lower", "upper", "entry_years", "lower_years", "upper_years",
        "entry_weight",
    )  # fmt: skip
    chosen: dict[str, Any] = {
        name: None if getattr(nodes, name) is None else getattr(nodes, name)[rows]
        for name in per_node
    }
    return Nodes(
        life=np.repeat(np.arange(len(sizes), dtype=np.int64), sizes),
        first=first,
        outcome=nodes.outcome[lives],
        count=nodes.count[lives],
        **chosen,
    )
