"""What to hold in store and what to order."""

from __future__ import annotations

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.prices import price_list
from analytics.decisions.stock import StockPlan, seasons_followed, stock_plan
from analytics.decisions.stock_holding import CHANCE
from analytics.job.fleet import Fleet, Progress
from analytics.job.money import futures_of
from analytics.outlook.futures import Futures
from analytics.records.tables import STOCK


def spares_futures_of(
    fleet: Fleet,
    ageing: FleetAgeing,
    *,
    seed: int = 0,
    progress: Progress | None = None,
    own: FleetOwnLives | None = None,
) -> Futures:
    """Futures over so many seasons that what is bought now is followed until it expires."""
    seasons = seasons_followed(fleet.lives, price_list(fleet.records))
    return futures_of(fleet, ageing, seasons=seasons, seed=seed, progress=progress, own=own)


def spares_of(
    fleet: Fleet, futures: Futures, chance: float = CHANCE, *, one_where_it_pays: bool = True
) -> StockPlan:
    """What to hold, what to buy and by when; `futures` from `spares_futures_of`.

    Raises
    ------
    ValueError
        If the chance is not above 0 and below 1.
    """
    return stock_plan(
        fleet.lives,
        futures,
        price_list(fleet.records),
        fleet.records.tables[STOCK.file],
        chance,
        one_where_it_pays=one_where_it_pays,
    )
