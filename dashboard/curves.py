"""What is drawn and said of one kind's ageing: curves, ages under the axis, lives watched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.agreement import disagreement
from analytics.ageing.as_watched import as_watched
from analytics.ageing.clocks import EXACT, INTERVAL, Nodes
from analytics.ageing.curves import ages_to_draw, survival_and_hazard
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.kaplan_meier import (
    WIDE_START_YEARS,
    at_risk,
    drawn_lives,
    early_risk_warning,
    kaplan_meier,
)
from analytics.ageing.summary import KeyFigures, key_figures
from analytics.usage import DAYS_PER_YEAR

Floats = npt.NDArray[np.float64]

MOST_TICKS = 8
"""Ages under an axis; more run into each other on a narrow screen."""


@dataclass(frozen=True)
class Curves:
    """Everything drawn of one kind, on its own clock.

    Attributes
    ----------
    fitted, prior : DataFrame
        From `survival_and_hazard`: with the records, and the prior alone.
    mix : DataFrame or None
        From `as_watched`, at the ages of `fitted` that were watched: the fitted curve of the
        same mix of parts as the records' own. None where all parts are taken as alike, so that
        it is `fitted`, and where there is no fit.
    records : DataFrame
        The Kaplan-Meier curve; empty where no life has an age.
    ticks : ndarray
        Ages under the axis.
    watched : ndarray of int
        Lives watched at each tick.
    youngest, oldest : float
        Between these ages lives of known age were watched.
    furthest : float
        Where the age axis ends: not far past what was watched, or what is written of the kind.
    left_out, left_out_failed : int
        Lives whose fitting is too little known to be drawn, and how many of them failed.
    warning : str or None
        Where the records' own curve misleads.
    disagreement : str or None
        Where the records' own curve, the fitted one and the prior do not go together.
    figures, prior_figures : KeyFigures
    """

    fitted: pd.DataFrame
    prior: pd.DataFrame
    mix: pd.DataFrame | None
    records: pd.DataFrame
    ticks: Floats
    watched: npt.NDArray[np.int64]
    youngest: float
    oldest: float
    furthest: float
    left_out: int
    left_out_failed: int
    warning: str | None
    disagreement: str | None
    figures: KeyFigures
    prior_figures: KeyFigures


@dataclass(frozen=True)
class AtAge:
    """What is known of parts of one age.

    Attributes
    ----------
    age : float
        On the kind's clock.
    failed, failed_low, failed_high : float
        Share that the fitted curve has failed before that age, with its 90 % range.
    watched : int
        Lives of known age watched then.
    """

    age: float
    failed: float
    failed_low: float
    failed_high: float
    watched: int


def curves_of(fitted: Ageing, up_to: float = 0.0) -> Curves:
    """The curves of one kind, drawn as far as an age that has to be on them."""
    ages = ages_to_draw(fitted)
    if up_to > ages[-1]:
        ages = np.linspace(0.0, up_to, len(ages))
    ages = _with_early(fitted, ages)
    entry, exit, failed, left_out = drawn_lives(fitted.nodes)
    records = kaplan_meier(entry, exit, failed)
    # A part that may be 20 years old has not been watched for 20 years.
    oldest = float(exit.max()) if len(exit) else 0.0
    written = max(fitted.kind.limit or 0.0, fitted.kind.prior.at)
    furthest = max(min(1.3 * max(oldest, written), float(ages[-1])), up_to)
    ticks = round_ages(furthest)
    return Curves(
        fitted=survival_and_hazard(fitted, fitted.posterior, ages),
        prior=survival_and_hazard(fitted, fitted.prior, ages),
        mix=_of_the_mix(fitted, ages[ages <= oldest]),
        records=records,
        ticks=ticks,
        # Nobody is watched before age 0: the first count is of those watched from new.
        watched=at_risk(entry, exit, np.maximum(ticks, 1e-9)),
        youngest=float(entry.min()) if len(entry) else 0.0,
        oldest=oldest,
        furthest=furthest,
        left_out=left_out,
        left_out_failed=left_out_failures(fitted.nodes),
        warning=early_risk_warning(records),
        disagreement=disagreement(fitted),
        figures=key_figures(fitted),
        prior_figures=key_figures(fitted, fitted.prior),
    )


def at_age(fitted: Ageing, age: float) -> AtAge:
    """The share failed before an age by the fitted curve, and how many lives were watched then."""
    curve = survival_and_hazard(fitted, fitted.posterior, np.array([age])).astype(float)
    sound, low, high = (
        curve[name].iloc[0] for name in ("survival", "survival_low", "survival_high")
    )
    entry, exit, _, _ = drawn_lives(fitted.nodes)
    (watched,) = at_risk(entry, exit, np.array([max(age, 1e-9)]))
    return AtAge(
        age=age,
        failed=1.0 - sound,
        failed_low=1.0 - high,
        failed_high=1.0 - low,
        watched=int(watched),
    )


def left_out_failures(nodes: Nodes) -> int:
    """Failures among the lives that `drawn_lives` leaves out."""
    if not nodes.n_lives:
        return 0
    latest = np.maximum.reduceat(nodes.start, nodes.first)
    earliest = np.minimum.reduceat(nodes.start, nodes.first)
    wide = latest - earliest > WIDE_START_YEARS * DAYS_PER_YEAR
    return int((wide & np.isin(nodes.outcome, (EXACT, INTERVAL))).sum())


def round_ages(furthest: float) -> Floats:
    """Round ages from 0 to the end of the axis, at most `MOST_TICKS` of them."""
    rough = furthest / (MOST_TICKS - 1)
    unit = 10.0 ** np.floor(np.log10(rough)) if rough > 0 else 1.0
    step = next((unit * k for k in (1, 2, 5, 10) if unit * k >= rough), unit * 10)
    return np.asarray(np.arange(0.0, furthest + 1e-9, step))


def _of_the_mix(fitted: Ageing, ages: Floats) -> pd.DataFrame | None:
    """The fitted curve of the parts that were watched at each age, where parts are not alike."""
    if fitted.rests_on_prior or fitted.posterior.factors is None or len(ages) < 2:
        return None
    return as_watched(
        fitted.posterior, fitted.nodes, fitted.table, ages, units_per_year=fitted.units_per_year
    )


def _with_early(fitted: Ageing, ages: Floats) -> Floats:
    """The ages to draw, and those where early failures begin and end, so that the step shows."""
    if "early" not in fitted.kind.causes:
        return ages
    over = fitted.posterior.early_years * fitted.units_per_year
    return np.unique(np.concatenate([ages, over * np.array([0.5, 0.999, 1.001])]))
