"""What is believed of a kind before its lives are read, as a density and as draws.

Priors are stated in trade terms (`records.kinds.Prior`): the shape; the share worn
out by an age that the trade quotes; the share of bad fits; accidents a year.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import log_expit, logit

from analytics.ageing.families import Family
from analytics.records.kinds import Kind, Prior

Floats = npt.NDArray[np.float64]

Z90 = 1.6448536269514722
"""Standard normal 95 % point: between minus and plus this lie 90 %."""

N_DRAWS = 1000
"""Draws that every posterior and prior is handed on as."""


def log_prior(family: Family, prior: Prior, rows: Floats) -> Floats:
    """Log density of the prior at rows of (log shape, log scale[, log-odds of early]).

    The belief about the scale is stated as the share worn out by the age
    ``prior.at``; the change of variable to the log scale carries its Jacobian.
    """
    log_shape, log_scale = rows[:, 0], rows[:, 1]
    centre, spread = _shape_belief(family, prior)
    density = -0.5 * ((log_shape - centre) / spread) ** 2
    at = np.array(prior.at)
    worn = family.cumulative_hazard(at, log_shape, log_scale)
    middle, width = _log_odds_belief(prior.worn_out)
    # log-odds of 1 - exp(-H), written so that neither end rounds to 0 or 1.
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        log_odds = np.log(np.expm1(np.minimum(worn, 700.0)))
        density = density - 0.5 * ((log_odds - middle) / width) ** 2
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
    return np.where(np.isfinite(density), density, -np.inf)


def prior_rows(
    family: Family, prior: Prior, early: bool, n: int, rng: np.random.Generator
) -> Floats:
    """Draws from the prior, shape (n, 2) or (n, 3)."""
    centre, spread = _shape_belief(family, prior)
    log_shape = centre + spread * rng.standard_normal(n)
    middle, width = _log_odds_belief(prior.worn_out)
    log_odds = middle + width * rng.standard_normal(n)
    # The age at which the hazard of a part of scale 1 reaches it gives the scale.
    unit_age = family.age_at(-log_expit(-log_odds), log_shape, np.zeros(n))
    rows = [log_shape, np.log(prior.at) - np.log(unit_age)]
    if early:
        middle, width = _log_odds_belief(prior.early)
        rows.append(middle + width * rng.standard_normal(n))
    return np.column_stack(rows)


def accident_draws(
    kind: Kind, accidents: int, exposure_years: float, rng: np.random.Generator
) -> Floats:
    """Gamma posterior of a constant rate: conjugate to a Poisson count over the exposure."""
    if "accident" not in kind.causes:
        return np.zeros(N_DRAWS)
    prior = kind.prior
    shape = prior.accidents * prior.accident_years
    return rng.gamma(shape + accidents, 1.0 / (prior.accident_years + exposure_years), N_DRAWS)


def _shape_belief(family: Family, prior: Prior) -> tuple[float, float]:
    return float(np.log(prior.shape * family.shape_unit)), float(np.log(prior.shape_factor) / Z90)


def _log_odds_belief(share: tuple[float, float]) -> tuple[float, float]:
    low, high = float(logit(share[0])), float(logit(share[1]))
    return (low + high) / 2, (high - low) / (2 * Z90)
