"""What is believed of a kind before its lives are read, as a density and as draws.

Priors are stated in trade terms (`records.kinds.Prior`): the shape; the share worn
out by an age that the trade quotes; the share of bad fits; accidents a year.

What is believed of wear-out may be wrong about the fleet at hand. So each of its two
beliefs keeps `DOUBT` of its weight on a wide one about the same middle: if the belief
holds, the range that is stated holds 90 %; if it does not, almost anything may be. A few
failures that contradict the belief then move the weight to the wide one, instead of
being met halfway; where there are none, the doubt stays in the answer. (A mixture with
a vague part is a usual guard against a prior that conflicts with the data: Schmidli et
al. 2014, Biometrics 70; from memory. The weight is a planning default.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import log_expit, logit

from analytics.ageing.families import Family
from analytics.records.kinds import Kind, Prior

Floats = npt.NDArray[np.float64]

Z90 = 1.6448536269514722
"""Standard normal 95 % point: between minus and plus this lie 90 %."""

DOUBT = 0.2
"""Weight on a belief about wear-out being wrong, of the shape and of the age each."""

WIDE_FACTOR = 4.0
"""Of a shape of which nothing is known, 90 % lie within this factor of the middle."""

WIDE_SHARE = (0.002, 0.80)
"""5 % and 95 % points of the share worn out by a quoted age of which nothing is known."""

SHAPES = (0.1, 100.0)
"""Weibull shapes (in other families, those that spread log life as much) that are believed of
anything at all: beyond them ages leave what numbers can hold, and no part wears out so."""

N_DRAWS = 1000
"""Draws that every posterior and prior is handed on as."""


def log_prior(family: Family, prior: Prior, rows: Floats) -> Floats:
    """Log density of the prior at rows of (log shape, log scale[, log-odds of early]).

    The belief about the scale is stated as the share worn out by the age
    ``prior.at``; the change of variable to the log scale carries its Jacobian.
    """
    log_shape, log_scale = rows[:, 0], rows[:, 1]
    low, high = np.log(SHAPES) + np.log(family.shape_unit)
    density = _shape_belief(family, prior).log_density(log_shape)
    at = np.array(prior.at)
    worn = family.cumulative_hazard(at, log_shape, log_scale)
    # log-odds of 1 - exp(-H), written so that neither end rounds to 0 or 1.
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        log_odds = np.log(np.expm1(np.minimum(worn, 700.0)))
        density = density + _worn_out_belief(prior).log_density(log_odds)
        # Moving the log scale by d moves log t by -d: the slope of log-odds in log t is
        # t h / (1 - S).
        slope = (
            np.log(prior.at)
            + family.log_hazard(at, log_shape, log_scale)
            - np.log(-np.expm1(-worn))
        )
        density = density + slope
    if rows.shape[1] > 2:
        middle, width = _log_odds_belief(prior.early)
        density = density - 0.5 * ((rows[:, 2] - middle) / width) ** 2
    inside = (log_shape >= low) & (log_shape <= high)
    return np.where(np.isfinite(density) & inside, density, -np.inf)


def prior_rows(
    family: Family, prior: Prior, early: bool, n: int, rng: np.random.Generator
) -> Floats:
    """Draws from the prior, shape (n, 2) or (n, 3)."""
    low, high = np.log(SHAPES) + np.log(family.shape_unit)
    log_shape = _shape_belief(family, prior).draws(n, rng)
    while (outside := (log_shape < low) | (log_shape > high)).any():
        log_shape[outside] = _shape_belief(family, prior).draws(int(outside.sum()), rng)
    log_odds = _worn_out_belief(prior).draws(n, rng)
    # The cumulative hazard is one of z = shape * (log age - log scale): so is the scale found.
    z = np.log(family.age_at(-log_expit(-log_odds), np.zeros(n), np.zeros(n)))
    rows = [log_shape, np.log(prior.at) - z * np.exp(-log_shape)]
    if early:
        middle, width = _log_odds_belief(prior.early)
        rows.append(middle + width * rng.standard_normal(n))
    return np.column_stack(rows)


def at_quoted_age(prior: Prior, rows: Floats) -> Floats:
    """Rows with z = shape * (log quoted age - log scale) in place of the log scale.

    Where failures are few, belief and records both speak of the share worn out by
    some age, so of z, and the log scale that goes with it swings with the shape: the
    posterior is a bent ridge in (log shape, log scale), and nearly round in these.
    A density per log scale becomes one per z when it is divided by the shape.
    """
    found = rows.copy()
    found[:, 1] = np.exp(rows[:, 0]) * (np.log(prior.at) - rows[:, 1])
    return found


def from_quoted_age(prior: Prior, rows: Floats) -> Floats:
    """Rows with the log scale, from those of `at_quoted_age`."""
    found = rows.copy()
    found[:, 1] = np.log(prior.at) - rows[:, 1] * np.exp(-rows[:, 0])
    return found


def accident_draws(
    kind: Kind, accidents: int, exposure_years: float, rng: np.random.Generator
) -> Floats:
    """Gamma posterior of a constant rate: conjugate to a Poisson count over the exposure."""
    if "accident" not in kind.causes:
        return np.zeros(N_DRAWS)
    prior = kind.prior
    shape = prior.accidents * prior.accident_years
    return rng.gamma(shape + accidents, 1.0 / (prior.accident_years + exposure_years), N_DRAWS)


@dataclass(frozen=True)
class _Belief:
    """Normal about a middle, but for a doubt that makes it wider.

    Attributes
    ----------
    middle : float
    width, wide : float
        Standard deviations if the belief holds, and if it does not.
    """

    middle: float
    width: float
    wide: float

    def log_density(self, at: Floats) -> Floats:
        """Log density, but for the constant that all normal densities share."""
        held, doubted = (
            np.log(weight / width) - 0.5 * ((at - self.middle) / width) ** 2
            for weight, width in ((1.0 - DOUBT, self.width), (DOUBT, self.wide))
        )
        return np.asarray(np.logaddexp(held, doubted))

    def draws(self, n: int, rng: np.random.Generator) -> Floats:
        """Draws, shape (n,)."""
        width = np.where(rng.random(n) < DOUBT, self.wide, self.width)
        return np.asarray(self.middle + width * rng.standard_normal(n))


def _shape_belief(family: Family, prior: Prior) -> _Belief:
    """Belief about the log shape, in the family's own terms."""
    width, wide = (float(np.log(factor)) / Z90 for factor in (prior.shape_factor, WIDE_FACTOR))
    middle = float(np.log(prior.shape * family.shape_unit))
    return _Belief(middle, width, max(width, wide))


def _worn_out_belief(prior: Prior) -> _Belief:
    """Belief about the log-odds of being worn out by the quoted age."""
    middle, width = _log_odds_belief(prior.worn_out)
    return _Belief(middle, width, max(width, _log_odds_belief(WIDE_SHARE)[1]))


def _log_odds_belief(share: tuple[float, float]) -> tuple[float, float]:
    """Middle and standard deviation of a normal belief about log-odds."""
    low, high = float(logit(share[0])), float(logit(share[1]))
    return (low + high) / 2, (high - low) / (2 * Z90)
