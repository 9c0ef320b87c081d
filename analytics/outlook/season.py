"""The risk of a season: the chance that a part now in service fails in it.

The mean over the draws of the posterior is the risk; the interval spreads over
the draws, the effects of the part's own groups among them, and over the days on
which an undated part may have been fitted. It is the chance as things stand:
nothing is renewed before the season.
"""

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.chances import Chances, ages_ahead, chances
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SeasonRisk:
    """The risk of one season for every part, boat and the fleet.

    Attributes
    ----------
    season : Season
    parts : DataFrame
        A row per part in service, see `season_risk`.
    boats : DataFrame
        A row per boat with such a part, highest risk first.
    during : ndarray, shape (n_draws, n_parts)
        Chances behind `parts`, in its order.
    at_start : ndarray, shape (n_draws, n_parts)
        The same for one day of fitting per draw: what intervals are taken from.
    counts : ndarray
        Probability of 0, 1, 2, ... failures in the season over the fleet.
    """

    season: Season
    parts: pd.DataFrame
    boats: pd.DataFrame
    during: Floats
    at_start: Floats
    counts: Floats

    @property
    def expected(self) -> float:
        """Expected failures of the fleet in the season."""
        return float(self.parts["risk"].sum())

    @property
    def expected_before(self) -> float:
        """Expected failures before the season, those not yet seen among them."""
        return float(self.parts["risk_before"].sum())

    @property
    def expected_hidden(self) -> float:
        """Expected parts that are already worn and that only a lift will show."""
        return float(self.parts["risk_hidden"].sum())

    @property
    def likely_range(self) -> tuple[int, int]:
        """90 % range of the number of failures: parameters and luck together."""
        low, high = count_quantiles(self.counts, BAND)
        return low, high


def season_risk(
    lives: Lives,
    ageing: FleetAgeing,
    season: Season,
    seed: int = 0,
    own: FleetOwnLives | None = None,
) -> SeasonRisk:
    """The risk of a season for every part in service.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `ageing.fit.fleet_ageing`.
    season : Season
        One that ends after the last day watched.
    seed : int
        Source of chance for the days of fitting that intervals spread over.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.

    Returns
    -------
    SeasonRisk
        `parts` has `PART_COLUMNS`: the age (a range where the fitting is not
        known to the day), `risk` in the season with its 90 % interval,
        `risk_before` the season, `risk_hidden` (already worn on the last day
        watched, for kinds that show it only ashore), `risk_by_end` (before the
        season or in it), `lives` and `failures` behind the curve, `grade`, the
        three causes of `risk`, and covariates.

    Raises
    ------
    ValueError
        If the season is already over on the last day watched.
    """
    as_of = day_number(lives.as_of)
    begin, end = max(day_number(season.start), as_of), day_number(season.end) + 1
    if end <= as_of + 1:
        raise ValueError(f"the season {season.year} is over on {lives.as_of}")
    tables: list[pd.DataFrame] = []
    found: list[Chances] = []
    for (name, group), fitted in ageing.items():
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        rng = np.random.default_rng([seed, crc32(f"season|{name}|{group}".encode())])
        ages = ages_ahead(lives, fitted, begin, end, seed, (own or {}).get((name, group)))
        found.append(chances(fitted.posterior, ages, rng))
        tables.append(_parts_table(lives, fitted, rows, found[-1], as_of))
    if not tables:
        nothing, parts = np.empty((1, 0)), pd.DataFrame(columns=PART_COLUMNS)
        boats = _boats_table(parts, nothing, nothing, nothing, nothing)
        return SeasonRisk(season, parts, boats, nothing, nothing, np.ones(1))
    parts = pd.concat(tables, ignore_index=True)
    before, during, at_start, hidden = (
        np.concatenate([getattr(one, name) for one in found], axis=1)
        for name in ("before", "during", "at_start", "hidden")
    )
    boats = _boats_table(parts, before, during, at_start, hidden)
    return SeasonRisk(season, parts, boats, during, at_start, count_distribution(during))


