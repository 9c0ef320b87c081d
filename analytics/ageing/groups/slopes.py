"""The log-likelihood of every life with its slopes, for many draws at once.

Of one life it depends on three numbers: the log shape a, the log scale b (its
own, life factors included) and the log-odds c of an early failure. With
z = exp(a) (log age - b) every cumulative hazard is a function H(z), so that::

    dH/da = z H'(z)        dH/db = -exp(a) H'(z)        d2H/db2 = exp(2a) H''(z)

A sum over the nodes of a window is a mixture: its slope is the mean slope of
the nodes, each weighed by how likely it is, and its curvature the mean
curvature plus the spread of the slopes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import EXACT, INTERVAL, Nodes
from analytics.ageing.families import Family
from analytics.ageing.likelihood import Parameters, early_cumulative_hazard, early_hazard

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_LEAST_AGE = 1e-300
"""Stands for age 0, where the logarithm has no value and nothing has worn yet."""


@dataclass(frozen=True)
class Slopes:
    """Log-likelihood of each draw and life, shape (n_draws, n_lives) throughout.

    Attributes
    ----------
    value : ndarray
        Minus infinity where a draw makes a life impossible; its slopes are 0 there.
    by_scale, curvature : ndarray
        First and second derivative by the log scale.
    by_shape, by_early : ndarray
        Derivatives by the log shape, and by the log-odds of an early failure;
        empty where they were not asked for.
    """

    value: Floats
    by_scale: Floats
    curvature: Floats
    by_shape: Floats
    by_early: Floats


class _Terms(NamedTuple):
    """Log of a node's term and its derivatives: by b, twice by b, by a, by c."""

    value: Floats
    b: Floats
    bb: Floats
    a: Floats
    c: Floats


_NOT_ASKED = np.empty((0, 0))


def slopes_of(
    family: Family,
    theta: Parameters,
    nodes: Nodes,
    early_years: float,
    shift: Floats | None = None,
    *,
    every: bool = True,
) -> Slopes:
    """Log-likelihood of each draw and life, with its slopes.

    Parameters
    ----------
    theta : Parameters
        n draws.
    nodes : Nodes
        m lives. Their counts are not applied.
    early_years : float
        How long after fitting an early failure can come.
    shift : ndarray, shape (n, m), optional
        Added to the log scale of each life: its own life factor, as a logarithm.
    every : bool
        False leaves the slopes by shape and early share out.
    """
    at = _At(family, theta, early_years, shift, nodes, every)
    outcome = nodes.outcome[nodes.life]
    exact, interval = outcome == EXACT, outcome == INTERVAL
    sound = ~(exact | interval)
    ends = []
    if sound.any():
        ends.append((sound, at.sound(nodes.lower[sound], nodes.lower_years[sound], sound)))
    if exact.any():
        ends.append((exact, at.failed(nodes.upper[exact], nodes.upper_years[exact], exact)))
    if interval.any():
        ends.append((interval, at.failed_within(interval)))
    top = _mixed(at.together(ends), nodes, nodes.weight)
    late = nodes.entry > 0
    if late.any():
        entry = at.sound(nodes.entry[late], nodes.entry_years[late], late)
        weight = nodes.weight if nodes.entry_weight is None else nodes.entry_weight
        bottom = _mixed(at.together([(late, entry)]), nodes, weight)
        with np.errstate(invalid="ignore"):
            top = _Terms(*(x - y for x, y in zip(top, bottom, strict=True)))
    possible = np.isfinite(top.value)
    if possible.all():
        return Slopes(*top)
    slopes = [np.where(possible, x, 0.0) if x.size else x for x in top[1:]]
    return Slopes(np.where(possible, top.value, -np.inf), *slopes)


