"""The few figures that say how a kind ages, each with its 90 % interval."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from analytics.ageing.curves import BAND, life_at
from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import Posterior


@dataclass(frozen=True)
class Estimate:
    """A median and the 90 % interval about it."""

    median: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: npt.NDArray[np.float64]) -> Estimate:
        """From draws of equal weight."""
        low, median, high = np.quantile(draws, (BAND[0], 0.5, BAND[1]))
        return cls(float(median), float(low), float(high))


@dataclass(frozen=True)
class KeyFigures:
    """Figures of one posterior (or of the prior alone).

    Attributes
    ----------
    shape : Estimate
        How sharply parts wear out, in the family's own terms; a Weibull shape
        of 1 is no ageing at all.
    scale : Estimate
        In the family's own terms, on the kind's clock.
    life_10 : Estimate
        Age by which 10 % have failed, early or worn out, on the kind's clock.
    early : Estimate
        Share of installs that fail early.
    accidents : Estimate
        Accidents per part and year.
    """

    shape: Estimate
    scale: Estimate
    life_10: Estimate
    early: Estimate
    accidents: Estimate


def key_figures(ageing: Ageing, posterior: Posterior | None = None) -> KeyFigures:
    """Key figures with the records, or those of `ageing.prior` where it is given."""
    chosen = posterior or ageing.posterior
    theta = chosen.parameters
    return KeyFigures(
        shape=Estimate.of(np.exp(theta.log_shape)),
        scale=Estimate.of(np.exp(theta.log_scale)),
        life_10=Estimate.of(life_at(chosen, ageing.units_per_year)),
        early=Estimate.of(theta.early),
        accidents=Estimate.of(chosen.accidents),
    )


def ageing_document(ageing: Ageing) -> dict[str, Any]:
    """Everything a file says about one kind and group, as plain numbers and texts."""
    best = ageing.likelihood
    return {
        "kind": ageing.kind.name,
        "group": ageing.group,
        "boundary": ageing.kind.boundary,
        "clock": ageing.kind.clock,
        "family": ageing.kind.family,
        "lives": ageing.lives,
        "failures": ageing.failures,
        "worn_out_failures": ageing.worn_out,
        "accidents": ageing.accidents,
        "censored": ageing.censored,
        "oldest": ageing.oldest,
        "grade": ageing.grade,
        "with_records": asdict(key_figures(ageing)),
        "prior_alone": asdict(key_figures(ageing, ageing.prior)),
        "prior": asdict(ageing.kind.prior),
        "maximum_likelihood": best and {"shape": best.shape, "scale": best.scale},
        "method": ageing.posterior.method,
        "effective_draws": ageing.posterior.effective,
        "limit": ageing.kind.limit,
        "limit_years": ageing.kind.limit_years,
        "limit_from": ageing.kind.limit_from,
    }
