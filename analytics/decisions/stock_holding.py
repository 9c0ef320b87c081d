"""How many of each item to hold, so that in most cases nobody waits for a part.

The shelf holds what suffices in the chosen share of windows and futures, in the season and
before it, see `stock_demand`. Planned renewals are ordered ahead, and never come off the shelf.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.decisions.stock_demand import Demand
from analytics.decisions.stock_items import ITEM_COLUMNS, POOLED, Items
from analytics.lives import Lives

Counts = npt.NDArray[np.signedinteger[Any]]

CHANCE = 0.95
"""Chance of not waiting unless asked otherwise (common practice, no source)."""

AT_LIFT, OVER_LEAD_TIME = "lift", "lead time"
"""What a shelf must last for: the next lay-up lift, or a lead time in the season."""

HOLDING_COLUMNS = [
    *("base", *ITEM_COLUMNS, "ask", "lead_time_days", "lead_assumed", "window"),
    *("wanted", "wanted_chance", "hold", "poisson", "in_season"),
    *("part_price", "waiting_cost", "one_pays"),
]


def holdings(
    lives: Lives, demand: Demand, prices: PriceList, chance: float = CHANCE
) -> pd.DataFrame:
    """How many of each item to hold, at each base and in one store for all.

    Parameters
    ----------
    chance : float
        Share of the windows in which the shelf suffices, above 0 and below 1.

    Returns
    -------
    DataFrame
        `HOLDING_COLUMNS`, a row for each base (`POOLED` first) and each item that a boat of
        it has. `window` is `OVER_LEAD_TIME` or `AT_LIFT`; `wanted` the mean number in a
        window of the season, or before it where that asks for more; `wanted_chance` the chance
        of one or more; `hold` the number that suffices, `poisson` what a Poisson demand of the
        same mean asks for; `in_season` the mean number over the rest of the season, or at the
        lift. Of a shelf without any, `waiting_cost` is the
        mean charter income that the first boat to want one in the season loses while it is
        ordered (NaN for parts that stop no boat), and `one_pays` says whether the chance asks for
        none although that is more than a part costs.

    Raises
    ------
    ValueError
        If the chance is out of range.
    """
    if not 0.0 < chance < 1.0:
        raise ValueError(f"chance is {chance}; give a number above 0 and below 1")
    settings, items = lives.settings, demand.items
    rows = []
    for base, item in _seen(items):
        kind, part_no, size = items.keys[item]
        shelf = max(demand.on_shelf(item, base), key=lambda span: enough(span, chance))
        price, at_lift = prices.of(kind, part_no), bool(demand.at_lift[item])
        stops = settings.kind(kind).stops_the_boat and not at_lift
        waited = demand.days_waited(item, base) * settings.rates.lost_day
        hold, waiting = enough(shelf, chance), waited if stops else float("nan")
        season = demand.lift if at_lift else demand.in_season
        rows.append(
            {
                "base": base,
                "kind": kind,
                "part_no": part_no,
                "size": size,
                "ask": bool(items.table["ask"].iloc[item]),
                "lead_time_days": float(demand.lead[item]),
                "lead_assumed": bool(demand.lead_assumed[item]),
                "window": AT_LIFT if at_lift else OVER_LEAD_TIME,
                "wanted": float(shelf.mean()),
                "wanted_chance": float((shelf > 0).mean()),
                "hold": hold,
                "poisson": poisson_stock(float(shelf.mean()), chance),
                "in_season": float(demand.of(season, item, base).mean()),
                "part_price": price.part,
                "waiting_cost": waiting,
                "one_pays": hold == 0 and waiting > price.part,
            }
        )
    return pd.DataFrame(rows, columns=HOLDING_COLUMNS)


@dataclass(frozen=True)
class Together:
    """The chance that all lines of a store last at once.

    Attributes
    ----------
    of : mapping of str to float
        By store, `POOLED` among them.
    everywhere : float
        Of every base at once, each with a store of its own.
    """

    of: Mapping[str, float]
    everywhere: float


def lasting_together(demand: Demand, held: pd.DataFrame) -> Together:
    """In how many futures and lead times of the season no shelf of a store runs out.

    Parameters
    ----------
    held : DataFrame
        Of `holdings`, with the number that is held in the column `held`.

    Returns
    -------
    Together
        Lead times count that begin on the same day of the season, each as long as its line's,
        and with them the next lay-up lift of the same future, for parts that it alone shows
        to be worn.
    """
    number = {key: i for i, key in enumerate(demand.items.keys)}
    windows = demand.windows[demand.before :]
    n_futures = len(demand.lift)
    everywhere = np.ones((len(windows), n_futures), dtype=bool)
    of: dict[str, float] = {}
    for base, lines in held.groupby("base", sort=False):
        lasts = np.ones_like(everywhere)
        keys = lines[ITEM_COLUMNS].itertuples(index=False, name=None)
        for key, most in zip(keys, lines["held"].to_numpy(dtype=np.int64), strict=True):
            item = number[key]
            spans = [demand.lift] if demand.at_lift[item] else windows
            lasts &= np.stack([demand.of(one, item, str(base)) for one in spans]) <= most
        of[str(base)] = float(lasts.mean())
        if base != POOLED:
            everywhere &= lasts
    return Together(of, float(everywhere.mean()))


def poisson_stock(mean: float, chance: float = CHANCE) -> int:
    """Smallest stock that a Poisson demand of this mean exceeds seldom enough.

    Parameters
    ----------
    mean : float
        Expected demand in a lead time.
    chance : float
        Probability that the demand is no larger than the stock.

    Returns
    -------
    int

    Notes
    -----
    The textbook answer for parts that fail independently of each other and of their ages; shown
    beside the simulated one as a plain check.
    """
    from scipy.stats import poisson

    return int(poisson.ppf(chance, mean)) if mean > 0 else 0


def enough(samples: Counts, chance: float) -> int:
    """The smallest whole number that suffices in this share of the samples."""
    if not len(samples):
        return 0
    reached = np.cumsum(np.bincount(samples))
    # A share such as 0.95 of 100 is 95 of them, whatever its last binary figure.
    return int(np.searchsorted(reached, ceil(chance * len(samples) - 1e-9)))


def lead_before(day: date, lead_time_days: float) -> date:
    """The day by which to order what must be there on a day."""
    return day - timedelta(days=ceil(lead_time_days))


def _seen(items: Items) -> list[tuple[str, int]]:
    """Stores and the items that boats of theirs have, `POOLED` first."""
    of_base = sorted(set(zip(items.base.tolist(), items.item.tolist(), strict=True)))
    pooled = [(POOLED, item) for item in range(len(items))]
    return [*pooled, *((items.bases[base], item) for base, item in of_base)]
