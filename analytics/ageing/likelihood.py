"""The likelihood of lives with windowed starts, delayed entry and every kind of end.

For a life fitted on day s, watched from age e(s), with survival S and density f::

    failed at age b                  g(s) = f(b)
    failed somewhere in (a, b]       g(s) = S(max(a, e)) - S(b)
    sound when last seen at age a    g(s) = S(a)

    L = sum_s w(s) g(s) / sum_s w(s) S(e(s))

The denominator is what "it is in the records only because it was still going
when they began" means (left truncation). With a known start this is the usual
left-truncated, interval-censored likelihood (Klein & Moeschberger, Survival
Analysis, chapter 3; cited from memory). Where the start is a window, the weights
above and below also carry the chance of not having been taken out, or of having
been taken out just then, for another reason (`removals`): with a known start
those factors cancel, with an unknown one they say how old the part can be. A
likelihood with windows is therefore known up to a constant.

Survival is that of two causes, early failure on calendar years and wear-out on
the kind's clock: S = S_early * S_wear. Accidents are another cause, taken as
censoring here, which is right for causes that act independently.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import expit

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import Family

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_LEAST_SUM = 1e-280

_CELLS_AT_ONCE = 100_000
"""Draws times nodes computed in one go: what fits in a processor's own memory goes fastest."""


@dataclass(frozen=True)
class Parameters:
    """Draws of what a kind ages by.

    Attributes
    ----------
    log_shape, log_scale : ndarray, shape (n_draws,)
        Wear-out, in the family's own terms.
    early : ndarray, shape (n_draws,)
        Share of installs that fail early; 0 where that cause is not modelled.
    codes : ndarray of int, shape (n_draws,), or None
        Family of each draw, as in `families.Averaged`, whose terms shape and scale
        are then in; None where all draws are of one family.
    """

    log_shape: Floats
    log_scale: Floats
    early: Floats
    codes: Ints | None = None

    def __len__(self) -> int:
        return len(self.log_shape)

    @classmethod
    def from_rows(cls, rows: Floats) -> Parameters:
        """Rows of (log shape, log scale) or (log shape, log scale, log-odds of early)."""
        # A proposal may lie so far out that its share rounds to 1, whose log-survival is endless.
        early = expit(np.minimum(rows[:, 2], 30.0)) if rows.shape[1] > 2 else np.zeros(len(rows))
        return cls(rows[:, 0], rows[:, 1], early)

    def part(self, chosen: slice | npt.NDArray[np.int64]) -> Parameters:
        """Some of the draws."""
        codes = None if self.codes is None else self.codes[chosen]
        return Parameters(self.log_shape[chosen], self.log_scale[chosen], self.early[chosen], codes)


def early_cumulative_hazard(years: Floats, early: Floats, early_years: float) -> Floats:
    """Cumulative hazard of failing early: a share `early`, spread evenly over `early_years`."""
    return np.asarray(-np.log1p(-early * np.minimum(years / early_years, 1.0)))


def early_hazard(years: Floats, early: Floats, early_years: float) -> Floats:
    """Hazard per year of failing early; 0 once `early_years` are over."""
    inside = years < early_years
    return np.asarray(
        np.where(inside, early / (early_years - early * np.minimum(years, early_years)), 0.0)
    )


def cumulative_hazard(
    family: Family,
    theta: Parameters,
    age: Floats,
    years: Floats,
    early_years: float,
    shift: Floats | None = None,
) -> Floats:
    """Cumulative hazard of failing, early or worn out.

    Parameters
    ----------
    family : Family
    theta : Parameters
        n draws.
    age, years : ndarray, shape (m,)
        The same ages on the kind's clock and in calendar years.
    early_years : float
        How long after fitting an early failure can come.
    shift : ndarray, shape (n, m), optional
        Added to the log scale: the life factor of each age's own part, as a logarithm.

    Returns
    -------
    ndarray, shape (n, m)
    """
    log_scale, family = _shifted(theta.log_scale[:, None], shift), family.of_draws(theta.codes)
    total = family.cumulative_hazard(age[None, :], theta.log_shape[:, None], log_scale)
    if not theta.early.any():
        return total
    # Most parts are past their early days: for them the cause adds the same at every age.
    spent = early_cumulative_hazard(np.array(early_years), theta.early, early_years)[:, None]
    total += spent
    young = years < early_years
    if young.any():
        so_far = early_cumulative_hazard(years[None, young], theta.early[:, None], early_years)
        total[:, young] += so_far - spent
    return total


