"""The risk of a season: the chance that a part now in service fails in it.

For a part in service, fitted on day s and known sound at age c, over (t1, t2]::

    p = sum_s w(s) [S(t1 - s) - S(t2 - s)] / sum_s w(s) S(c - s)

for each draw of the parameters; the mean over the draws is the risk and their
5 % and 95 % points its interval. It is the chance as things stand: nothing is
renewed before the season.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard, early_cumulative_hazard
from analytics.ageing.posterior import Posterior
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]

_CELLS_AT_ONCE = 2_000_000


@dataclass(frozen=True)
class AgesAhead:
    """Ages of parts in service, at every node of their fitting windows.

    Attributes
    ----------
    first : ndarray of int, shape (n_parts,)
        First node of each part.
    weight : ndarray, shape (n_nodes,)
    sound, begin, end : ndarray, shape (n_nodes,)
        Age on the clock when last known sound, and at both ends of the window.
    sound_years, begin_years, end_years : ndarray, shape (n_nodes,)
        The same in years, as in `clocks.Nodes`.
    accident_years : tuple[float, float]
        Years from the last day watched to both ends of the window.
    """

    first: npt.NDArray[np.int64]
    weight: Floats
    sound: Floats
    begin: Floats
    end: Floats
    sound_years: Floats
    begin_years: Floats
    end_years: Floats
    accident_years: tuple[float, float]

    def __len__(self) -> int:
        return len(self.first)


@dataclass(frozen=True)
class Chances:
    """Chances of failing, a row per draw and a column per part.

    Attributes
    ----------
    before, during : ndarray, shape (n_draws, n_parts)
        Before the window and in it, from any cause.
    worn_out, early, accident : ndarray, shape (n_parts,)
        Mean chance in the window by cause; they add up to the mean of `during`.
    """

    before: Floats
    during: Floats
    worn_out: Floats
    early: Floats
    accident: Floats


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
    counts : ndarray
        Probability of 0, 1, 2, ... failures in the season over the fleet.
    """

    season: Season
    parts: pd.DataFrame
    boats: pd.DataFrame
    during: Floats
    counts: Floats

    @property
    def expected(self) -> float:
        """Expected failures of the fleet in the season."""
        return float(self.parts["risk"].sum())

    @property
    def likely_range(self) -> tuple[int, int]:
        """90 % range of the number of failures: parameters and luck together."""
        low, high = count_quantiles(self.counts, BAND)
        return low, high


