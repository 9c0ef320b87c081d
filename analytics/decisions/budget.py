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
from analytics.decisions.spares import POINTS, counts_at, order_list
from analytics.lives import Lives
from analytics.outlook.futures import Futures

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.signedinteger[Any]]

BUDGET_COLUMNS = [
    *("season", "kind", "part_no", "planned", "unplanned"),
    *("quantity_mean", "quantity_p50", "quantity_p80", "quantity_p95"),
    *("cost_mean", "cost_p50", "cost_p80", "cost_p95", "currency"),
]
"""Columns that other programs may rely on."""

MONEY_COLUMNS = ["planned_cost", "unplanned_cost", "parts_cost", "labour_cost", "contingency"]
"""Means of the cost by what it is for, and what P80 is above the mean."""

ALL = "all"


@dataclass(frozen=True)
class Budget:
    """What the coming seasons need.

    Attributes
    ----------
    lines : DataFrame
        `BUDGET_COLUMNS` and `MONEY_COLUMNS`; kind "all" is the fleet, part number
        "all" the whole kind. Money is NaN where nothing in the line has a price.
    totals : ndarray, shape (n_futures, n_seasons)
        Money of each future and season, for drawing the distribution.
    spares : DataFrame
        What the first season needs, and when to order it; see `spares.order_list`.
    period : tuple of date
        First and last day of the first season year, in which its renewals fall.
    unpriced : tuple of str
        Part numbers (or kinds) without a price; their money is not in the sums.
    """

    lines: pd.DataFrame
    totals: Floats
    spares: pd.DataFrame
    period: tuple[date, date]
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
    settings = lives.settings
    items = list(futures.items.itertuples(index=False, name=None))
    costs = _Costs.of(lives, prices, items)
    groups: list[tuple[str, str, list[int]]] = [(ALL, ALL, list(range(len(items))))]
    for kind in dict.fromkeys(kind for kind, _ in items):
        of_kind = [i for i, item in enumerate(items) if item[0] == kind]
        groups.append((kind, ALL, of_kind))
        groups += [(kind, items[i][1], [i]) for i in of_kind]
    lines = [
        {"season": season.year, "kind": kind, "part_no": part_no, "currency": settings.currency}
        | _line(
            futures.planned[:, at][:, chosen],
            futures.unplanned[:, at][:, chosen],
            costs.of_items(chosen),
        )
        for at, season in enumerate(futures.seasons)
        for kind, part_no, chosen in groups
    ]
    first = futures.seasons[0]
    return Budget(
        lines=pd.DataFrame(lines, columns=[*BUDGET_COLUMNS, *MONEY_COLUMNS]),
        totals=np.asarray(
            futures.planned @ np.nan_to_num(costs.part + costs.planned)
            + futures.unplanned @ np.nan_to_num(costs.part + costs.unplanned)
        ),
        spares=order_list(lives, futures, prices),
        period=(max(first.previous_end, lives.as_of) + timedelta(days=1), first.end),
        unpriced=tuple(
            part_no or kind
            for (kind, part_no), price in zip(items, costs.part, strict=True)
            if np.isnan(price)
        ),
    )


@dataclass(frozen=True)
class _Costs:
    """Cost of one renewal of each item: the part, and its labour either way. NaN: no price."""

    part: Floats
    planned: Floats
    unplanned: Floats

    @classmethod
    def of(cls, lives: Lives, prices: PriceList, items: list[tuple[str, str]]) -> _Costs:
        rates = lives.settings.rates
        priced = [(prices.of(kind, no), lives.settings.kind(kind)) for kind, no in items]
        part = np.array([price.part for price, _ in priced])
        planned = np.array([price.planned(rates) for price, _ in priced])
        unplanned = np.array([price.unplanned(kind, rates) for price, kind in priced])
        return cls(part, planned - part, unplanned - part)

    def of_items(self, chosen: list[int]) -> _Costs:
        return _Costs(self.part[chosen], self.planned[chosen], self.unplanned[chosen])


def _line(planned: Counts, unplanned: Counts, costs: _Costs) -> dict[str, float]:
    quantity = (planned + unplanned).sum(axis=1)
    line = {
        "planned": planned.sum(axis=1).mean(),
        "unplanned": unplanned.sum(axis=1).mean(),
        "quantity_mean": quantity.mean(),
    }
    points = counts_at(quantity)
    line |= {f"quantity_{name}": n for name, n in zip(POINTS, points, strict=True)}
    if np.isnan(costs.part).all():
        money = [name for name in BUDGET_COLUMNS if name.startswith("cost_")]
        return line | dict.fromkeys([*money, *MONEY_COLUMNS], float("nan"))
    part = np.nan_to_num(costs.part)
    planned_cost = planned @ (part + np.nan_to_num(costs.planned))
    unplanned_cost = unplanned @ (part + np.nan_to_num(costs.unplanned))
    cost, parts_cost = planned_cost + unplanned_cost, (planned + unplanned) @ part
    line["cost_mean"] = cost.mean()
    at = np.quantile(cost, list(POINTS.values()))
    line |= {f"cost_{name}": amount for name, amount in zip(POINTS, at, strict=True)}
    return line | {
        "planned_cost": planned_cost.mean(),
        "unplanned_cost": unplanned_cost.mean(),
        "parts_cost": parts_cost.mean(),
        "labour_cost": (cost - parts_cost).mean(),
        "contingency": line["cost_p80"] - line["cost_mean"],
    }
