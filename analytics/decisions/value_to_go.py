"""What it costs to leave a part in at this lift: a value to go, by dynamic programming.

The costs to come of a part that is left and of a new one are those of `decision.Decision`. Chances
are those of the season's risk, averaged over everything that is not known; whoever decides
does not know the curve either.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.own_lives import OwnLives
from analytics.decisions.consequence import failure_costs_all_year
from analytics.decisions.decision import DISCOUNT, Decision
from analytics.decisions.prices import PriceList
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.chances import ages_ahead, chances
from analytics.outlook.season import age_of
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

__all__ = ["COLUMNS", "DISCOUNT", "OLDEST", "Decision", "value_to_go"]

Floats = npt.NDArray[np.float64]

OLDEST = 40
"""Years after which the chance of failing in a year is taken to rise no more."""

COLUMNS = [
    *("boat", "position", "kind", "group", "part_no", "size", "source"),
    *("fails_before_next", "planned_cost", "failure_cost"),
    *("cost_of_waiting", "gain", "best_lift"),
]


def value_to_go(
    lives: Lives,
    ageing: FleetAgeing,
    prices: PriceList,
    seasons: Sequence[Season],
    *,
    seed: int = 0,
    own: FleetOwnLives | None = None,
    discount: float = DISCOUNT,
) -> pd.DataFrame:
    """For every part in service, what leaving it in at the coming lift costs.

    Parameters
    ----------
    seasons : sequence of Season
        Coming seasons in order; their lifts that can still take place after the last day
        watched count (`Season.lift_after`), of which there must be two or more.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.
    discount : float
        Share by which a year lessens a cost, above 0.

    Returns
    -------
    DataFrame
        `COLUMNS`: the chance that a part sound at the lift fails before the next one;
        cost of a planned renewal (done alone) and of a failure; `cost_of_waiting`, the
        expected cost to come of leaving the part less that of a new one in its place;
        `gain`, that less the planned cost (renewing now pays where it is positive); and the
        lift, counted from 0, at which a part still in service is best renewed (NaN: at
        none that is looked at). Money is NaN where a price is missing. Of a boat that leaves,
        what comes until then.

    Raises
    ------
    ValueError
        If the discount is not above 0, or fewer than two lifts are to come.
    """
    if not discount > 0:
        raise ValueError(f"a discount above 0 is needed, not {discount}")
    lifts = [day_number(lift) for one in seasons if (lift := one.lift_after(lives.as_of))]
    if len(lifts) < 2:
        raise ValueError(f"two lay-up lifts to come are needed, not {len(lifts)}")
    tables = []
    for (name, group), fitted in ageing.items():
        rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
        if rows.empty:
            continue
        fails = _fails_by_lift(lives, fitted, lifts, seed, (own or {}).get((name, group)))
        renewed_as = ageing.get((name, "all"), fitted)
        tables.append(
            _of_kind(
                lives,
                fitted,
                renewed_as,
                rows,
                prices,
                fails,
                lifts,
                seed,
                discount,
            )
        )
    if not tables:
        return pd.DataFrame(columns=COLUMNS)
    return pd.concat(tables, ignore_index=True)


def _fails_by_lift(
    lives: Lives, fitted: Ageing, lifts: list[float], seed: int, moved: OwnLives | None
) -> Floats:
    """Chance of failing between each lift and the next, given that it lasted so long.

    Two windows at a time: most of the work is to find the ages at the beginning of the first.
    """
    gone, columns = None, list[Floats]()
    for at in range(0, len(lifts) - 1, 2):
        later = lifts[at + 2] if at + 2 < len(lifts) else None
        ages = ages_ahead(lives, fitted, lifts[at], lifts[at + 1], seed, moved, later=later)
        found = chances(fitted.posterior, ages)
        if gone is None:
            gone = found.before.mean(axis=0)
        for window in (found.during, found.after):
            if window is not None:
                within = window.mean(axis=0)
                columns.append(within / np.maximum(1.0 - gone, 1e-12))
                gone = gone + within
    return np.clip(np.stack(columns, axis=1), 0.0, 1.0)


def _of_kind(
    lives: Lives,
    fitted: Ageing,
    renewed_as: Ageing,
    rows: pd.DataFrame,
    prices: PriceList,
    fails: Floats,
    lifts: list[float],
    seed: int,
    discount: float,
) -> pd.DataFrame:
    rates, kind = lives.settings.rates, fitted.kind
    priced = [prices.of(kind.name, number) for number in rows["part_no"]]
    planned = np.array([price.planned(rates) for price in priced])
    failed = failure_costs_all_year(lives, kind, rows, priced)
    ages = np.arange(OLDEST, dtype=float)
    whole, half = (
        _fails_within_a_year(lives, renewed_as, rows, ages + more, seed) for more in (0.0, 0.5)
    )
    known = np.isfinite(planned) & np.isfinite(failed)
    new = np.full((len(rows), len(lifts)), np.nan)
    left = np.full(fails.shape, np.nan)
    if known.any():
        some = Decision(planned[known], failed[known], kind.found_ashore_only, discount)
        of_new, renewed_half = some.of_new(whole[known], half[known])
        oldest = np.clip(_years_old(lives, fitted, rows, lifts[-1]), 0, OLDEST - 1)[known]
        ahead = _Ahead(
            np.tile(of_new[:, :1], len(lifts)),
            np.tile(renewed_half[:, None], len(lifts)),
            of_new[np.arange(len(of_new)), oldest],
            np.zeros((len(of_new), len(lifts)), dtype=bool),
        )
        _of_leavers(
            ahead, some, lives, fitted, rows[known], whole[known], half[known], lifts, oldest
        )
        new[known] = ahead.new
        left[known] = some.of_old(fails[known], ahead.new, ahead.half, ahead.afterwards, ahead.gone)
    better = left > (planned[:, None] + new)[:, :-1]
    new = new[:, 0]
    best = np.where(better.any(axis=1), better.argmax(axis=1), np.nan)
    return pd.DataFrame(
        {
            **{name: rows[name].to_numpy() for name in ("boat", "position", "kind")},
            "group": fitted.group,
            **{name: rows[name].to_numpy() for name in ("part_no", "size", "source")},
            "fails_before_next": fails[:, 0],
            "planned_cost": planned,
            "failure_cost": failed,
            "cost_of_waiting": left[:, 0] - new,
            "gain": left[:, 0] - new - planned,
            "best_lift": best,
        }
    )[COLUMNS]


@dataclass(frozen=True)
class _Ahead:
    """Costs to come of parts and of new ones in their places, as `Decision.of_old` takes them."""

    new: Floats
    half: Floats
    afterwards: Floats
    gone: npt.NDArray[np.bool_]


def _of_leavers(
    ahead: _Ahead,
    decision: Decision,
    lives: Lives,
    fitted: Ageing,
    rows: pd.DataFrame,
    whole: Floats,
    half: Floats,
    lifts: list[float],
    oldest: npt.NDArray[np.int64],
) -> None:
    """Write what is so of boats that leave into the arrays of all, `oldest` at the last lift."""
    leaves = day_numbers(rows["leaves_on"])
    number = np.arange(len(lifts))
    for day in np.unique(leaves[np.isfinite(leaves)]):
        some = np.flatnonzero(leaves == day)
        ahead.gone[some] = np.array(lifts) >= day
        hers = int((np.array(lifts) < day).sum())
        if not hers:
            ahead.new[some], ahead.half[some], ahead.afterwards[some] = 0.0, 0.0, 0.0
            continue
        last = lifts[hers - 1]
        beyond = (
            max(int(np.ceil((day - last - 1.0) / DAYS_PER_YEAR)), 1) if hers == len(lifts) else 1
        )
        share = _years_of_wear(lives, fitted, rows.iloc[some], last, day) - (beyond - 1)
        to_go = np.maximum(hers - 1 - number, -beyond) + beyond
        values, values_half = decision.some(some).until_leaving(
            whole[some], half[some], int(to_go[0]), np.clip(share, 0.0, 1.0)
        )
        ahead.new[some], ahead.half[some] = values[to_go, :, 0].T, values_half[to_go].T
        ahead.afterwards[some] = values[to_go[-1], np.arange(len(some)), oldest[some]]


def _fails_within_a_year(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, years: Floats, seed: int
) -> Floats:
    """Chance that new parts in these places fail within a year of an age, shape of both."""
    posterior = fitted.posterior
    each = np.ones(len(rows))
    if fitted.kind.clock == "hours":
        each = np.asarray(lives.usage.rate[lives.usage.line_of(rows["boat"], rows["position"])])
    ends = np.concatenate([years, years[-1:] + 1.0])
    factors = posterior.factors
    shifts = None if factors is None else factors.of(rows, seed, renewed=True)
    lasting = np.empty((len(rows), len(ends)))
    for at, per_year in enumerate(each):
        by_age = None if shifts is None else np.repeat(shifts[:, at, None], len(ends), axis=1)
        hazard = cumulative_hazard(
            posterior.family,
            posterior.parameters,
            ends * max(per_year, 1e-6),
            ends,
            posterior.early_years,
            by_age,
        )
        hazard = hazard + posterior.accidents[:, None] * ends
        lasting[at] = np.exp(-hazard).mean(axis=0)
    lasting = np.maximum(lasting, 1e-300)
    return np.asarray(1.0 - lasting[:, 1:] / lasting[:, :-1])


def _years_of_wear(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, first: float, last: float
) -> Floats:
    """Years between two days, as they count on the clock of the parts."""
    if fitted.kind.clock != "hours":
        return np.full(len(rows), (last - first) / DAYS_PER_YEAR)
    line = lives.usage.line_of(rows["boat"], rows["position"])
    ends = (lives.usage.years_of_use(line, np.full(len(rows), day)) for day in (first, last))
    begin, end = ends
    return np.asarray(end - begin)


def _years_old(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, day: float
) -> npt.NDArray[np.int64]:
    """Age of the parts on a day, in years as the place ages a new one, to the nearest."""
    start = (day_numbers(rows["start_lo"]) + day_numbers(rows["start_hi"])) / 2
    age = age_of(lives, fitted, rows, start, day)
    if fitted.kind.clock == "hours":
        rate = lives.usage.rate[lives.usage.line_of(rows["boat"], rows["position"])]
        age = age / np.maximum(rate, 1e-6)
    return np.rint(age).astype(np.int64)
