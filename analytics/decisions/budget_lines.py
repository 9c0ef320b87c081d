"""Lines of a budget: quantities and money of some groups of renewals in one season.

Means add up: over groups, and over seasons. Percentiles do not; each is that of the group's own
simulated totals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.costing import renewal_costs
from analytics.decisions.prices import PriceList
from analytics.decisions.spares import POINTS
from analytics.lives import Lives
from analytics.outlook.futures import ACCIDENT, FAILED, PLANNED, WORN, Futures

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

QUANTITY_COLUMNS = [
    *("planned", "unplanned"),
    *("quantity_mean", "quantity_p50", "quantity_p80", "quantity_p95"),
]
COST_COLUMNS = ["cost_mean", "cost_p50", "cost_p80", "cost_p95"]

HOW_COLUMNS = ["failed", "found_worn", "accidents"]
"""What the unplanned ones are, means."""

MONEY_COLUMNS = ["committed", "forecast", "contingency", "parts_cost", "labour_cost"]
"""Means, but for `contingency`. `committed`: mean cost of renewals planned at a limit; `forecast`:
that of all others; then of the parts, and of fitting them. `contingency`: what the P80 of the total
is above `committed`, 0 where it is not above it."""

LINE_COLUMNS = [*QUANTITY_COLUMNS, *COST_COLUMNS, "currency", *MONEY_COLUMNS, *HOW_COLUMNS]
"""Columns of every table of lines, after those that say what a line is of."""

_HOWS = (PLANNED, FAILED, WORN, ACCIDENT)
_COMMITTED, _FORECAST, _PARTS = range(len(_HOWS), len(_HOWS) + 3)


@dataclass(frozen=True)
class Renewed:
    """Renewals of one season with what is budgeted for them, each of shape (n_renewals,)."""

    n_futures: int
    future: npt.NDArray[np.int32]
    part: npt.NDArray[np.int32]
    day: npt.NDArray[np.int32]
    how: npt.NDArray[np.int8]
    parts_cost: Floats
    cost: Floats

    @classmethod
    def of(cls, lives: Lives, season: Futures, prices: PriceList) -> Renewed:
        """The renewals of a season, priced: parts and labour."""
        costs = renewal_costs(lives, season, prices)
        return cls(
            season.n_futures,
            season.future,
            season.part,
            season.day,
            season.how,
            costs.parts,
            costs.parts + costs.labour,
        )

    def sums(self, group: Ints, n_groups: int) -> Floats:
        """Numbers by how, committed, forecast and parts' money of all futures together.

        Parameters
        ----------
        group : ndarray of int, shape (n_renewals,)

        Returns
        -------
        ndarray, shape (n_groups, 7)
        """
        planned = self.how == PLANNED
        by_how = np.bincount(group * len(_HOWS) + self.how, minlength=n_groups * len(_HOWS))
        money = [
            np.bincount(group, weights=weights, minlength=n_groups)
            for weights in (
                np.where(planned, self.cost, 0.0),
                np.where(planned, 0.0, self.cost),
                self.parts_cost,
            )
        ]
        return np.column_stack([by_how.reshape(n_groups, len(_HOWS)), *money])

    def drawn(self, group: Ints, n_groups: int) -> tuple[Ints, Floats]:
        """Number and money of each group in each future, each of shape (n_groups, n_futures)."""
        at = group * self.n_futures + self.future
        shape = n_groups, self.n_futures
        size = n_groups * self.n_futures
        number = np.bincount(at, minlength=size).astype(np.int64)
        cost = np.bincount(at, weights=self.cost, minlength=size).astype(np.float64)
        return number.reshape(shape), cost.reshape(shape)


def joined_sums(sums: Floats, group: Ints, n_groups: int) -> Floats:
    """The rows of `Renewed.sums` added up into larger groups."""
    return np.column_stack(
        [np.bincount(group, weights=column, minlength=n_groups) for column in sums.T]
    )


def lines_of(
    sums: Floats, number: Ints, cost: Floats, priced: Bools, currency: str
) -> pd.DataFrame:
    """`LINE_COLUMNS`, a row a group.

    Parameters
    ----------
    sums : ndarray, shape (n_groups, 7)
        Of `Renewed.sums`.
    number, cost : ndarray, shape (n_groups, n_futures)
        Of `Renewed.drawn`.
    priced : ndarray of bool, shape (n_groups,)
        Whether anything in the group has a price; else its money is NaN.
    """
    points = list(POINTS.values())
    # Whole parts, never a fraction of one.
    numbers = np.quantile(number, points, axis=1, method="inverted_cdf").astype(np.int64)
    amounts = np.quantile(cost, points, axis=1)
    made = mean_lines_of(sums, number.shape[1], priced, currency)
    for i, name in enumerate(POINTS):
        made[f"quantity_{name}"] = numbers[i]
        made[f"cost_{name}"] = np.where(priced, amounts[i], np.nan)
    # Where hardly anything happens four futures of five may cost less than the mean does.
    made["contingency"] = np.maximum(made["cost_p80"] - made["committed"], 0.0)
    return made[LINE_COLUMNS]


def mean_lines_of(sums: Floats, n_futures: int, priced: Bools, currency: str) -> pd.DataFrame:
    """The columns of `LINE_COLUMNS` that are means; arguments as of `lines_of`."""
    means = sums / n_futures
    planned, failed, worn, accidents = (means[:, how] for how in _HOWS)
    committed, forecast, parts = (
        np.where(priced, means[:, at], np.nan) for at in (_COMMITTED, _FORECAST, _PARTS)
    )
    return pd.DataFrame(
        {
            "planned": planned,
            "unplanned": failed + worn + accidents,
            "quantity_mean": planned + failed + worn + accidents,
            "cost_mean": committed + forecast,
            "currency": currency,
            "committed": committed,
            "forecast": forecast,
            "parts_cost": parts,
            "labour_cost": committed + forecast - parts,
            "failed": failed,
            "found_worn": worn,
            "accidents": accidents,
        }
    )


Numbers = TypeVar("Numbers", Ints, Floats)


def with_totals(of_items: Numbers, firsts: Ints) -> Numbers:
    """Rows of items with their sums in front: of all of them, then of each kind.

    Parameters
    ----------
    of_items : ndarray, shape (n_items, ...)
        In the order of kinds.
    firsts : ndarray of int, shape (n_kinds,)
        The first item of each kind.
    """
    every = of_items.sum(axis=0, keepdims=True)
    kinds = np.add.reduceat(of_items, firsts, axis=0) if len(of_items) else of_items
    return np.concatenate([every, kinds, of_items])


def headed(lines: pd.DataFrame, **names: Sequence[object] | object) -> pd.DataFrame:
    """Lines with columns in front that say what each is of."""
    front = pd.DataFrame(names, index=lines.index)
    return pd.concat([front, lines], axis=1)
