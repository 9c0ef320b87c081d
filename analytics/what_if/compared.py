"""Today's plan and a changed one beside each other, future by future.

Both are simulated on the same draws of the parameters and the same chance, so that what
the two have in common cancels and the difference is that of the plans. Its range is over
the futures: luck is in it as well as what is not known of the parts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.job import HORIZON, Fleet, Progress
from analytics.outlook.futures import N_FUTURES
from analytics.what_if.against import rule_then
from analytics.what_if.applied import Plan, applied
from analytics.what_if.changes import Changes
from analytics.what_if.measures import (
    ALL,
    AS_THINGS_STAND,
    BOATS,
    COUNTED,
    MONEY,
    Measured,
    measured,
)

Floats = npt.NDArray[np.float64]

EVERY_SEASON = 0
"""Stands for all seasons together where a row is of no single one."""

COLUMNS = [
    *("plan", "season", "kind", "measure", "currency"),
    *("today", "changed", "difference", "difference_low", "difference_high"),
    *("less_often", "more_often", "today_p80", "changed_p80", "simulation_error"),
]
"""Columns that other programs may rely on."""


@dataclass(frozen=True)
class Compared:
    """What changes bring against today's plan.

    Attributes
    ----------
    changes : Changes
    years : tuple of int
        The seasons compared.
    table : DataFrame
        `COLUMNS`: a row for each season, kind and measure (see `measures`); season
        `EVERY_SEASON` is their sum, kind "all" the fleet. `today` and `changed` are means;
        `difference_low` to `difference_high` holds the difference in 90 of 100 futures;
        `less_often` and `more_often` are the shares of futures in which it is below and
        above nothing; `simulation_error` is the standard error of `difference` from
        the number of futures.
    boats : DataFrame
        Columns `boat`, `base`, `today`, `changed`, `difference`: chance of a failure in the
        first season as things stand; NaN where the boat is not in the fleet.
    unpriced : tuple of str
        What counts nothing in the money of either.
    """

    changes: Changes
    years: tuple[int, ...]
    table: pd.DataFrame
    boats: pd.DataFrame
    unpriced: tuple[str, ...]

    def row(self, measure: str, season: int = EVERY_SEASON, kind: str = ALL) -> pd.Series:
        """One row of the table."""
        table = self.table
        chosen = (table["measure"] == measure) & (table["season"] == season)
        return table[chosen & (table["kind"] == kind)].iloc[0]


def years_of(plan: Plan, changes: Changes, seasons: int = HORIZON) -> tuple[int, ...]:
    """The seasons compared, from the first that is coming in both plans on."""
    records = plan.fleet.records
    rule = rule_then(records.settings.seasons, changes, records.as_of)
    then = replace(records, settings=replace(records.settings, seasons=rule))
    both = plan.fleet, Fleet(then, plan.fleet.lives)
    first = max(fleet.coming_season().year for fleet in both)
    return tuple(range(first, first + (changes.seasons_ahead or seasons)))


def compared(
    today: Plan,
    changes: Changes,
    *,
    seasons: int = HORIZON,
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
    measured_today: Measured | None = None,
) -> Compared:
    """Compare today's plan with a changed one.

    Parameters
    ----------
    today : Plan
    changes : Changes
        Possible for this fleet, see `against.not_possible`.
    seasons : int
        How many, where the changes do not say.
    measured_today : Measured, optional
        Today's plan over the same seasons, with as many futures and the same seed.
    """
    years = years_of(today, changes, seasons)
    if measured_today is None:
        measured_today = measured(today, years, n_futures, seed, progress)
    changed = measured(applied(today, changes), years, n_futures, seed, progress)
    currency = today.fleet.records.settings.currency
    return between(measured_today, changed, changes, currency)


def between(today: Measured, changed: Measured, changes: Changes, currency: str) -> Compared:
    """The difference of two plans that were measured over the same seasons and futures."""
    years = tuple(season.year for season in today.seasons)
    rows = []
    for measure in (*COUNTED, *MONEY):
        one, other = today.by_kind[measure], changed.by_kind[measure]
        rows += _rows(measure, ALL, years, one.sum(axis=2), other.sum(axis=2))
        for at, kind in enumerate(today.kinds):
            rows += _rows(measure, kind, years, one[..., at], other[..., at])
    rows += _rows(BOATS, ALL, years, today.boats_failing, changed.boats_failing)
    one, other = today.as_things_stand, changed.as_things_stand
    rows.append(_row(AS_THINGS_STAND, ALL, years[0], one.sum(axis=1), other.sum(axis=1)))
    rows += [
        _row(AS_THINGS_STAND, kind, years[0], one[:, at], other[:, at])
        for at, kind in enumerate(today.kinds)
    ]
    table = pd.DataFrame(rows).assign(plan=changes.name)
    table["currency"] = np.where(table["measure"].isin(MONEY), currency, "")
    return Compared(
        changes=changes,
        years=years,
        table=table[COLUMNS],
        boats=_boats(today.boats, changed.boats),
        unpriced=changed.unpriced,
    )


def _rows(
    measure: str, kind: str, years: tuple[int, ...], today: Floats, changed: Floats
) -> list[Mapping[str, object]]:
    """Rows of every season and of all together, from arrays of shape (n_futures, n_seasons)."""
    single = [
        _row(measure, kind, year, today[:, at], changed[:, at]) for at, year in enumerate(years)
    ]
    return [_row(measure, kind, EVERY_SEASON, today.sum(axis=1), changed.sum(axis=1)), *single]


def _row(
    measure: str, kind: str, season: int, today: Floats, changed: Floats
) -> Mapping[str, object]:
    difference = changed - today
    low, high = np.quantile(difference, BAND)
    return {
        "season": season,
        "kind": kind,
        "measure": measure,
        "today": today.mean(),
        "changed": changed.mean(),
        "difference": difference.mean(),
        "difference_low": low,
        "difference_high": high,
        "less_often": (difference < 0).mean(),
        "more_often": (difference > 0).mean(),
        "today_p80": np.quantile(today, 0.8),
        "changed_p80": np.quantile(changed, 0.8),
        "simulation_error": difference.std() / np.sqrt(len(difference)),
    }


def _boats(today: pd.DataFrame, changed: pd.DataFrame) -> pd.DataFrame:
    one = today.rename(columns={"risk": "today"})
    other = changed.rename(columns={"risk": "changed"})
    both = one.merge(other, on="boat", how="outer", suffixes=("", "_then"), sort=True)
    both["base"] = both["base"].fillna(both["base_then"])
    both["difference"] = both["changed"] - both["today"]
    return both[["boat", "base", "today", "changed", "difference"]]
