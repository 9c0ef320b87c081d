"""What to order for the coming season, how many, and by when."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import Price, PriceList
from analytics.lives import Lives
from analytics.outlook.futures import Futures
from analytics.records.seasons import Season

Counts = npt.NDArray[np.signedinteger[Any]]

POINTS = {"p50": 0.5, "p80": 0.8, "p95": 0.95}
"""Chances with which a number of parts, or an amount of money, suffices."""

SPARES_COLUMNS = [
    *("kind", "part_no", "size", "season", "planned", "unplanned", "expected", "p80", "p95"),
    *("part_price", "cost_p80", "lead_time_days", "order_by", "late"),
]


def order_list(lives: Lives, futures: Futures, prices: PriceList) -> pd.DataFrame:
    """Parts that the first season needs.

    Returns
    -------
    DataFrame
        `SPARES_COLUMNS`: mean numbers `planned`, `unplanned` and together
        `expected`; whole numbers that suffice in 80 and 95 of 100 futures; price
        of one and of the 80-in-100 number; the day by which to order, a lead
        time before the lay-up lift (or before the last day watched, where that
        lift is past), and whether that day is already past.
    """
    season, as_of = futures.seasons[0], lives.as_of
    # In mid-season the lift of that season is past: what it still needs, it needs from now on.
    needed_on = season.lift_on if season.lift_on > as_of else as_of
    in_service = lives.in_service()
    sizes = in_service[in_service["size"] != ""].groupby(["kind", "part_no"])["size"].min()
    rows = []
    for i, (kind, part_no) in enumerate(futures.items.itertuples(index=False, name=None)):
        price = prices.of(kind, part_no)
        lead = price.lead_time_days
        order_by = None if np.isnan(lead) else needed_on - timedelta(days=int(np.ceil(lead)))
        rows.append(
            {
                "kind": kind,
                "part_no": part_no,
                "size": sizes.get((kind, part_no), ""),
                **season_need(season, futures.planned[:, 0, i], futures.unplanned[:, 0, i], price),
                "lead_time_days": lead,
                "order_by": order_by,
                "late": order_by is not None and order_by <= as_of,
            }
        )
    return pd.DataFrame(rows, columns=SPARES_COLUMNS)


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