@dataclass(frozen=True)
class _At:
    """Terms of nodes at the draws of the parameters."""

    family: Family
    theta: Parameters
    early_years: float
    shift: Floats | None
    nodes: Nodes
    every: bool

    def together(self, ends: list[tuple[Bools, _Terms]]) -> _Terms:
        """Terms of all nodes; 0 where none are given."""
        shape = len(self.theta), len(self.nodes.life)
        asked = shape if self.every else (0, 0)
        whole = _Terms(
            np.zeros(shape), np.zeros(shape), np.zeros(shape), np.zeros(asked), np.zeros(asked)
        )
        for which, terms in ends:
            for into, part in zip(whole, terms, strict=True):
                if part.size:
                    into[:, which] = part
        return whole

    def sound(self, age: Floats, years: Floats, which: Bools) -> _Terms:
        """Log S(age): sound when last seen."""
        z, k = self._z(age, which)
        h, h1, h2 = self.family.slopes(z)
        early, by_c = self._early(years)
        terms = _Terms(-h - early, k * h1, -(k**2) * h2, _NOT_ASKED, _NOT_ASKED)
        return terms._replace(a=-z * h1, c=-by_c) if self.every else terms

    def failed(self, age: Floats, years: Floats, which: Bools) -> _Terms:
        """Log f(age): failed at that age."""
        z, k = self._z(age, which)
        last = self.sound(age, years, which)
        _, h1, _ = self.family.slopes(z)
        bend, bend1 = self.family.bend(z)
        log_age = np.log(np.maximum(age, _LEAST_AGE))
        with np.errstate(divide="ignore"):
            log_wear = np.log(h1) + np.log(k) - log_age
        # The share of the hazard that is wear-out: all of it once the early days are over.
        share, log_hazard, of_early = np.ones_like(z), log_wear, np.zeros_like(z)
        young = years < self.early_years
        if self.theta.early.any() and young.any():
            of_age = np.where(age[young] > 0, age[young], 1.0)
            hazard = early_hazard(years[None, young], self.theta.early[:, None], self.early_years)
            with np.errstate(divide="ignore"):
                log_early = np.log(hazard * years[young] / of_age)
            log_hazard = log_wear.copy()
            log_hazard[:, young] = np.logaddexp(log_wear[:, young], log_early)
            share[:, young] = np.exp(log_wear[:, young] - log_hazard[:, young])
            # d log(early hazard) / dc, with the share e = expit(c): 1 - e + e (1 - e) y / (E - e y)
            e = self.theta.early[:, None]
            of_early[:, young] = (1 - e) * (
                1 + e * years[young] / (self.early_years - e * years[young])
            )
        slope = -k * bend
        b = last.b + share * slope
        bb = last.bb + share * k**2 * bend1 + share * (1 - share) * slope**2
        value = last.value + log_hazard
        terms = _Terms(value, b, bb, _NOT_ASKED, _NOT_ASKED)
        if not self.every:
            return terms
        return terms._replace(a=last.a + share * (1 + z * bend), c=last.c + (1 - share) * of_early)

    def failed_within(self, which: Bools) -> _Terms:
        """Log of S(lower) - S(upper): failed after one age and by another."""
        nodes = self.nodes
        low = self.sound(nodes.lower[which], nodes.lower_years[which], which)
        high = self.sound(nodes.upper[which], nodes.upper_years[which], which)
        # What is added to the cumulative hazard in the window, and its slopes. By each cause on
        # its own, since beside the early days the little that a young part wears would be lost.
        ages = ((nodes.lower, nodes.lower_years), (nodes.upper, nodes.upper_years))
        (wear, early), (wear_then, early_then) = (
            (self.family.total(self._z(age[which], which)[0]), self._early(years[which])[0])
            for age, years in ages
        )
        added = (wear_then - wear) + (early_then - early)
        b1, bb1 = low.b - high.b, low.bb - high.bb
        with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
            value = low.value + np.log(-np.expm1(-added))
            q = 1.0 / np.expm1(added)
            pull = q * (1 + q)
            b = low.b + q * b1
            bb = low.bb + q * bb1 - pull * b1**2
            terms = _Terms(value, b, bb, _NOT_ASKED, _NOT_ASKED)
            if not self.every:
                return terms
            return terms._replace(a=low.a + q * (low.a - high.a), c=low.c + q * (low.c - high.c))

    def _z(self, age: Floats, which: Bools) -> tuple[Floats, Floats]:
        x = np.log(np.maximum(age, _LEAST_AGE))[None, :] - self.theta.log_scale[:, None]
        if self.shift is not None:
            x = x - self.shift[:, self.nodes.life[which]]
        k = np.exp(self.theta.log_shape)[:, None]
        # Past this every survival is 0 to the last digit, and no power of it may overflow.
        return np.minimum(k * x, 300.0), k

    def _early(self, years: Floats) -> tuple[Floats, Floats]:
        """Cumulative hazard of failing early, and its slope by the log-odds of the share."""
        e = self.theta.early[:, None]
        total = np.repeat(
            early_cumulative_hazard(np.array(self.early_years), e, self.early_years),
            len(years),
            axis=1,
        )
        by_c = np.repeat(e, len(years), axis=1)
        young = years < self.early_years
        if young.any():
            part = years[young] / self.early_years
            total[:, young] = -np.log1p(-e * part)
            by_c[:, young] = e * (1 - e) * part / (1 - e * part)
        return total, by_c


def _mixed(terms: _Terms, nodes: Nodes, weight: Floats) -> _Terms:
    """Log of the weighted sum over the nodes of each life, with its slopes."""
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    many = sizes > 1
    single = _Terms(*(x[:, nodes.first] if x.size else x for x in terms))
    if not many.any():
        return single
    inner = many[nodes.life]
    first = np.concatenate([[0], np.cumsum(sizes[many])[:-1]])
    value = terms.value[:, inner] + np.log(weight[inner])
    top = np.maximum.reduceat(value, first, axis=1)
    top = np.where(np.isfinite(top), top, 0.0)
    likely = np.exp(value - np.repeat(top, sizes[many], axis=1))
    total = np.add.reduceat(likely, first, axis=1)
    with np.errstate(divide="ignore"):
        single.value[:, many] = top + np.log(total)

    def mean(of: Floats) -> Floats:
        # An impossible node has no weight, and may have no slope either.
        with np.errstate(divide="ignore", invalid="ignore"):
            product = np.where(likely > 0, likely * of, 0.0)
            return np.asarray(np.add.reduceat(product, first, axis=1) / total)

    b = terms.b[:, inner]
    slope = mean(b)
    single.b[:, many] = slope
    single.bb[:, many] = mean(terms.bb[:, inner] + b**2) - slope**2
    for whole, part in ((single.a, terms.a), (single.c, terms.c)):
        if part.size:
            whole[:, many] = mean(part[:, inner])
    return single
