"""At what age to replace a part while it is sound: cost per year against the age.

Over many renewals a part that is replaced at age T, or when it fails before, costs
per year (renewal-reward theorem; Barlow & Proschan, Mathematical theory of
reliability, 1965; from memory)::

    [planned * R(T) + failed * (1 - R(T))] / integral of R from 0 to T

with R the share still in service: neither failed nor lost to an accident. T is
looked at only where a lift can fall, once a year at the lay-up. Every draw of the
parameters has a curve of its own, so that the best age is a range and not a point.

Where a failure shows only at a lift, the part stays in until the first lift after it
failed, so that the time below the line is what passes until a lift ends it: the sum of
R(t) over the lifts before T, times the wait that begins at each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]

LONGEST = 60
"""Years after which a part counts as never replaced while sound."""

WORTH = 0.02
"""Share of the cost of running parts until they fail that a saving must reach to be called one
(planning default): below it nobody could tell in the books."""

NEAR_BEST = 0.05
"""Ages whose cost is within this share of the least count as about as good (planning default)."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_FIRST_CUTS = np.array([1 / 64, 1 / 8])

COLUMNS = ["years", "age", "cost", "cost_low", "cost_high", "best_in", "about_as_good"]


@dataclass(frozen=True)
class Costs:
    """What renewals of a part cost, in the fleet's currency.

    Attributes
    ----------
    planned : float
        One renewal at the lay-up lift.
    failed : float
        One failure, with the renewal that follows.

    Raises
    ------
    ValueError
        If either is not positive.
    """

    planned: float
    failed: float

    def __post_init__(self) -> None:
        if not (self.planned > 0 and self.failed > 0):
            raise ValueError("planned and failed cost must both be positive")


@dataclass(frozen=True)
class ReplacementAge:
    """Cost per year by the age at which parts of one kind are replaced while sound.

    Attributes
    ----------
    years : ndarray, shape (n_ages,)
        Ages in years, one for each lay-up lift after the fitting, up to `LONGEST`.
    ages : ndarray, shape (n_ages,)
        The same on the kind's clock, by the usual hours a year.
    cost : ndarray, shape (n_draws, n_ages)
        Cost per part and year.
    to_failure : ndarray, shape (n_draws,)
        Cost per part and year where nothing is replaced before it fails.
    costs : Costs
    units_per_year : float
        Clock units in a calendar year.
    found_at_lift : bool
        Whether a failure shows only at a lift.
    n_shown : int
        How many of the ages are shown; the best is looked for among them.
    """

    years: Floats
    ages: Floats
    cost: Floats
    to_failure: Floats
    costs: Costs
    units_per_year: float = 1.0
    found_at_lift: bool = False
    n_shown: int = LONGEST

    @property
    def shown(self) -> Floats:
        """The ages that are shown, in years, shape (n_shown,)."""
        return self.years[: self.n_shown]

    @property
    def shown_cost(self) -> Floats:
        """Cost per part and year at those, shape (n_draws, n_shown)."""
        return self.cost[:, : self.n_shown]

    @property
    def best(self) -> float:
        """Years after fitting at which the expected cost is least."""
        return float(self.shown[int(self.shown_cost.mean(axis=0).argmin())])

    @property
    def best_range(self) -> tuple[float, float]:
        """Between these years the least cost lies for 90 % of what is believed."""
        own = self.shown[self.shown_cost.argmin(axis=1)]
        low, high = np.quantile(own, BAND, method="inverted_cdf")
        return float(low), float(high)

    @property
    def about_as_good(self) -> tuple[float, float]:
        """First and last year at which the expected cost is near the least."""
        mean = self.shown_cost.mean(axis=0)
        near = self.shown[mean <= (1 + NEAR_BEST) * mean.min()]
        return float(near[0]), float(near[-1])

    @property
    def saving(self) -> Floats:
        """Cost per part and year that replacing at `best` saves against running to failure."""
        return np.asarray(self.to_failure - self.cost[:, self._at(self.best)])

    @property
    def gains_nothing(self) -> bool:
        """Whether no age is worth replacing at."""
        return bool(self.saving.mean() < WORTH * self.to_failure.mean())

    def at(self, years: float) -> Floats:
        """Cost per part and year where parts are replaced at the first lift past an age."""
        if years > self.years[-1]:
            return self.to_failure
        return np.asarray(self.cost[:, self._at(years)])

    @property
    def least(self) -> Floats:
        """Cost per part and year at `best`, or of running to failure where no age gains."""
        return self.to_failure if self.gains_nothing else self.at(self.best)

    def dearer(self, years: float) -> Floats:
        """What replacing at an age costs per part and year above `least`, for each draw."""
        return np.asarray(self.at(years) - self.least)

    def per_thousand(self, cost_per_year: Floats) -> Floats:
        """A cost per year as one per 1,000 units of the clock, such as 1,000 shaft hours."""
        return np.asarray(cost_per_year * 1000.0 / self.units_per_year)

    def table(self) -> pd.DataFrame:
        """`COLUMNS` of the ages shown: mean and 90 % band of the cost; how often each is best."""
        years, shown = self.shown, self.shown_cost
        low, high = np.quantile(shown, BAND, axis=0)
        best = np.bincount(shown.argmin(axis=1), minlength=len(years))
        first, last = self.about_as_good
        return pd.DataFrame(
            {
                "years": years,
                "age": self.ages[: self.n_shown],
                "cost": shown.mean(axis=0),
                "cost_low": low,
                "cost_high": high,
                "best_in": best / len(shown),
                "about_as_good": (years >= first) & (years <= last),
            }
        )

    def _at(self, years: float) -> int:
        return int(np.minimum(np.searchsorted(self.years, years - 1e-9), len(self.years) - 1))


