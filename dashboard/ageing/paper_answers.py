"""Points and lines of probability paper, worked out once; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.ageing.as_watched import as_watched
from analytics.ageing.curves import survival_and_hazard
from analytics.ageing.families import FAMILIES
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.plotting_positions import points_of
from analytics.ageing.nonparametric.spells import windows_of
from analytics.ageing.nonparametric.turnbull import turnbull

N_AGES = 70


@dataclass(frozen=True)
class OnPaper:
    """One kind on probability paper; shares failed, ages on the kind's clock.

    Attributes
    ----------
    points : DataFrame
        From `plotting_positions.points_of`.
    fitted : DataFrame or None
        `age`, `failed`, `failed_low`, `failed_high` of the fitted curve, of the mix of parts
        watched at each age; None where the records say too little for one.
    prior : DataFrame
        The same of the prior alone.
    likely : DataFrame or None
        `age`, `failed` of the records alone, all failures taken as wear-out and all parts as
        alike; None where there is no such curve.
    oldest : float
        Oldest age at which a life was known to be sound or to have failed.
    told : tuple of str
        What a reader must know of how the points came about.
    failures, unplaced : int
        Failures that the points stand for, and those without one.
    """

    points: pd.DataFrame
    fitted: pd.DataFrame | None
    prior: pd.DataFrame
    likely: pd.DataFrame | None
    oldest: float
    told: tuple[str, ...]
    failures: int = 0
    unplaced: int = 0


def on_paper_of(fitted: Ageing) -> OnPaper:
    """Points and lines of one kind."""
    entry, lower, upper = windows_of(fitted.nodes)
    told: tuple[str, ...] = ()
    points = pd.DataFrame({"age": [], "age_from": [], "age_to": [], "failed": []}, dtype=float)
    oldest, failures = 0.0, 0
    if len(lower):
        found = turnbull(lower, upper, entry, unit=fitted.kind.clock)
        points, told = points_of(found), tuple(found.told())
        oldest = found.oldest_told
        # Past an age at which the curve has ended there is no share to draw a failure at.
        placed = np.isfinite(upper)
        if found.ended_at is not None:
            placed &= lower < found.ended_at
        failures = int(placed.sum())
    written = max(oldest, fitted.kind.limit or 0.0)
    furthest = 1.3 * (written if written > 0 else fitted.kind.prior.at)
    youngest = min(float(points["age"].min()) if len(points) else furthest / 20, furthest / 20)
    ages = np.append(0.0, np.geomspace(youngest / 1.5, furthest, N_AGES))
    line = None
    if not fitted.rests_on_prior:
        line = _failed(
            as_watched(
                fitted.posterior,
                fitted.nodes,
                fitted.table,
                ages,
                units_per_year=fitted.units_per_year,
            )
        )
    return OnPaper(
        points=points,
        fitted=line,
        prior=_failed(survival_and_hazard(fitted, fitted.prior, ages)),
        likely=_likely(fitted, ages[1:]),
        oldest=oldest,
        told=told,
        failures=failures,
        unplaced=fitted.failures - failures,
    )


def _failed(survival: pd.DataFrame) -> pd.DataFrame:
    # At age 0 nothing has failed, and log age is nowhere.
    later = survival[survival["age"] > 0]
    return pd.DataFrame(
        {
            "age": later["age"].to_numpy(),
            "failed": 1.0 - later["survival"].to_numpy(),
            "failed_low": 1.0 - later["survival_high"].to_numpy(),
            "failed_high": 1.0 - later["survival_low"].to_numpy(),
        }
    )


def _likely(fitted: Ageing, ages: np.ndarray) -> pd.DataFrame | None:
    best, family = fitted.likelihood, FAMILIES.get(fitted.kind.family)
    if best is None or family is None or fitted.rests_on_prior:
        return None
    total = family.cumulative_hazard(ages, np.array(best.log_shape), np.array(best.log_scale))
    return pd.DataFrame({"age": ages, "failed": -np.expm1(-total)})
