"""What to buy for the coming season, by when, and for how much: base by base, and pooled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import inf, isnan
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.decisions.prices import Price, PriceList
from analytics.decisions.spares import SPARES_COLUMNS, season_need
from analytics.decisions.stock_demand import Demand, counted_by_item, needed_on
from analytics.decisions.stock_holding import AT_LIFT, enough, lead_before
from analytics.decisions.stock_in_store import Store
from analytics.decisions.stock_items import ITEM_COLUMNS, POOLED, Items
from analytics.decisions.stock_shelf import Uses, most_to_buy, storage_life, used_up
from analytics.lives import Lives
from analytics.outlook.futures import PLANNED, Futures
from analytics.usage import day_number

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

ORDER_COLUMNS = [
    *SPARES_COLUMNS,
    *("base", "ask", "for_lift", "spares", "in_store", "from_store", "most"),
    *("to_buy", "to_buy_for_lift", "held_back", "needed_on", "cost", "currency"),
    *("elsewhere", "elsewhere_at"),
]

AHEAD_COLUMNS = [
    *("season", "base", *ITEM_COLUMNS, "planned", "for_lift", "part_price", "cost", "currency"),
    *("lead_time_days", "order_by", "late"),
]

MONEY_COLUMNS = ["base", "lines", "parts", "cost", "late", "unpriced", "currency"]

NO_LIMIT = -1
"""Stands in `most` where nothing expires by the last day simulated: any number may be bought."""

NO_BASE = "no base given"
"""Stands in `elsewhere_at` for a store that stock.csv names no base of."""


def order_lines(
    lives: Lives,
    futures: Futures,
    demand: Demand,
    prices: PriceList,
    holdings: pd.DataFrame,
    store: Store,
    uses: Uses,
    chance: float,
    *,
    one_where_it_pays: bool = True,
) -> pd.DataFrame:
    """The order list of the first season.

    Parameters
    ----------
    holdings : DataFrame
        From `stock_holding.holdings`, for the same chance.
    store : Store
        What lies in store.
    uses : Uses
        Of the same futures and items.
    one_where_it_pays : bool
        Whether one is held where the chance asks for none but waiting for it would cost more
        than the part.

    Returns
    -------
    DataFrame
        `ORDER_COLUMNS`, a row for each row of `holdings`. `for_lift` is what the limits ask for
        at the lay-up lift in the median future. `spares` is what must come on top, so that
        the lift and the shelf together suffice in the chosen share of windows and futures: as
        many as to hold where it is known what is due. Of what is `in_store` and
        still good, and not used in half of the futures before the season begins, `from_store`
        counts for these. `to_buy` is the rest (`to_buy_for_lift` of it
        for the lift), but never more than
        `most`: what the median future uses before it expires (`NO_LIMIT` where it keeps);
        `held_back` is what that leaves out. `order_by` is a lead time before the day it is first
        needed (None where nothing is bought or no lead time is given). Money is of today's
        price list. `elsewhere` is how many parts lie elsewhere beyond what those bases count
        on, and are good on the day this one needs them; `elsewhere_at` where.
    """
    as_of, settings, items = lives.as_of, lives.settings, demand.items
    first = futures.seasons[0]
    lift, next_lift, begin = needed_on(futures.seasons, as_of)
    number = {key: i for i, key in enumerate(items.keys)}
    before = Uses(_unplanned_before(futures, begin, demand.at_lift[items.item]), items)
    over: list[dict[str, Sequence[float]]] = [
        dict(store.central(i, items.bases)) for i in range(len(items))
    ]
    asked: list[tuple[int, date]] = []
    rows: list[dict[str, Any]] = []
    for line in holdings.itertuples(index=False):
        base, key = str(line.base), (str(line.kind), str(line.part_no), str(line.size))
        item = number[key]
        price = prices.of(key[0], key[1])
        due = demand.of(demand.due, item, base)
        for_lift = enough(due, 0.5)
        together = max(enough(span, chance) for span in demand.with_due(item, base))
        spares = max(together - for_lift, 0)
        if one_where_it_pays and line.one_pays:
            spares = max(spares, 1)
        shelf = (next_lift, next_lift) if line.window == AT_LIFT else (begin, first.end)
        need = _Need(for_lift, spares, lift or shelf[0], *shelf)
        expiries = store.expiries(item, base)
        left = left_of(expiries, before.of(item, base)) if expiries else []
        *counted, over[item][base] = need.from_store(left)
        wanted = for_lift + spares - sum(counted)
        most = _most(lives, prices, uses, expiries, need, item=item, base=base, key=key)
        to_buy = wanted if most == NO_LIMIT else min(wanted, most)
        needed = need.lift if for_lift > counted[0] else need.begin
        asked.append((item, needed))
        rows.append(
            {
                **dict(zip(ITEM_COLUMNS, key, strict=True)),
                **season_need(first, due, demand.of(demand.unplanned, item, base), price),
                **_when(price, needed, as_of, to_buy),
                "base": base,
                "ask": bool(line.ask),
                "for_lift": for_lift,
                "spares": spares,
                "in_store": len(expiries),
                "from_store": sum(counted),
                "most": most,
                "to_buy": to_buy,
                "to_buy_for_lift": min(to_buy, for_lift - counted[0]),
                "held_back": wanted - to_buy,
                "needed_on": needed if to_buy else None,
                "cost": to_buy * price.part if to_buy else 0.0,
                "currency": settings.currency,
            }
        )
    for row, (item, needed) in zip(rows, asked, strict=True):
        row |= _elsewhere(over[item], str(row["base"]), needed)
    return pd.DataFrame(rows, columns=ORDER_COLUMNS)


def ahead_lines(lives: Lives, futures: Futures, items: Items, prices: PriceList) -> pd.DataFrame:
    """What the limits ask for at the lift of the season after the first, and the days to order by.

    Returns
    -------
    DataFrame
        `AHEAD_COLUMNS`, a row for each base (and all together) and item of which one or more
        are planned in the median future: the mean number, that number, and its money of
        today's price list. What is in store is not taken off.
    """
    as_of, season = lives.as_of, futures.seasons[1]
    chosen = np.flatnonzero((futures.how == PLANNED) & (futures.season == 1))
    counted = counted_by_item(futures, items, chosen)
    rows: list[dict[str, object]] = []
    for base in items.stores:
        at = slice(None) if base == POOLED else [items.bases.index(base)]
        for i, key in enumerate(items.keys):
            due = counted[:, i, at].sum(axis=1, dtype=np.int64)
            if not (for_lift := enough(due, 0.5)):
                continue
            price = prices.of(key[0], key[1])
            rows.append(
                {
                    "season": season.year,
                    "base": base,
                    **dict(zip(ITEM_COLUMNS, key, strict=True)),
                    "planned": due.mean(),
                    "for_lift": for_lift,
                    "part_price": price.part,
                    "cost": for_lift * price.part,
                    "currency": lives.settings.currency,
                    **_when(price, season.lift_on, as_of, for_lift),
                }
            )
    return pd.DataFrame(rows, columns=AHEAD_COLUMNS)


MONTH_COLUMNS = ["month", "use", "parts", "cost"]

FOR_LIFT, FOR_SHELF, FOR_NEXT_LIFT = "for the lift", "for the shelf", "for the lift after"


def order_months(orders: pd.DataFrame, ahead: pd.DataFrame) -> pd.DataFrame:
    """Parts and money by the month to order in, `MONTH_COLUMNS`.

    Parameters
    ----------
    orders, ahead : DataFrame
        Some bases' lines of `order_lines` and `ahead_lines`.

    Returns
    -------
    DataFrame
        `month` is its first day, None where no lead time is given; `use` is `FOR_LIFT`,
        `FOR_SHELF` or `FOR_NEXT_LIFT`. The money of parts without a price counts 0.
    """
    bought = orders[orders["to_buy"] > 0]
    price = bought["part_price"].fillna(0.0)
    lift, shelf = bought["to_buy_for_lift"], bought["to_buy"] - bought["to_buy_for_lift"]
    pieces = [
        (bought["order_by"], FOR_LIFT, lift, lift * price),
        (bought["order_by"], FOR_SHELF, shelf, shelf * price),
        (ahead["order_by"], FOR_NEXT_LIFT, ahead["for_lift"], ahead["cost"].fillna(0.0)),
    ]
    rows = [
        {"month": day.replace(day=1) if day else None, "use": use, "parts": n, "cost": cost}
        for days, use, numbers, costs in pieces
        for day, n, cost in zip(days, numbers, costs, strict=True)
        if n
    ]
    table = pd.DataFrame(rows, columns=MONTH_COLUMNS)
    summed = table.groupby(["month", "use"], sort=True, dropna=False)[["parts", "cost"]].sum()
    return summed.reset_index()


def order_money(orders: pd.DataFrame, currency: str) -> pd.DataFrame:
    """Lines, parts and money to buy by base, `MONEY_COLUMNS`; all bases together stand first.

    Bases added up are what is bought where each keeps its own; `POOLED` is one store for all,
    so the two differ. Parts without a price are counted in `unpriced` and not in the money.
    """
    rows = []
    for base, lines in orders.groupby("base", sort=False):
        bought = lines[lines["to_buy"] > 0]
        rows.append(
            {
                "base": base,
                "lines": len(bought),
                "parts": int(bought["to_buy"].sum()),
                "cost": float(bought["cost"].sum()),
                "late": int(bought["late"].sum()),
                "unpriced": int(bought.loc[bought["part_price"].isna(), "to_buy"].sum()),
                "currency": currency,
            }
        )
    return pd.DataFrame(rows, columns=MONEY_COLUMNS)


@dataclass(frozen=True)
class _Need:
    """What is needed of an item: so many on the day of the lift, so many on the shelf.

    The shelf's must be good from `begin` to `end`.
    """

    for_lift: int
    spares: int
    lift: date
    begin: date
    end: date

    def from_store(self, expiries: Sequence[float]) -> tuple[int, int, list[float]]:
        """Parts in store that the lift takes, that stay good on the shelf, and what is over.

        The lift takes those that expire first, so that the others last to the shelf's end. Of
        what is over, the last good days.
        """
        gone = [one for one in expiries if one < day_number(self.lift)]
        at_lift = list(expiries[len(gone) :])
        taken = min(self.for_lift, len(at_lift))
        short = [one for one in at_lift[taken:] if one < day_number(self.end)]
        lasting = at_lift[taken + len(short) :]
        kept = min(self.spares, len(lasting))
        return taken, kept, [*gone, *short, *lasting[kept:]]


def left_of(expiries: Sequence[float], days: Floats) -> list[float]:
    """Of parts in store, in the order of their last good days, those left after some days.

    Parameters
    ----------
    expiries : sequence of float
        Last good day of each, ascending.
    days : ndarray, shape (n_futures, n)
        When one is wanted, from `Uses.of`.

    Returns
    -------
    list of float
        Without those that half of the futures or more have used.
    """
    used = np.isfinite(used_up(days, expiries, inf).on).mean(axis=0)
    return [one for one, share in zip(expiries, used, strict=True) if share < 0.5]


def _unplanned_before(futures: Futures, begin: date, at_lift: Bools) -> Futures:
    """The renewals before a day that nobody planned: they take what is in store then.

    Without those of places (`at_lift`) whose parts are wanted at the lift alone.
    """
    unplanned = (futures.how != PLANNED) & ~at_lift[futures.part]
    early = np.flatnonzero(unplanned & (futures.day < int(day_number(begin))))
    return replace(
        futures,
        future=futures.future[early],
        part=futures.part[early],
        day=futures.day[early],
        how=futures.how[early],
    )


def _elsewhere(over: Mapping[str, Sequence[float]], base: str, needed: date) -> dict[str, object]:
    """What other stores have over of an item, and is still good on the day it is needed."""
    good = {
        at: sum(end >= day_number(needed) for end in ends)
        for at, ends in over.items()
        if at != base and POOLED not in (at, base)
    }
    named = sorted(at or NO_BASE for at, number in good.items() if number)
    return {"elsewhere": sum(good.values()), "elsewhere_at": "; ".join(named)}


def _most(
    lives: Lives,
    prices: PriceList,
    uses: Uses,
    expiries: Sequence[float],
    need: _Need,
    *,
    item: int,
    base: str,
    key: tuple[str, str, str],
) -> int:
    """How many the median future uses before they expire, bought in time and new when they come."""
    life = storage_life(lives.settings, prices, key[0], key[1])
    if life.years == inf:
        return NO_LIMIT
    # Where the order is late the work waits for the part, so it is used all the same.
    arrives = min(need.lift, need.begin)
    expires = day_number(life.expires_on(arrives))
    if expires > uses.until:
        return NO_LIMIT
    days = uses.of(item, base)
    used = used_up(days, expiries, uses.until)
    return most_to_buy(days, used, day_number(arrives), expires)


def _when(price: Price, needed: date, as_of: date, number: int) -> dict[str, object]:
    lead = price.lead_time_days
    order_by = None if isnan(lead) or not number else lead_before(needed, lead)
    late = order_by is not None and order_by <= as_of
    return {"lead_time_days": lead, "order_by": order_by, "late": late}