def failing_by_end(risk: SeasonRisk, wear: Wear, own: OwnLives) -> dict[int, float]:
    """Chance that bearings fail before the season ends, by life; those that their readings move.

    Parameters
    ----------
    risk : SeasonRisk
        Taken with `own` among the parts moved.
    wear : Wear
        Of the same kind and group.
    own : OwnLives
    """
    by_source = dict(zip(risk.parts["source"], risk.parts["risk_by_end"], strict=True))
    read = wear.parts[wear.parts["life"].isin(own.life)]
    return {
        int(life): float(by_source[source])
        for life, source in zip(read["life"], read["source"], strict=True)
        if source in by_source
    }


PART_COLUMNS = [
    *("boat", "position", "kind", "age_low", "age_high", "clock"),
    *("risk", "risk_low", "risk_high", "risk_before", "lives", "failures", "grade"),
    *("risk_hidden", "risk_by_end", "risk_worn_out", "risk_early", "risk_accident"),
    *("base", "lay_up", "water", "lot", "size", "part_no", "group"),
    *("start_lo", "start_hi", "source"),
]


def _parts_table(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, found: Chances, as_of: float
) -> pd.DataFrame:
    table = rows[[name for name in PART_COLUMNS if name in rows]].copy()
    low, high = np.quantile(found.at_start, BAND, axis=0)
    for bound, start in (("age_low", "start_hi"), ("age_high", "start_lo")):
        table[bound] = age_of(lives, fitted, rows, day_numbers(rows[start]), as_of)
    table["risk"], table["risk_low"], table["risk_high"] = found.during.mean(axis=0), low, high
    table["risk_before"] = found.before.mean(axis=0)
    table["risk_hidden"] = found.hidden.mean(axis=0)
    table["risk_by_end"] = table["risk_before"] + table["risk"]
    table["risk_worn_out"], table["risk_early"] = found.worn_out, found.early
    table["risk_accident"] = found.accident
    table["lives"], table["failures"], table["grade"] = fitted.lives, fitted.failures, fitted.grade
    return table[PART_COLUMNS]


def age_of(lives: Lives, fitted: Ageing, rows: pd.DataFrame, start: Floats, day: float) -> Floats:
    """Age on the kind's clock, on a day, of parts fitted on the days given."""
    if fitted.kind.clock == "years":
        return np.maximum(day - start, 0.0) / DAYS_PER_YEAR
    line = lives.usage.line_of(rows["boat"], rows["position"])
    ran = lives.usage.hours_at(line, np.full(len(start), day)) - lives.usage.hours_at(line, start)
    return np.maximum(ran, 0.0)


BOAT_COLUMNS = [
    *("boat", "base", "risk", "risk_low", "risk_high", "risk_before", "risk_hidden"),
    *("risk_by_end", "expected_failures", "parts"),
    *("worst_kind", "worst_position", "worst_risk", "grade"),
]


def _boats_table(
    parts: pd.DataFrame, before: Floats, during: Floats, at_start: Floats, hidden: Floats
) -> pd.DataFrame:
    """Parts joined per boat: one minus the chance that all of them last, for each draw."""
    if parts.empty:
        return pd.DataFrame(columns=BOAT_COLUMNS)
    numbers = pd.factorize(parts["boat"], sort=True)[0]
    order = np.argsort(numbers, kind="stable")
    first = np.flatnonzero(np.diff(numbers[order], prepend=-1))

    def any_of(chance: Floats) -> Floats:
        return np.asarray(1.0 - np.multiply.reduceat(1.0 - chance[:, order], first, axis=1))

    low, high = np.quantile(any_of(at_start), BAND, axis=0)
    worst = parts.sort_values(["boat", "risk"], ascending=[True, False], kind="stable")
    worst = worst.drop_duplicates("boat").reset_index(drop=True)
    grouped = parts.groupby("boat", sort=True)
    table = pd.DataFrame(
        {
            "boat": worst["boat"],
            "base": worst["base"],
            "risk": any_of(during).mean(axis=0),
            "risk_low": low,
            "risk_high": high,
            "risk_before": any_of(before).mean(axis=0),
            "risk_hidden": any_of(hidden).mean(axis=0),
            "risk_by_end": any_of(np.minimum(before + during, 1.0)).mean(axis=0),
            "expected_failures": grouped["risk"].sum().to_numpy(),
            "parts": grouped.size().to_numpy(),
            "worst_kind": worst["kind"],
            "worst_position": worst["position"],
            "worst_risk": worst["risk"],
            "grade": worst["grade"],
        }
    )
    return table.sort_values(["risk", "boat"], ascending=[False, True], ignore_index=True)
