"""The cumulative failure rate over age, without a family: Nelson-Aalen with delayed entry."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.nonparametric.bands import LEVEL, Departure, departure, log_limits
from analytics.ageing.nonparametric.risk_sets import risk_sets
from analytics.ageing.nonparametric.spells import At, lives_of_kind, watched_ages
from analytics.lives import Lives

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class CumulativeRate:
    """Cumulative failure rate by age: minus the logarithm of the share that would still be sound.

    Attributes
    ----------
    ages : ndarray, shape (k,)
        Ages at which lives failed; the value steps up there and holds until the next.
    watched, failed : ndarray, shape (k,)
        Lives watched just before, and failed at, each age.
    cumulative, error, low, high : ndarray, shape (k,)
        Cumulative rate, its standard error, and its limits on the log scale.
    level : float
    lives : float
    oldest : float
        Greatest age watched: nothing is known past it.
    windowed, left_out : int
        Lives of the records whose age at the end is a window; lives not used.
    unit : str
        "years" or "hours".
    """

    ages: Floats
    watched: Floats
    failed: Floats
    cumulative: Floats
    error: Floats
    low: Floats
    high: Floats
    level: float
    lives: float
    oldest: float
    windowed: int
    left_out: int
    unit: str

    def table(self) -> pd.DataFrame:
        """A row per age at which lives failed.

        Returns
        -------
        DataFrame
            `age_UNIT`, `watched`, `failed`, `cumulative_rate` (a number, without a
            unit), its `_error`, `_low` and `_high`.
        """
        return pd.DataFrame(
            {
                f"age_{self.unit}": self.ages,
                "watched": self.watched,
                "failed": self.failed,
                "cumulative_rate": self.cumulative,
                "cumulative_rate_error": self.error,
                "cumulative_rate_low": self.low,
                "cumulative_rate_high": self.high,
            }
        )

    def at(self, ages: npt.ArrayLike) -> pd.DataFrame:
        """Cumulative rate and limits at some ages: `age_UNIT`, `cumulative_rate`, `_low`, `_high`.

        NaN past the oldest age watched; before the first failure the rate is 0
        and has no limits.
        """
        asked = np.atleast_1d(np.asarray(ages, dtype=np.float64))
        step = np.searchsorted(self.ages, asked, side="right")
        columns = {f"age_{self.unit}": asked}
        for name, values, before in (
            ("cumulative_rate", self.cumulative, 0.0),
            ("cumulative_rate_low", self.low, np.nan),
            ("cumulative_rate_high", self.high, np.nan),
        ):
            found = np.concatenate([[before], values])[step]
            columns[name] = np.where(asked > self.oldest, np.nan, found)
        return pd.DataFrame(columns)


def cumulative_rate(
    exit: npt.ArrayLike,
    failed: npt.ArrayLike,
    entry: npt.ArrayLike | None = None,
    weight: npt.ArrayLike | None = None,
    *,
    level: float = LEVEL,
    unit: str = "years",
) -> CumulativeRate:
    """Sum, over the ages at which lives failed, of failed over watched.

    Parameters
    ----------
    exit, failed : array_like, shape (n,)
        Age at the end, and whether the life failed then.
    entry : array_like, optional
        Age from which each life was watched, before `exit`; 0 if left out.
    weight : array_like, optional
        Lives that each row stands for.
    level : float
        Of the limits.
    unit : str
        Of the ages.

    Raises
    ------
    ValueError
        If ages are missing or out of order.

    Notes
    -----
    Nelson 1972, Aalen 1978; variance the sum of failed over watched squared, and
    limits on the log scale, as in Klein & Moeschberger, Survival Analysis,
    sections 4.2, 4.3 and, for delayed entry, 4.6 (from memory). Lives that fail
    at one age fail together; nothing is drawn by chance.
    """
    sets = risk_sets(entry, exit, np.asarray(failed, dtype=bool), 1, weight)
    died = sets.ended[:, 0]
    total = np.cumsum(died / sets.watched)
    error = np.sqrt(np.cumsum(died / sets.watched**2))
    low, high = log_limits(total, error, level)
    return CumulativeRate(
        ages=sets.ages,
        watched=sets.watched,
        failed=died,
        cumulative=total,
        error=error,
        low=low,
        high=high,
        level=level,
        lives=sets.lives,
        oldest=sets.oldest,
        windowed=0,
        left_out=0,
        unit=unit,
    )


def from_lives(
    lives: Lives,
    kind: str,
    group: str | None = None,
    *,
    at: At = "middle",
    level: float = LEVEL,
) -> CumulativeRate:
    """Cumulative failure rate of one kind, or of one group of it, on its own clock.

    Ages that are windows are taken at their middle, or at one end of them: the
    three together show what the windows leave open (see `spells.watched_ages`).

    Raises
    ------
    ValueError
        If there is no such life.
    """
    return from_table(lives, lives_of_kind(lives, kind, group), at=at, level=level)


def from_table(
    lives: Lives, table: pd.DataFrame, *, at: At = "middle", level: float = LEVEL
) -> CumulativeRate:
    """Cumulative failure rate of some lives of one kind; see `from_lives`.

    Parameters
    ----------
    lives : Lives
        The whole fleet, for the shaft hours.
    table : DataFrame
        Rows of `lives.table` of one kind, at least one.
    """
    ages = watched_ages(lives, table, at)
    failed = (ages.table["outcome"] == "failed").to_numpy()
    found = cumulative_rate(ages.exit, failed, ages.entry, level=level, unit=ages.unit)
    return replace(found, windowed=ages.windowed, left_out=ages.left_out)


def against(rate: CumulativeRate, ages: npt.ArrayLike, survival: npt.ArrayLike) -> Departure:
    """Where a fitted survival curve leaves the limits of the cumulative rate, in words.

    Parameters
    ----------
    rate : CumulativeRate
    ages, survival : array_like, shape (k,)
        The fitted curve; its cumulative rate is minus its logarithm.
    """
    asked = np.asarray(ages, dtype=np.float64)
    known = rate.at(asked)
    with np.errstate(divide="ignore"):
        fitted = -np.log(np.asarray(survival, dtype=np.float64))
    return departure(
        asked,
        fitted,
        known["cumulative_rate_low"].to_numpy(),
        known["cumulative_rate_high"].to_numpy(),
        unit=rate.unit,
        curve_name="the fitted cumulative rate",
        records_name="the records' own",
        below_means="these lives ended sooner than the curve allows",
        above_means="these lives lasted longer than the curve allows",
    )
