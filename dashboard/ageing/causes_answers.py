"""Causes of one kind apart, worked out once; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.causes import cause_shares, causes_table
from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric import incidence
from analytics.ageing.nonparametric.incidence import Incidence
from analytics.ageing.nonparametric.spells import windows_of
from analytics.lives import Lives
from dashboard.curves import round_ages

Floats = npt.NDArray[np.float64]

MOST_READ_OUT = 4

N_COMPARED = 21


@dataclass(frozen=True)
class CausesApart:
    """Causes of one kind.

    Attributes
    ----------
    table : DataFrame
        `causes_table` over age, with the records' own shares.
    read_out : DataFrame
        The same at a few round ages, past those of bad fits.
    early : tuple of float
        Share of installs that fail from a bad fit: mean and 90 % range.
    ended : DataFrame
        `cause_shares`.
    own : Incidence or None
        The records' own shares; None where no life can be counted.
    told : tuple of str
        Where the fit's shares leave the limits of the records' own.
    oldest : float
        Oldest age at which a life of known age was watched.
    """

    table: pd.DataFrame
    read_out: pd.DataFrame
    early: tuple[float, float, float]
    ended: pd.DataFrame
    own: Incidence | None
    told: tuple[str, ...]
    oldest: float


def causes_apart(lives: Lives, fitted: Ageing) -> CausesApart:
    """Tell causes apart; by the prior where the records say too little."""
    _, lower, _ = windows_of(fitted.nodes)
    oldest = float(lower.max()) if len(lower) else 0.0
    own: Incidence | None = incidence.from_table(lives, fitted.table, causes=("failed", "accident"))
    if own is not None and not own.lives:
        own = None
    shown = fitted
    if fitted.rests_on_prior:
        shown = replace(fitted, posterior=fitted.prior)
    written = max(oldest, fitted.kind.limit or 0.0)
    furthest = written if written > 0 else fitted.kind.prior.at
    ages = np.linspace(0.0, furthest, 61)
    if "early" in fitted.kind.causes:
        over = fitted.posterior.early_years * fitted.units_per_year
        ages = np.unique([*ages, over * 0.5, over * 0.999, over * 1.001])
    table = causes_table(shown, ages, own)
    bad_fits = shown.posterior.parameters.early
    low, high = np.quantile(bad_fits, BAND)
    told = []
    if own is not None and not fitted.rests_on_prior:
        # Evenly over the ages watched: each age compared counts as much as the next.
        even = np.linspace(0.0, own.oldest, N_COMPARED)
        fit = causes_table(shown, even)
        for cause in own.causes:
            line = fit[fit["cause"] == cause]
            if len(line):
                said = incidence.against(own, cause, even, line["share_ended"]).sentence
                told += [said] if said else []
    return CausesApart(
        table=table,
        read_out=causes_table(shown, ages_read_out(fitted, furthest), own),
        early=(float(bad_fits.mean()), float(low), float(high)),
        ended=cause_shares(shown),
        own=own,
        told=tuple(told),
        oldest=oldest,
    )


def ages_read_out(fitted: Ageing, furthest: float) -> Floats:
    """A few round ages, past those of bad fits."""
    ages = round_ages(furthest)
    over = fitted.posterior.early_years * fitted.units_per_year
    ages = ages[ages >= (over if "early" in fitted.kind.causes else 1e-9)]
    if not len(ages):
        return np.array([furthest])
    every = int(np.ceil(len(ages) / MOST_READ_OUT))
    # From the last back, so that the oldest is among them.
    return np.asarray(ages[::-1][::every][::-1])
