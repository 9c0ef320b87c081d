"""Invented fleets of one kind whose truth is known: half the fittings windowed or unknown.

Every window, entry and end of watching is drawn without regard to the truth, and lives are drawn
given that they had lasted until they were first watched. So the records are exactly those that
the likelihood assumes, and a posterior that misses its truth too often is to blame itself.

What no fleet of a yard is: lives do not follow each other in places, and parts are taken out
sound at one rate whatever their age.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any, cast

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.likelihood import Parameters, cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.lives import IN_SERVICE, Lives
from analytics.records.kinds import Kind
from analytics.records.settings import Settings
from analytics.usage import DAYS_PER_YEAR, ShaftHours

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

AS_OF = date(2025, 1, 1)
TODAY = float((AS_OF - date(1970, 1, 1)).days)
SEASON_DAYS = 183.0
"""The next half year."""

MOST_FAILURES = 50

_STARTS_TRIED = 400
"""Days in a window among which the day of fitting is drawn."""


@dataclass(frozen=True)
class Design:
    """How a fleet is recorded.

    Attributes
    ----------
    lives : int
    watched : float
        Years of records.
    oldest_entry : float
        Parts may have been fitted so many years before the records began.
    dated : float
        Share of lives of which the day of fitting is known; the others are known to a year, or
        only to have been in place when the records began, in equal parts.
    inspected : float
        Share of parts whose failures are found at yearly visits only.
    removed : float
        Parts taken out sound, per part and year.
    """

    lives: int
    watched: float
    oldest_entry: float = 7.0
    dated: float = 0.5
    inspected: float = 0.3
    removed: float = 0.05


@dataclass(frozen=True)
class Fleet:
    """Records of a fleet, and the days on which its parts were truly fitted."""

    lives: Lives
    start: Floats
    failures: int


@dataclass(frozen=True)
class _Frame:
    """All that is fixed before any life is drawn; days since 1970-01-01, shape (n_lives,)."""

    start_lo: Floats
    start_hi: Floats
    seen_from: Floats
    undated: Bools
    inspected: Bools
    visit: Floats


def invent(kind: Kind, truth: Posterior, design: Design, rng: np.random.Generator) -> Fleet:
    """Draw the records of a fleet.

    Parameters
    ----------
    kind : Kind
        As the program is told; what is true is all in `truth`.
    truth : Posterior
        One draw.
    design : Design
    rng : Generator
    """
    frame = _frame(design, rng)
    start = _fitted(truth, design, frame, rng)
    entered = (np.maximum(frame.seen_from, start) - start) / DAYS_PER_YEAR
    failed_at = np.ceil(start + _lives_given(truth, entered, rng) * DAYS_PER_YEAR)
    left, by_accident = _taken_out(truth, design, frame, start, rng)
    table = _table(kind, frame, failed_at, left, by_accident)
    settings = Settings(as_of=AS_OF, kinds={kind.name: kind})
    # Shaft hours are asked of no kind that ages by the calendar.
    lives = Lives(table, cast(ShaftHours, None), settings, ())
    return Fleet(lives, start, int((table["outcome"] == "failed").sum()))


def one_truth(kind: Kind, shape: float, scale: float) -> Posterior:
    """Weibull wear-out of a known shape and scale, and nothing else, whatever family is fitted."""
    kind = replace(kind, family="weibull")
    theta = Parameters(np.log([shape]), np.log([scale]), np.zeros(1))
    return Posterior(kind, theta, np.zeros(1), 1.0, "point")


def scale_for(kind: Kind, shape: float, failures: float, design: Design) -> float:
    """Scale at which a fleet of a design has so many failures on average, nearly."""
    log_scales, expected = _expected(kind, shape, design)
    # Longer lives fail less: the table falls.
    return float(np.exp(np.interp(-np.log(failures), -np.log(expected), log_scales)))


@lru_cache(maxsize=32)
def _expected(kind: Kind, shape: float, design: Design) -> tuple[Floats, Floats]:
    """Log scales, and how many failures they lead to in a fleet of a design."""
    drawn, log_scales = replace(design, lives=800), np.linspace(-1.0, 12.0, 30)
    expected = []
    for log_scale in log_scales:
        rng = np.random.default_rng(0)
        truth, frame = one_truth(kind, shape, float(np.exp(log_scale))), _frame(drawn, rng)
        start = _fitted(truth, drawn, frame, rng)
        begun = (np.maximum(frame.seen_from, start) - start) / DAYS_PER_YEAR
        watched = (TODAY - start) / DAYS_PER_YEAR - begun
        out = np.minimum(watched, rng.standard_exponential(len(start)) / design.removed)
        failing = -np.expm1(_hazard(truth, begun) - _hazard(truth, begun + out))
        expected.append(failing.mean() * design.lives)
    return log_scales, np.maximum(np.array(expected), 1e-12)


def _frame(design: Design, rng: np.random.Generator) -> _Frame:
    n, began = design.lives, np.round(TODAY - design.watched * DAYS_PER_YEAR)
    earliest = began - design.oldest_entry * DAYS_PER_YEAR
    sort = rng.permutation(np.arange(n) / n)
    undated = sort >= (1 + design.dated) / 2
    by_year = (sort >= design.dated) & ~undated
    day = np.floor(rng.uniform(earliest, TODAY - 1.0, n))
    year = np.floor(rng.uniform(earliest, TODAY - 370.0, n))
    oldest = np.floor(began - rng.uniform(3.0, 2.0 * design.oldest_entry, n) * DAYS_PER_YEAR)
    start_lo = np.where(undated, oldest, np.where(by_year, year, day))
    start_hi = np.where(undated, began, np.where(by_year, year + 364.0, day))
    return _Frame(
        start_lo=start_lo,
        start_hi=start_hi,
        # A part dated by the year is first seen when that year is over.
        seen_from=np.maximum(began, start_hi),
        undated=undated,
        inspected=rng.random(n) < design.inspected,
        visit=np.floor(rng.uniform(0.0, DAYS_PER_YEAR, n)),
    )


def _fitted(truth: Posterior, design: Design, frame: _Frame, rng: np.random.Generator) -> Floats:
    """Days of fitting: even over the window, given that the part was in place when first seen."""
    where = (np.arange(_STARTS_TRIED) + 0.5) / _STARTS_TRIED
    width = frame.start_hi - frame.start_lo
    tried = frame.start_lo[:, None] + width[:, None] * where
    age = np.maximum(frame.seen_from[:, None] - tried, 0.0) / DAYS_PER_YEAR
    out = design.removed + float(truth.accidents[0])
    # That nothing else took a part out is weighed only where its window is wide.
    log_share = -_hazard(truth, age) - np.where(frame.undated[:, None], out * age, 0.0)
    share = np.cumsum(np.exp(log_share - log_share.max(axis=1, keepdims=True)), axis=1)
    chosen = (rng.random((len(width), 1)) * share[:, -1:] > share).sum(axis=1)
    inside = (chosen + rng.random(len(width))) / _STARTS_TRIED
    return np.asarray(frame.start_lo + width * inside)


def _hazard(truth: Posterior, age: Floats) -> Floats:
    """Cumulative hazard of failing, of the shape of the ages."""
    flat = age.ravel()
    total = cumulative_hazard(truth.family, truth.parameters, flat, flat, truth.early_years)
    return np.asarray(total[0].reshape(age.shape))


def _lives_given(truth: Posterior, entered: Floats, rng: np.random.Generator) -> Floats:
    """Ages at failure in years, given that they lie beyond the ages of entry."""
    theta, years = truth.parameters, truth.early_years
    family, early = truth.family.of_draws(theta.codes), float(theta.early[0])
    curve = theta.log_shape[:, None], theta.log_scale[:, None]
    so_far = family.cumulative_hazard(entered[None, :], *curve)
    worn = family.age_at(so_far + rng.standard_exponential((1, len(entered))), *curve)[0]
    left = np.maximum(years - entered, 0.0)
    chance = early * left / years / (1.0 - early * np.minimum(entered / years, 1.0))
    bad = rng.random(len(entered)) < chance
    at = entered + left * rng.random(len(entered))
    return np.maximum(np.where(bad, np.minimum(worn, at), worn), entered)


def _taken_out(
    truth: Posterior, design: Design, frame: _Frame, start: Floats, rng: np.random.Generator
) -> tuple[Floats, Bools]:
    """Days on which parts are taken out for other reasons, if ever, and whether by accident."""
    begun, n = np.maximum(frame.seen_from, start), len(start)
    rates = design.removed, float(truth.accidents[0])
    sound, accident = (
        np.ceil(begun + rng.standard_exponential(n) * DAYS_PER_YEAR / max(rate, 1e-9))
        for rate in rates
    )
    return np.minimum(sound, accident), accident < sound


def _table(
    kind: Kind, frame: _Frame, failed_at: Floats, left: Floats, by_accident: Bools
) -> pd.DataFrame:
    """Rows of `lives.table`."""
    end = np.minimum(np.minimum(failed_at, left), TODAY)
    failed = failed_at <= np.minimum(left, TODAY)
    # The last visit before the end, and the next after it: a removal or today is not past.
    past = np.floor((end - frame.visit) / DAYS_PER_YEAR)
    last = np.floor(frame.visit + past * DAYS_PER_YEAR)
    last = np.where(last >= end, np.floor(frame.visit + (past - 1) * DAYS_PER_YEAR), last)
    following = np.floor(frame.visit + (past + 1) * DAYS_PER_YEAR)
    last = np.maximum(last, np.maximum(frame.seen_from, frame.start_hi))
    found = np.minimum(following, left)
    unseen = frame.inspected & failed & (found > TODAY)
    failed &= ~unseen
    in_service = ~failed & (np.minimum(left, TODAY) >= TODAY)
    by_visit = frame.inspected & failed & (last < found)
    sound = np.where(frame.inspected & in_service, np.minimum(last, TODAY), end)
    outcome = np.where(by_accident, "accident", "precaution").astype(object)
    outcome[in_service], outcome[failed] = IN_SERVICE, "failed"
    days = {
        "start_lo": frame.start_lo,
        "start_hi": frame.start_hi,
        "seen_from": frame.seen_from,
        "end_lo": np.where(by_visit, last, np.where(failed, end, sound)),
        "end_hi": np.where(by_visit, found, np.where(failed, end, sound)),
    }
    table: dict[str, Any] = {
        name: pd.to_datetime(day, unit="D", origin="unix") for name, day in days.items()
    }
    n = len(end)
    return pd.DataFrame(
        table
        | {
            "boat": [f"B{i:04d}" for i in range(n)],
            "position": "single",
            "kind": kind.name,
            "clock": kind.clock,
            "group": "all",
            "outcome": outcome,
            "place_began": False,
            "leaves_on": pd.NaT,
        }
        | dict.fromkeys(("base", "lay_up", "water", "lot", "size", "part_no"), "")
    )