def log_likelihood(family: Family, theta: Parameters, nodes: Nodes, early_years: float) -> Floats:
    """Log-likelihood of each draw, in densities per unit of the kind's clock.

    Returns
    -------
    ndarray, shape (n_draws,)
        Minus infinity where a draw makes the records impossible.
    """
    total = np.zeros(len(theta))
    if not nodes.n_lives:
        return total
    step = max(1, _CELLS_AT_ONCE // max(1, len(nodes.life)))
    for at in range(0, len(theta), step):
        chunk = slice(at, at + step)
        with np.errstate(over="ignore", invalid="ignore"):
            total[chunk] = per_life(family, theta.part(chunk), nodes, early_years) @ nodes.count
    return total


def per_life(
    family: Family,
    theta: Parameters,
    nodes: Nodes,
    early_years: float,
    shift: Floats | None = None,
) -> Floats:
    """Log-likelihood of each draw and life, shape (n_draws, n_lives).

    Parameters
    ----------
    shift : ndarray, shape (n_draws, n_lives), optional
        Added to the log scale of each life: its own life factor, as a logarithm.
    """
    by_node = shift
    if shift is not None and len(nodes.life) > nodes.n_lives:
        by_node = shift.take(nodes.life, axis=1)

    def of(which: npt.NDArray[np.bool_]) -> Floats | None:
        return None if by_node is None else by_node[:, which]

    outcome = nodes.outcome[nodes.life]
    log_weight = np.log(nodes.weight)
    log_g = np.empty((len(theta), len(nodes.life)))

    censored = outcome == CENSORED
    log_g[:, censored] = -cumulative_hazard(
        family,
        theta,
        nodes.lower[censored],
        nodes.lower_years[censored],
        early_years,
        of(censored),
    )
    interval = outcome == INTERVAL
    if interval.any():
        to_lower, added = _hazard_within(family, theta, nodes, interval, early_years, of(interval))
        with np.errstate(divide="ignore", invalid="ignore"):
            inside = np.log(-np.expm1(-added))
            log_g[:, interval] = np.where(np.isfinite(to_lower), inside - to_lower, -np.inf)
    exact = outcome == EXACT
    if exact.any():
        log_g[:, exact] = _log_density(
            family, theta, nodes.upper[exact], nodes.upper_years[exact], early_years, of(exact)
        )
    log_top = _log_sum(log_g + log_weight, nodes)
    entered_late = nodes.entry > 0
    if not entered_late.any():
        return log_top
    to_entry = np.zeros(log_g.shape)
    to_entry[:, entered_late] = cumulative_hazard(
        family,
        theta,
        nodes.entry[entered_late],
        nodes.entry_years[entered_late],
        early_years,
        of(entered_late),
    )
    if nodes.entry_weight is not None:
        log_weight = np.log(nodes.entry_weight)
    log_bottom = _log_sum(log_weight - to_entry, nodes)
    with np.errstate(invalid="ignore"):
        return np.where(np.isneginf(log_top), -np.inf, log_top - log_bottom)


def _hazard_within(
    family: Family,
    theta: Parameters,
    nodes: Nodes,
    which: npt.NDArray[np.bool_],
    early_years: float,
    shift: Floats | None,
) -> tuple[Floats, Floats]:
    """Cumulative hazard up to the lower age of some nodes, and what the window adds to it.

    By each cause on its own: beside what the early days add to both ages, the little
    that a young part wears in its window would be lost to rounding.
    """
    of_draws = family.of_draws(theta.codes)
    log_shape, log_scale = theta.log_shape[:, None], _shifted(theta.log_scale[:, None], shift)
    lower, upper = (
        of_draws.cumulative_hazard(age[which][None, :], log_shape, log_scale)
        for age in (nodes.lower, nodes.upper)
    )
    with np.errstate(invalid="ignore"):
        added = upper - lower
    if not theta.early.any():
        return lower, added
    early = theta.early[:, None]
    lower += early_cumulative_hazard(np.array(early_years), early, early_years)
    young = nodes.lower_years[which] < early_years
    if young.any():
        begin, end, whole = (
            early_cumulative_hazard(years, early, early_years)
            for years in (
                nodes.lower_years[which][None, young],
                nodes.upper_years[which][None, young],
                np.array(early_years),
            )
        )
        lower[:, young] += begin - whole
        added[:, young] += end - begin
    return lower, added


def _log_density(
    family: Family,
    theta: Parameters,
    age: Floats,
    years: Floats,
    early_years: float,
    shift: Floats | None,
) -> Floats:
    total = cumulative_hazard(family, theta, age, years, early_years, shift)
    log_scale = _shifted(theta.log_scale[:, None], shift)
    family = family.of_draws(theta.codes)
    log_wear = family.log_hazard(age[None, :], theta.log_shape[:, None], log_scale)
    if not theta.early.any():
        return log_wear - total
    log_hazard = np.array(np.broadcast_to(log_wear, total.shape))
    young = years < early_years
    # The early hazard is per year, the density per unit of clock: turned by the life's own mean
    # rate so far, which differs from the rate of the day only where a boat's hours are uneven.
    years_per_unit = years[young] / np.where(age[young] > 0, age[young], 1.0)
    with np.errstate(divide="ignore"):
        log_early = np.log(
            early_hazard(years[None, young], theta.early[:, None], early_years) * years_per_unit
        )
    log_hazard[:, young] = np.logaddexp(log_hazard[:, young], log_early)
    return np.asarray(log_hazard - total)


def lives_of(nodes: Nodes, which: npt.NDArray[np.bool_]) -> Nodes:
    """Some of the lives, with all their nodes."""
    rows = which[nodes.life]
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[which]
    per_node = ("weight", "start", "entry", "lower", "upper",
                "entry_years", "lower_years", "upper_years")  # fmt: skip
    return replace(
        nodes,
        life=np.repeat(np.arange(len(sizes)), sizes),
        first=(np.cumsum(sizes) - sizes).astype(np.int64),
        outcome=nodes.outcome[which],
        count=nodes.count[which],
        entry_weight=None if nodes.entry_weight is None else nodes.entry_weight[rows],
        **{name: getattr(nodes, name)[rows] for name in per_node},
    )


def _shifted(log_scale: Floats, shift: Floats | None) -> Floats:
    return log_scale if shift is None else log_scale + shift


def _log_sum(terms: Floats, nodes: Nodes) -> Floats:
    """Log of the sum over the nodes of each life, shape (n_draws, n_lives)."""
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))
    many = sizes > 1
    summed = terms[:, nodes.first]
    if not many.any():
        return summed
    # Lives whose fitting is known to the day have one node and need no sum.
    windowed, sizes = terms[:, many[nodes.life]], sizes[many]
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    with np.errstate(over="ignore"):
        total = np.add.reduceat(np.exp(windowed), first, axis=1)
    if total.min() > _LEAST_SUM and total.max() < np.inf:
        summed[:, many] = np.log(total)
        return summed
    # Some life is so unlikely, or so short, that its sum has to be taken about its largest term.
    top = np.maximum.reduceat(windowed, first, axis=1)
    at = np.where(np.isfinite(top), top, 0.0)
    windowed = np.exp(windowed - np.repeat(at, sizes, axis=1))
    with np.errstate(divide="ignore"):
        summed[:, many] = at + np.log(np.add.reduceat(windowed, first, axis=1))
    return summed
