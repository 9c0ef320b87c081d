"""Spares and orders: what to hold, what to buy and by when, what expires, whom to ask."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.decisions.prices import PriceList
from analytics.decisions.stock_demand import demand_of
from analytics.decisions.stock_holding import CHANCE, Together, holdings, lasting_together
from analytics.decisions.stock_in_store import in_store
from analytics.decisions.stock_items import items_of
from analytics.decisions.stock_orders import ahead_lines, order_lines, order_money
from analytics.decisions.stock_questions import questions
from analytics.decisions.stock_shelf import Uses, seasons_to_follow, storage_table
from analytics.lives import Lives
from analytics.outlook.futures import Futures
from analytics.records.seasons import Season


@dataclass(frozen=True)
class StockPlan:
    """The answer for one chance of not waiting.

    Attributes
    ----------
    chance : float
    season : Season
        The one that is bought for.
    holdings : DataFrame
        `stock_holding.HOLDING_COLUMNS`: what each shelf should hold; and `held`, the number in
        the end: one where the chance asks for none but `one_where_it_pays`.
    together : Together
        The chance that all of these shelves last at once.
    orders : DataFrame
        `stock_orders.ORDER_COLUMNS`: what to buy for the season, a row beside each of
        `holdings`.
    ahead : DataFrame
        `stock_orders.AHEAD_COLUMNS`: planned renewals of the season after.
    money : DataFrame
        `stock_orders.MONEY_COLUMNS`: the orders added up.
    store : DataFrame
        `stock_in_store.STORE_COLUMNS`: what lies in store, and what becomes of it.
    storage : DataFrame
        `stock_shelf.STORAGE_COLUMNS`: how long what may be stored, and who says so.
    questions : DataFrame
        `stock_questions.QUESTION_COLUMNS`.
    one_where_it_pays : bool
        See `order_lines`.
    """

    chance: float
    season: Season
    holdings: pd.DataFrame
    together: Together
    orders: pd.DataFrame
    ahead: pd.DataFrame
    money: pd.DataFrame
    store: pd.DataFrame
    storage: pd.DataFrame
    questions: pd.DataFrame
    one_where_it_pays: bool


def stock_plan(
    lives: Lives,
    futures: Futures,
    prices: PriceList,
    stock: pd.DataFrame,
    chance: float = CHANCE,
    *,
    one_where_it_pays: bool = True,
) -> StockPlan:
    """What to hold and what to buy.

    Parameters
    ----------
    futures : Futures
        Of two seasons at least; of `seasons_followed` so many that what is bought now is
        followed until it expires.
    stock : DataFrame
        Checked rows of stock.csv.
    chance : float
        Chance of not waiting, above 0 and below 1.
    one_where_it_pays : bool
        See `order_lines`.

    Raises
    ------
    ValueError
        See `holdings`.
    """
    items = items_of(futures)
    uses = Uses(futures, items)
    demand = demand_of(lives, futures, items, prices)
    held = holdings(lives, demand, prices, chance)
    one = held["one_pays"].astype(bool) & one_where_it_pays
    held["held"] = np.maximum(held["hold"].to_numpy(int), one.to_numpy(int))
    store = in_store(lives, stock, items, prices, uses)
    orders = order_lines(
        lives, futures, demand, prices, held, store, uses, chance,
        one_where_it_pays=one_where_it_pays,
    )  # fmt: skip
    return StockPlan(
        chance=chance,
        season=futures.seasons[0],
        holdings=held,
        together=lasting_together(demand, held),
        orders=orders,
        ahead=ahead_lines(lives, futures, items, prices),
        money=order_money(orders, lives.settings.currency),
        store=store.rows,
        storage=storage_table(lives.settings, prices, items),
        questions=questions(lives, held, store),
        one_where_it_pays=one_where_it_pays,
    )


def seasons_followed(lives: Lives, prices: PriceList) -> int:
    """Seasons to simulate for `stock_plan`: so many that what is bought now has expired."""
    in_service = lives.in_service()[["kind", "part_no"]].drop_duplicates()
    return seasons_to_follow(
        lives.settings, prices, list(in_service.itertuples(index=False, name=None))
    )