def chances(posterior: Posterior, ages: AgesAhead) -> Chances:
    """Chance of failing before and in a window, for each draw and part."""
    n_draws, n_parts = len(posterior), len(ages)
    during = np.empty((n_draws, n_parts))
    before, worn, early, accident = (np.empty((n_draws, n_parts)) for _ in range(4))
    step = max(1, _CELLS_AT_ONCE // max(1, len(ages.weight)))
    for at in range(0, n_draws, step):
        rows = slice(at, at + step)
        _chunk(posterior, ages, rows, (before, during, worn, early, accident))
    return Chances(before, during, worn.mean(axis=0), early.mean(axis=0), accident.mean(axis=0))


def _chunk(posterior: Posterior, ages: AgesAhead, rows: slice, out: tuple[Floats, ...]) -> None:
    before, during, worn, early, accident = out
    theta, family = posterior.parameters.part(rows), posterior.family
    rate = posterior.accidents[rows][:, None]
    since_begin, since_end = ages.accident_years

    def hazard(age: Floats, years: Floats) -> Floats:
        return cumulative_hazard(family, theta, age, years, posterior.early_years)

    def summed(per_node: Floats) -> Floats:
        return np.asarray(np.add.reduceat(per_node * ages.weight, ages.first, axis=1))

    to_sound = hazard(ages.sound, ages.sound_years)
    to_begin = hazard(ages.begin, ages.begin_years)
    to_end = hazard(ages.end, ages.end_years)
    # Relative to the likeliest start of each part: an old part's tiny survival cannot underflow.
    least = np.minimum.reduceat(to_sound, ages.first, axis=1)
    base = np.repeat(least, np.diff(np.append(ages.first, len(ages.weight))), axis=1)
    alive = summed(np.exp(base - to_sound))
    at_begin = np.exp(base - to_begin - rate * since_begin)
    by_accident = rate * (since_end - since_begin)
    cumulated = to_end - to_begin + by_accident
    in_window = at_begin * -np.expm1(-cumulated)
    before[rows] = 1.0 - summed(at_begin) / alive
    during[rows] = summed(in_window) / alive
    by_early = early_cumulative_hazard(
        ages.end_years[None, :], theta.early[:, None], posterior.early_years
    ) - early_cumulative_hazard(
        ages.begin_years[None, :], theta.early[:, None], posterior.early_years
    )
    # Competing causes share a short window in proportion to their cumulative hazards.
    per_hazard = np.divide(in_window, cumulated, out=np.zeros_like(in_window), where=cumulated > 0)
    early[rows] = summed(per_hazard * by_early) / alive
    accident[rows] = summed(per_hazard * by_accident) / alive
    worn[rows] = during[rows] - early[rows] - accident[rows]


def ages_ahead(lives: Lives, ageing: Ageing, begin: float, end: float) -> AgesAhead:
    """Ages of the parts of one kind in service, at both ends of a window of days.

    Parameters
    ----------
    begin, end : float
        Days since 1970-01-01, not before the last day watched.
    """
    in_service = (ageing.table["outcome"] == IN_SERVICE).to_numpy()
    nodes = ageing.nodes
    chosen = in_service[nodes.life]
    start = nodes.start[chosen]
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[in_service]
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)[: len(sizes)]
    as_of = day_number(lives.as_of)
    days = {"begin": begin, "end": end}
    if ageing.kind.clock == "hours":
        rows = ageing.table.iloc[nodes.life[chosen]]
        line = lives.usage.line_of(rows["boat"], rows["position"])
        ran, used = lives.usage.hours_at(line, start), lives.usage.years_of_use(line, start)
        on = {name: np.full(len(start), day) for name, day in days.items()}
        at = {
            name: np.maximum(lives.usage.hours_at(line, day) - ran, 0.0) for name, day in on.items()
        }
        years = {
            f"{name}_years": lives.usage.years_of_use(line, day) - used for name, day in on.items()
        }
    else:
        years = {f"{name}_years": (day - start) / DAYS_PER_YEAR for name, day in days.items()}
        at = {name: years[f"{name}_years"] for name in days}
    sound, sound_years = nodes.lower[chosen], nodes.lower_years[chosen]
    return AgesAhead(
        first=first,
        weight=nodes.weight[chosen],
        sound=sound,
        sound_years=sound_years,
        begin=np.maximum(at["begin"], sound),
        end=np.maximum(at["end"], at["begin"]),
        accident_years=((begin - as_of) / DAYS_PER_YEAR, (end - as_of) / DAYS_PER_YEAR),
        **years,
    )


