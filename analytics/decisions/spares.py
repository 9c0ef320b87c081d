"""What a season needs of an item: the columns of the order list that are counted."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from analytics.decisions.prices import Price
from analytics.records.seasons import Season

Counts = npt.NDArray[np.signedinteger[Any]]

POINTS = {"p50": 0.5, "p80": 0.8, "p95": 0.95}
"""Chances with which a number of parts, or an amount of money, suffices."""

SPARES_COLUMNS = [
    *("kind", "part_no", "size", "season", "planned", "unplanned", "expected", "p80", "p95"),
    *("part_price", "cost_p80", "lead_time_days", "order_by", "late"),
]
"""First columns of `stock_orders.ORDER_COLUMNS`."""


def season_need(season: Season, planned: Counts, unplanned: Counts, price: Price) -> dict[str, Any]:
    """What a season needs of one item: means, numbers that suffice, and their price.

    Parameters
    ----------
    planned, unplanned : ndarray of int, shape (n_futures,)
        Renewals of the item in each future.

    Returns
    -------
    dict
        `season`, `planned`, `unplanned`, `expected`, `p80`, `p95`, `part_price` and `cost_p80`
        of `SPARES_COLUMNS`.
    """
    _, p80, p95 = counts_at(planned + unplanned)
    return {
        "season": season.year,
        "planned": planned.mean(),
        "unplanned": unplanned.mean(),
        "expected": (planned + unplanned).mean(),
        "p80": p80,
        "p95": p95,
        "part_price": price.part,
        "cost_p80": p80 * price.part,
    }


def counts_at(quantity: Counts) -> list[int]:
    """Counts that suffice with the chances of `POINTS`: whole parts, never a fraction of one."""
    points = np.quantile(quantity, list(POINTS.values()), method="inverted_cdf")
    return [int(point) for point in points]
