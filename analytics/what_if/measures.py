"""What a plan brings in each simulated future: failures, renewals, haul-outs, days and money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.costing import RenewalCosts, renewal_costs
from analytics.decisions.prices import price_list
from analytics.job import Progress
from analytics.outlook.futures import N_FUTURES, PLANNED, Futures
from analytics.outlook.season import season_risk
from analytics.records.seasons import Season
from analytics.what_if.applied import Plan
from analytics.what_if.joining import futures_ahead, with_joining

Floats = npt.NDArray[np.float64]

MONEY = ("parts", "labour", "lift", "tow", "lost_income", "budget", "total")
"""Measures in the fleet's currency; `budget` is parts and labour, `total` all of them."""

COUNTED = ("failures", "found_worn", "planned", "haul_outs", "lost_days")
"""Measures that are numbers: of parts, of lifts, of days."""

BOATS = "boats_failing"
"""Boats with a failure out of turn in the season year; no sum over kinds."""

AS_THINGS_STAND = "failures_as_things_stand"
"""Expected failures of the first season, nothing being renewed before it."""

ALL = "all"


@dataclass(frozen=True)
class Measured:
    """A plan in numbers.

    Attributes
    ----------
    seasons : tuple of Season
    kinds : tuple of str
    by_kind : dict of str to ndarray, shape (n_futures, n_seasons, n_kinds)
        `COUNTED` and `MONEY`.
    boats_failing : ndarray, shape (n_futures, n_seasons)
    as_things_stand : ndarray, shape (n_draws, n_kinds)
        Expected failures in the first season, for each draw of the parameters.
    boats : DataFrame
        Columns `boat`, `base`, `risk`: chance of a failure in the first season, of the boats
        that are in the fleet in it.
    unpriced : tuple of str
        Part numbers, or kinds, that count nothing in the money.
    """

    seasons: tuple[Season, ...]
    kinds: tuple[str, ...]
    by_kind: dict[str, Floats]
    boats_failing: Floats
    as_things_stand: Floats
    boats: pd.DataFrame
    unpriced: tuple[str, ...]


def measured(
    plan: Plan,
    years: Sequence[int],
    n_futures: int = N_FUTURES,
    seed: int = 0,
    progress: Progress | None = None,
) -> Measured:
    """Simulate a plan and say what it brings.

    Parameters
    ----------
    years : sequence of int
        Years of seasons that follow each other, the first one a season that is to come. What
        falls into seasons before it is simulated and not counted.
    """
    lives, rule = plan.fleet.lives, plan.fleet.records.settings.seasons
    first = min(plan.fleet.coming_season().year, years[0])
    simulated = [rule.season(year) for year in range(first, years[-1] + 1)]
    seasons = simulated[years[0] - first :]
    risk = season_risk(lives, with_joining(plan), seasons[0], seed, plan.own)
    futures = futures_ahead(plan, simulated, n_futures, seed, progress)
    costs = renewal_costs(lives, futures, price_list(plan.fleet.records))
    kinds = tuple(sorted({kind for kind, _ in plan.ageing}))
    number = {kind: at for at, kind in enumerate(kinds)}
    columns = np.array([number[kind] for kind in risk.parts["kind"]], dtype=np.int64)
    member = np.eye(len(kinds))[columns] if len(columns) else np.zeros((0, len(kinds)))
    counted = slice(len(simulated) - len(seasons), None)
    by_kind = _by_kind(futures, costs, number)
    boats = risk.boats[["boat", "base", "risk"]]
    there = ~boats["boat"].isin(_not_there(plan, seasons[0]))
    return Measured(
        seasons=tuple(seasons),
        kinds=kinds,
        by_kind={name: values[:, counted] for name, values in by_kind.items()},
        boats_failing=_boats_failing(futures, costs)[:, counted],
        as_things_stand=risk.during @ member,
        boats=boats[there].reset_index(drop=True),
        unpriced=costs.unpriced,
    )


def _not_there(plan: Plan, season: Season) -> set[str]:
    """Boats that leave before a season, and those that join after it."""
    table = plan.fleet.lives.in_service()
    gone = pd.to_datetime(table["leaves_on"]) <= pd.Timestamp(season.start)
    late = [
        set(fitted.table["boat"])
        for one in plan.joining
        if one.on > season.end
        for fitted in one.ageing.values()
    ]
    return set(table.loc[gone, "boat"]).union(*late)


def _by_kind(futures: Futures, costs: RenewalCosts, number: dict[str, int]) -> dict[str, Floats]:
    shape = futures.n_futures, len(futures.seasons), len(number)
    kind = np.array([number[name] for name in futures.parts["kind"]], dtype=np.int64)
    at = np.ravel_multi_index(
        (futures.future.astype(np.int64), futures.season.astype(np.int64), kind[futures.part]),
        shape,
    )

    def summed(values: npt.NDArray[np.generic]) -> Floats:
        weights = np.asarray(values, dtype=np.float64)
        return np.asarray(np.bincount(at, weights, int(np.prod(shape))).reshape(shape))

    planned = futures.how == PLANNED
    found = {
        "failures": summed(costs.out_of_turn),
        "found_worn": summed(~costs.out_of_turn & ~planned),
        "planned": summed(planned),
        "haul_outs": summed(costs.lift > 0),
        "lost_days": summed(costs.lost_days),
    }
    money = ("parts", "labour", "lift", "tow", "lost_income")
    found |= {name: summed(getattr(costs, name)) for name in money}
    found["budget"] = found["parts"] + found["labour"]
    found["total"] = found["budget"] + found["lift"] + found["tow"] + found["lost_income"]
    return found


def _boats_failing(futures: Futures, costs: RenewalCosts) -> Floats:
    boats = pd.factorize(futures.parts["boat"], sort=True)
    shape = futures.n_futures, len(futures.seasons), max(len(boats[1]), 1)
    failed = costs.out_of_turn
    at = np.ravel_multi_index(
        (
            futures.future[failed].astype(np.int64),
            futures.season[failed].astype(np.int64),
            boats[0][futures.part[failed]],
        ),
        shape,
    )
    boat_seasons = np.unique(at) // shape[2]
    counts = np.bincount(boat_seasons, minlength=shape[0] * shape[1])
    return counts.reshape(shape[:2]).astype(np.float64)
