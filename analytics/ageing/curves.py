"""Fitted curves over age, each with its 90 % band, beside the non-parametric one."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard, early_hazard
from analytics.ageing.nonparametric.kaplan_meier import at_risk, drawn_lives, kaplan_meier
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]

CURVES_COLUMNS = [
    "kind",
    "group",
    "age",
    "clock",
    "survival",
    "survival_low",
    "survival_high",
    "hazard",
    "hazard_low",
    "hazard_high",
    "km",
    "at_risk",
]

BAND = (0.05, 0.95)
"""Every interval holds 90 % unless it says otherwise."""

N_AGES = 61


def ages_to_draw(ageing: Ageing) -> Floats:
    """Ages from new to a little past the oldest watched or the limit, whichever is later."""
    furthest = max(ageing.oldest, ageing.kind.limit or 0.0, ageing.kind.prior.at) * 1.15
    return np.linspace(0.0, furthest, N_AGES)


def survival_and_hazard(ageing: Ageing, posterior: Posterior, ages: Floats) -> pd.DataFrame:
    """Share still sound by age and failure rate at that age, early failure and wear-out together.

    Parameters
    ----------
    ageing : Ageing
        For the clock's speed.
    posterior : Posterior
        `ageing.posterior` or `ageing.prior`.
    ages : ndarray, shape (m,)
        On the kind's clock.

    Returns
    -------
    DataFrame
        Columns `age`, `survival` (mean over the draws) and `hazard` (their middle
        value: a few draws with a very high rate would lift a mean out of the range),
        each with `_low` and `_high`; `hazard_wear_out` and `hazard_early` are the
        middle values of its parts. Hazards are per unit of the clock. Accidents are
        not in it.
    """
    family, theta = posterior.family, posterior.parameters
    years = ages / ageing.units_per_year
    survival = np.exp(-cumulative_hazard(family, theta, ages, years, posterior.early_years))
    # Shapes below 1 have an infinite hazard at age 0: draw it a hundredth of a step on.
    shown = np.maximum(ages, (ages[1] - ages[0]) / 100 if len(ages) > 1 else 1e-9)
    wear = np.exp(
        family.log_hazard(shown[None, :], theta.log_shape[:, None], theta.log_scale[:, None])
    )
    early = (
        early_hazard(years[None, :], theta.early[:, None], posterior.early_years)
        / ageing.units_per_year
    )
    total = wear + early
    table = {"age": ages}
    middles = (survival.mean(axis=0), np.median(total, axis=0))
    for name, middle, draws in zip(("survival", "hazard"), middles, (survival, total), strict=True):
        low, high = np.quantile(draws, BAND, axis=0)
        table |= {name: middle, f"{name}_low": low, f"{name}_high": high}
    parts = {"hazard_wear_out": wear, "hazard_early": early}
    return pd.DataFrame(table | {name: np.median(of, axis=0) for name, of in parts.items()})


def curves_table(ageing: FleetAgeing) -> pd.DataFrame:
    """Curves of every kind and group, for a file.

    Returns
    -------
    DataFrame
        `CURVES_COLUMNS`, then `basis` (with the records, or the prior alone
        where failures are too few) and `past_oldest`.
    """
    tables = []
    for (kind, group), fitted in ageing.items():
        ages = ages_to_draw(fitted)
        entry, exit, failed, _ = drawn_lives(fitted.nodes)
        plain = kaplan_meier(entry, exit, failed)
        table = survival_and_hazard(fitted, fitted.posterior, ages)
        table["kind"], table["group"], table["clock"] = kind, group, fitted.kind.clock
        table["km"] = _step(plain, ages)
        table["at_risk"] = at_risk(entry, exit, ages)
        table["basis"] = "mostly the prior" if fitted.rests_on_prior else "records and prior"
        table["past_oldest"] = ages > fitted.oldest
        tables.append(table[[*CURVES_COLUMNS, "basis", "past_oldest"]])
    if not tables:
        return pd.DataFrame(columns=[*CURVES_COLUMNS, "basis", "past_oldest"])
    return pd.concat(tables, ignore_index=True)


def life_at(posterior: Posterior, units_per_year: float, share: float = 0.1) -> Floats:
    """Age by which a share has failed, early or worn out, for each draw.

    Parameters
    ----------
    posterior : Posterior
    units_per_year : float
        Clock units in a calendar year, for early failures.
    share : float
        0.1 for the B10 life.

    Returns
    -------
    ndarray, shape (n_draws,)
        On the kind's clock, to a part in a million, by bisection.
    """
    theta, family = posterior.parameters, posterior.family
    wanted = -np.log1p(-share)
    high = family.age_at(np.full(len(theta), wanted), theta.log_shape, theta.log_scale)
    low = np.zeros(len(theta))
    # Early failures only bring the age forward, so the wear-out age is an upper bound.
    for _ in range(60):
        middle = (low + high) / 2
        wear = family.cumulative_hazard(middle, theta.log_shape, theta.log_scale)
        years = np.minimum(middle / units_per_year / posterior.early_years, 1.0)
        reached = wear - np.log1p(-theta.early * years) >= wanted
        low, high = np.where(reached, low, middle), np.where(reached, middle, high)
    return np.asarray(high)


def _step(curve: pd.DataFrame, ages: Floats) -> Floats:
    """The Kaplan-Meier curve at given ages; not known past the last life watched."""
    if curve.empty:
        return np.full(len(ages), np.nan)
    at = np.searchsorted(curve["age"].to_numpy(), ages, side="right")
    survival = np.concatenate([[1.0], curve["survival"].to_numpy()])[at]
    return np.where(ages > curve["age"].iloc[-1], np.nan, survival)
