"""What it costs to leave a part in at this lift: a value to go, by dynamic programming.

At each yearly lay-up lift a part is renewed or left. With W(a) the expected cost to come of a
part of age a that is left, and n a new one (Bellman's equation; Puterman, Markov decision
processes, 1994; from memory)::

    W(a) = d [ q(a) (failed + V(renewed since)) + (1 - q(a)) V(a + 1) ]
    V(a) = min( W(a), planned + W(n) )

with q(a) the chance of failing until the next lift and d the discount of a year. Chances
are those of the season's risk, averaged over everything that is not known; whoever decides
does not know the curve either. A part that fails afloat is renewed at once, half a year before
the next lift on average; what only a lift shows is renewed at the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.likelihood import cumulative_hazard
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.own_lives import OwnLives
from analytics.decisions.consequence import failure_cost
from analytics.decisions.prices import PriceList
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.chances import ages_ahead, chances
from analytics.outlook.season import age_of
from analytics.records.seasons import Season
from analytics.usage import day_number, day_numbers

Floats = npt.NDArray[np.float64]

DISCOUNT = 0.03
"""Share by which a cost a year from now weighs less than one today (planning default)."""

OLDEST = 40
"""Years after which the chance of failing in a year is taken to rise no more."""

_SETTLED = 1e-9

COLUMNS = [
    *("boat", "position", "kind", "group", "part_no", "size", "source"),
    *("fails_before_next", "planned_cost", "failure_cost"),
    *("cost_of_waiting", "gain", "best_lift"),
]


@dataclass(frozen=True)
class Decision:
    """Costs of one decision at yearly lifts, for many parts at once.

    Attributes
    ----------
    planned, failed : ndarray, shape (n_parts,)
        Cost of a renewal at a lift, and of a failure with the renewal that follows.
    found_at_lift : bool
        Whether a failure waits for the next lift.
    discount : float
        Share a year.
    """

    planned: Floats
    failed: Floats
    found_at_lift: bool
    discount: float = DISCOUNT

    def of_new(self, fails: Floats, fails_half: Floats) -> tuple[Floats, Floats]:
        """Expected cost to come of parts that are left, by age, over an endless horizon.

        Parameters
        ----------
        fails, fails_half : ndarray, shape (n_parts, n_ages)
            Chance that a part of age 0, 1, ... years, or of half a year more, fails until the
            next lift, given that it lasted so long.

        Returns
        -------
        ndarray, shape (n_parts, n_ages)
            At ages 0, 1, ... years.
        ndarray, shape (n_parts,)
            Just after the lift that follows a failure afloat, half a year old.
        """
        d = 1.0 / (1.0 + self.discount)
        planned, failed = self.planned[:, None], self.failed[:, None]
        whole, half = np.zeros_like(fails), np.zeros_like(fails)
        while True:
            renewed = planned + whole[:, :1]
            value = np.minimum(whole, renewed)
            value_half = np.minimum(half, renewed)
            # The oldest age stands for every older one.
            next_whole = np.concatenate([value[:, 1:], value[:, -1:]], axis=1)
            next_half = np.concatenate([value_half[:, 1:], value_half[:, -1:]], axis=1)
            after = failed + (whole[:, :1] if self.found_at_lift else value_half[:, :1])
            new_whole = d * (fails * after + (1.0 - fails) * next_whole)
            new_half = d * (fails_half * after + (1.0 - fails_half) * next_half)
            change = max(np.abs(new_whole - whole).max(), np.abs(new_half - half).max())
            whole, half = new_whole, new_half
            if change <= _SETTLED * (1.0 + np.abs(whole).max()):
                return whole, half[:, 0]

    def of_old(
        self, fails: Floats, new: Floats, renewed_half: Floats, afterwards: Floats
    ) -> Floats:
        """Expected cost to come of parts in service that are left, at each coming lift.

        Parameters
        ----------
        fails : ndarray, shape (n_parts, n_lifts)
            Chance of failing between each lift and the next, given that it lasted so long.
        new, renewed_half : ndarray, shape (n_parts,)
            Of `of_new`, for a part renewed at a lift and half a year before one.
        afterwards : ndarray, shape (n_parts,)
            Cost to come of a part that is left at the lift after the last of `fails`.

        Returns
        -------
        ndarray, shape (n_parts, n_lifts)
        """
        d = 1.0 / (1.0 + self.discount)
        renewed = self.planned + new
        after = self.failed + (new if self.found_at_lift else np.minimum(renewed_half, renewed))
        left = np.empty_like(fails)
        value = np.minimum(afterwards, renewed)
        for lift in reversed(range(fails.shape[1])):
            left[:, lift] = d * (fails[:, lift] * after + (1.0 - fails[:, lift]) * value)
            value = np.minimum(left[:, lift], renewed)
        return left


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
        Coming seasons in order, more than one; their lifts after the last day watched count.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.
    discount : float
        Share by which a year lessens a cost.

    Returns
    -------
    DataFrame
        `COLUMNS`: the chance that a part sound at the lift fails before the next one;
        cost of a planned renewal (done alone) and of a failure; `cost_of_waiting`, the
        expected cost to come of leaving the part less that of a new one in its place;
        `gain`, that less the planned cost (renewing now pays where it is positive); and the
        lift, counted from 0, at which a part still in service is best renewed (NaN: at
        none that is looked at). Money is NaN where a price is missing.
    """
    as_of = day_number(lives.as_of)
    lifts = [day_number(season.lift_on) for season in seasons]
    lifts = [lift for lift in lifts if lift > as_of]
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
                lifts[-1],
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
    rng = np.random.default_rng([seed, crc32(f"value to go|{fitted.kind.name}".encode())])
    gone, columns = None, list[Floats]()
    for at in range(0, len(lifts) - 1, 2):
        later = lifts[at + 2] if at + 2 < len(lifts) else None
        ages = ages_ahead(lives, fitted, lifts[at], lifts[at + 1], seed, moved, later=later)
        found = chances(fitted.posterior, ages, rng)
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
    last_lift: float,
    seed: int,
    discount: float,
) -> pd.DataFrame:
    rates, kind = lives.settings.rates, fitted.kind
    priced = [prices.of(kind.name, number) for number in rows["part_no"]]
    planned = np.array([price.planned(rates) for price in priced])
    failed = np.array([failure_cost(kind, price, rates) for price in priced])
    ages = np.arange(OLDEST, dtype=float)
    whole, half = (
        _fails_within_a_year(lives, renewed_as, rows, ages + more, seed) for more in (0.0, 0.5)
    )
    known = np.isfinite(planned) & np.isfinite(failed)
    new = np.full(len(rows), np.nan)
    left = np.full(fails.shape, np.nan)
    if known.any():
        some = Decision(planned[known], failed[known], kind.found_ashore_only, discount)
        of_new, renewed_half = some.of_new(whole[known], half[known])
        new[known] = of_new[:, 0]
        oldest = _years_old(lives, fitted, rows, last_lift)[known]
        afterwards = of_new[np.arange(len(of_new)), np.clip(oldest, 0, OLDEST - 1)]
        left[known] = some.of_old(fails[known], of_new[:, 0], renewed_half, afterwards)
    better = left > (planned + new)[:, None]
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