def replacement_age(
    ageing: Ageing,
    costs: Costs,
    *,
    shift: Floats | None = None,
    longest: int = 25,
    units_per_year: float | None = None,
    found_at_lift: bool = False,
) -> ReplacementAge:
    """Cost per year by the age of replacement, at yearly lifts.

    Parameters
    ----------
    ageing : Ageing
        One kind.
    costs : Costs
    shift : ndarray, shape (n_draws,), optional
        Effect of a group on the log of life, such as of one base; none for the
        typical part.
    longest : int
        Years up to which ages are shown, at most `LONGEST`, up to which all are computed.
    units_per_year : float, optional
        Clock units in a calendar year where these parts stand; by default those of all.
    found_at_lift : bool
        Whether a failure shows only at a lift.

    Returns
    -------
    ReplacementAge
    """
    years = np.arange(1.0, LONGEST + 1)
    rate = ageing.units_per_year if units_per_year is None else units_per_year
    everything = cost_per_year(
        ageing.posterior, costs, years, rate, shift, found_at_lift=found_at_lift
    )
    return ReplacementAge(
        years=years,
        ages=years * rate,
        cost=everything,
        to_failure=everything[:, -1],
        costs=costs,
        units_per_year=rate,
        found_at_lift=found_at_lift,
        n_shown=min(longest, LONGEST),
    )


def cost_per_year(
    posterior: Posterior,
    costs: Costs,
    years: Sequence[float] | Floats,
    units_per_year: float = 1.0,
    shift: Floats | None = None,
    *,
    found_at_lift: bool = False,
) -> Floats:
    """Long-run cost per part and year for each draw and age of replacement.

    Parameters
    ----------
    years : sequence of float, shape (n_ages,)
        Rising and positive; every lift up to the last, where failures are found at lifts.
    units_per_year : float
        Clock units in a calendar year.
    found_at_lift : bool
        Whether a part that failed stays in until the next of these ages.

    Returns
    -------
    ndarray, shape (n_draws, n_ages)
        Integrals by Gauss-Legendre between one age and the next.
    """
    ends = np.asarray(years, dtype=float)
    if not len(ends) or ends[0] <= 0 or (np.diff(ends) <= 0).any():
        raise ValueError("ages of replacement must be positive and rising")
    if found_at_lift:
        return _found_at_lifts(posterior, costs, ends, units_per_year, shift)
    # Near age 0 a power of the age is not smooth: the first stretch is cut finer.
    cuts = np.concatenate([ends[0] * _FIRST_CUTS, ends])
    starts = np.concatenate([[0.0], cuts[:-1]])
    half = (cuts - starts) / 2
    inside = (starts + half)[:, None] + half[:, None] * _NODES
    at_nodes = _in_service(posterior, inside.ravel(), units_per_year, shift)
    pieces = at_nodes.reshape(len(posterior), *inside.shape) @ _WEIGHTS * half
    watched = np.cumsum(pieces, axis=1)[:, len(_FIRST_CUTS) :]
    lasting = _in_service(posterior, ends, units_per_year, shift)
    return np.asarray((costs.planned * lasting + costs.failed * (1.0 - lasting)) / watched)


def _found_at_lifts(
    posterior: Posterior,
    costs: Costs,
    lifts: Floats,
    units_per_year: float,
    shift: Floats | None,
) -> Floats:
    lasting = _in_service(posterior, lifts, units_per_year, shift)
    at_start = np.concatenate([np.ones((len(lasting), 1)), lasting[:, :-1]], axis=1)
    until_found = np.cumsum(at_start * np.diff(lifts, prepend=0.0), axis=1)
    return np.asarray((costs.planned * lasting + costs.failed * (1.0 - lasting)) / until_found)


def _in_service(
    posterior: Posterior, years: Floats, units_per_year: float, shift: Floats | None
) -> Floats:
    """Share neither failed nor lost to an accident by an age, shape (n_draws, n_ages)."""
    theta = posterior.parameters
    by_age = None if shift is None else np.repeat(shift[:, None], len(years), axis=1)
    hazard = cumulative_hazard(
        posterior.family, theta, years * units_per_year, years, posterior.early_years, by_age
    )
    return np.exp(-hazard - posterior.accidents[:, None] * years)