def season_risk(lives: Lives, ageing: FleetAgeing, season: Season) -> SeasonRisk:
    """The risk of a season for every part in service.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `ageing.fit.fleet_ageing`.
    season : Season
        One that ends after the last day watched.

    Returns
    -------
    SeasonRisk
        `parts` has columns `boat, position, kind, age_low, age_high, clock,
        risk, risk_low, risk_high, risk_before`, the three causes `risk_worn_out,
        risk_early, risk_accident`, `lives` and `failures` behind the curve,
        `grade`, then covariates, `group`, `start_lo`, `start_hi` and `source`.

    Raises
    ------
    ValueError
        If the season is already over on the last day watched.
    """
    as_of = day_number(lives.as_of)
    begin, end = max(day_number(season.start), as_of), day_number(season.end) + 1
    if end <= as_of + 1:
        raise ValueError(f"the season {season.year} is over on {lives.as_of}")
    tables, before, during = [], [], []
    for fitted in ageing.values():
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        found = chances(fitted.posterior, ages_ahead(lives, fitted, begin, end))
        tables.append(_parts_table(lives, fitted, rows, found, as_of))
        before.append(found.before)
        during.append(found.during)
    if not tables:
        empty = pd.DataFrame(columns=PART_COLUMNS)
        return SeasonRisk(
            season,
            empty,
            _boats_table(empty, np.empty((1, 0)), np.empty((1, 0))),
            np.empty((1, 0)),
            np.ones(1),
        )
    parts = pd.concat(tables, ignore_index=True)
    all_before, all_during = np.concatenate(before, axis=1), np.concatenate(during, axis=1)
    return SeasonRisk(
        season,
        parts,
        _boats_table(parts, all_before, all_during),
        all_during,
        count_distribution(all_during),
    )


PART_COLUMNS = [
    "boat",
    "position",
    "kind",
    "age_low",
    "age_high",
    "clock",
    "risk",
    "risk_low",
    "risk_high",
    "risk_before",
    "risk_worn_out",
    "risk_early",
    "risk_accident",
    "lives",
    "failures",
    "grade",
    "base",
    "lay_up",
    "water",
    "lot",
    "size",
    "part_no",
    "group",
    "start_lo",
    "start_hi",
    "source",
]


def _parts_table(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, found: Chances, as_of: float
) -> pd.DataFrame:
    table = rows.drop(columns=["life", "seen_from", "end_lo", "end_hi", "outcome"]).copy()
    low, high = np.quantile(found.during, BAND, axis=0)
    for bound, start in (("age_low", "start_hi"), ("age_high", "start_lo")):
        table[bound] = age_of(lives, fitted, rows, day_numbers(rows[start]), as_of)
    table["risk"], table["risk_low"], table["risk_high"] = found.during.mean(axis=0), low, high
    table["risk_before"] = found.before.mean(axis=0)
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


def _boats_table(parts: pd.DataFrame, before: Floats, during: Floats) -> pd.DataFrame:
    """Parts joined per boat: one minus the chance that all of them last, for each draw."""
    columns = [
        "boat",
        "base",
        "risk",
        "risk_low",
        "risk_high",
        "risk_before",
        "expected_failures",
        "parts",
        "worst_kind",
        "worst_position",
        "worst_risk",
        "grade",
    ]
    if parts.empty:
        return pd.DataFrame(columns=columns)
    numbers = pd.factorize(parts["boat"], sort=True)[0]
    order = np.argsort(numbers, kind="stable")
    first = np.flatnonzero(np.diff(numbers[order], prepend=-1))
    lasting = np.multiply.reduceat(1.0 - during[:, order], first, axis=1)
    still_going = np.multiply.reduceat(1.0 - before[:, order], first, axis=1)
    joint = 1.0 - lasting
    low, high = np.quantile(joint, BAND, axis=0)
    worst = parts.sort_values(["boat", "risk"], ascending=[True, False], kind="stable")
    worst = worst.drop_duplicates("boat").reset_index(drop=True)
    grouped = parts.groupby("boat", sort=True)
    table = pd.DataFrame(
        {
            "boat": worst["boat"],
            "base": worst["base"],
            "risk": joint.mean(axis=0),
            "risk_low": low,
            "risk_high": high,
            "risk_before": 1.0 - still_going.mean(axis=0),
            "expected_failures": grouped["risk"].sum().to_numpy(),
            "parts": grouped.size().to_numpy(),
            "worst_kind": worst["kind"],
            "worst_position": worst["position"],
            "worst_risk": worst["risk"],
            "grade": worst["grade"],
        }
    )
    return table.sort_values(["risk", "boat"], ascending=[False, True], ignore_index=True)
