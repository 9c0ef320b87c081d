"""The parts budget: quantities and money per season, kind and part number.

Every line and every total is a distribution over the simulated futures. A
total's percentiles are those of the simulated totals: percentiles of lines do
not add up.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.lives import Lives
from analytics.outlook.futures import Futures

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.signedinteger[Any]]

BUDGET_COLUMNS = [
    "season",
    "kind",
    "part_no",
    "planned",
    "unplanned",
    "quantity_mean",
    "quantity_p50",
    "quantity_p80",
    "quantity_p95",
    "cost_mean",
    "cost_p50",
    "cost_p80",
    "cost_p95",
    "currency",
]
"""Columns that other programs may rely on; `planned_cost` and `unplanned_cost` follow."""

SPARES_COLUMNS = [
    "kind",
    "part_no",
    "season",
    "expected",
    "p80",
    "p95",
    "lead_time_days",
    "order_by",
]

ALL = "all"
POINTS = {"p50": 0.5, "p80": 0.8, "p95": 0.95}


@dataclass(frozen=True)
class Budget:
    """What the coming seasons need.

    Attributes
    ----------
    lines : DataFrame
        `BUDGET_COLUMNS` and the mean cost of planned and unplanned renewals;
        kind "all" is the fleet, part number "all" the whole kind.
    totals : ndarray, shape (n_futures, n_seasons)
        Money of each future and season, for drawing the distribution.
    spares : DataFrame
        `SPARES_COLUMNS`: what the first season needs, and when to order it.
    unpriced : tuple of str
        Part numbers (or kinds) without a price; their money is not in the sums.
    """

    lines: pd.DataFrame
    totals: Floats
    spares: pd.DataFrame
    unpriced: tuple[str, ...]

    def fleet(self) -> pd.DataFrame:
        """The fleet's total of each season."""
        return self.lines[self.lines["kind"] == ALL].reset_index(drop=True)

    def kinds(self) -> pd.DataFrame:
        """The total of each kind and season."""
        chosen = (self.lines["part_no"] == ALL) & (self.lines["kind"] != ALL)
        return self.lines[chosen].reset_index(drop=True)


def parts_budget(lives: Lives, futures: Futures, prices: PriceList) -> Budget:
    """Turn simulated renewals into quantities and money.

    Parameters
    ----------
    futures : Futures
        From `outlook.futures.simulated_futures`.
    prices : PriceList
        Parts and labour; haul-outs, tows and lost days are not in a parts budget.
    """
    rates, settings = lives.settings.rates, lives.settings
    items = list(futures.items.itertuples(index=False, name=None))
    priced = [prices.of(kind, part_no) for kind, part_no in items]
    each_planned = np.array([price.planned(rates) for price in priced])
    each_unplanned = np.array(
        [
            price.unplanned(settings.kind(kind), rates)
            for price, (kind, _) in zip(priced, items, strict=True)
        ]
    )
    unpriced = tuple(
        no or kind for (kind, no), cost in zip(items, each_planned, strict=True) if np.isnan(cost)
    )
    planned_cost = futures.planned * np.nan_to_num(each_planned)
    unplanned_cost = futures.unplanned * np.nan_to_num(each_unplanned)
    groups: list[tuple[str, str, list[int]]] = [(ALL, ALL, list(range(len(items))))]
    for kind in dict.fromkeys(kind for kind, _ in items):
        of_kind = [i for i, item in enumerate(items) if item[0] == kind]
        groups.append((kind, ALL, of_kind))
        groups += [(kind, items[i][1], [i]) for i in of_kind]
    lines = [
        _line(
            season.year,
            kind,
            part_no,
            futures.planned[:, at][:, chosen],
            futures.unplanned[:, at][:, chosen],
            planned_cost[:, at][:, chosen],
            unplanned_cost[:, at][:, chosen],
            settings.currency,
        )
        for at, season in enumerate(futures.seasons)
        for kind, part_no, chosen in groups
    ]
    return Budget(
        lines=pd.DataFrame(lines, columns=[*BUDGET_COLUMNS, "planned_cost", "unplanned_cost"]),
        totals=np.asarray((planned_cost + unplanned_cost).sum(axis=2)),
        spares=_spares(futures, prices, lives.as_of),
        unpriced=unpriced,
    )


def _line(
    season: int,
    kind: str,
    part_no: str,
    planned: Counts,
    unplanned: Counts,
    planned_cost: Floats,
    unplanned_cost: Floats,
    currency: str,
) -> list[object]:
    quantity = (planned + unplanned).sum(axis=1)
    cost = (planned_cost + unplanned_cost).sum(axis=1)
    return [
        season,
        kind,
        part_no,
        planned.sum(axis=1).mean(),
        unplanned.sum(axis=1).mean(),
        quantity.mean(),
        *_counts_at(quantity),
        cost.mean(),
        *np.quantile(cost, list(POINTS.values())),
        currency,
        planned_cost.sum(axis=1).mean(),
        unplanned_cost.sum(axis=1).mean(),
    ]


def _counts_at(quantity: Counts) -> list[int]:
    """Counts that suffice with the given chances: whole parts, never a fraction of one."""
    points = np.quantile(quantity, list(POINTS.values()), method="inverted_cdf")
    return [int(point) for point in points]


def _spares(futures: Futures, prices: PriceList, as_of: date) -> pd.DataFrame:
    season = futures.seasons[0]
    # In mid-season the lift of that season is past: what it still needs, it needs from now on.
    needed_on = season.lift_on if season.lift_on > as_of else as_of
    rows = []
    for i, (kind, part_no) in enumerate(futures.items.itertuples(index=False, name=None)):
        quantity = futures.planned[:, 0, i] + futures.unplanned[:, 0, i]
        lead = prices.of(kind, part_no).lead_time_days
        order_by = None if np.isnan(lead) else needed_on - timedelta(days=int(np.ceil(lead)))
        _, p80, p95 = _counts_at(quantity)
        rows.append([kind, part_no, season.year, quantity.mean(), p80, p95, lead, order_by])
    return pd.DataFrame(rows, columns=SPARES_COLUMNS)
