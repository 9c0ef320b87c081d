"""Small fleets with a store, and their futures written out renewal by renewal."""

from collections.abc import Sequence

import pandas as pd

from analytics.decisions.prices import price_list
from analytics.decisions.stock import StockPlan, stock_plan
from analytics.job import Fleet, open_fleet
from analytics.outlook.futures import Futures
from tests.analytics.decisions.costing_places import Renewal, written_out

SETTINGS = """as_of = 2024-12-31
records_from = 2005-01-01
[rates]
lost_day = 100
"""
"""The season of 2025 is ahead: 1 April to 31 October, its lift on 15 January."""

Place = tuple[str, str, str, str, str, str]
"""Boat, position, kind, part number, size and base."""


def fleet_of(
    places: Sequence[Place],
    *,
    prices: Sequence[str] = (),
    stock: Sequence[str] = (),
    settings: str = SETTINGS,
) -> Fleet:
    """A fleet of these places, each with a part fitted in 2020.

    `prices` are rows of kind, part_no, part_price, lead_time_days, shelf_life_years; `stock`
    rows of base, kind, part_no, size, quantity, made_on.
    """
    bases = {place[0]: place[5] for place in places}
    parts = [f"{','.join(place[:5])},2020-01-01" for place in places]
    files = {
        "fleet.toml": settings,
        "boats.csv": _csv("boat,base", [f"{boat},{base}" for boat, base in bases.items()]),
        "parts.csv": _csv("boat,position,kind,part_no,size,fitted_on", parts),
        "prices.csv": _csv("kind,part_no,part_price,lead_time_days,shelf_life_years", prices),
        "stock.csv": _csv("base,kind,part_no,size,quantity,made_on", stock),
    }
    return open_fleet({name: text.encode() for name, text in files.items()})


def futures_of(
    fleet: Fleet,
    places: Sequence[Place],
    renewals: Sequence[Renewal],
    *,
    n_futures: int = 1,
    years: Sequence[int] = (2025, 2026),
) -> Futures:
    """Futures of these places and renewals."""
    return written_out(
        fleet,
        [place[:4] for place in places],
        renewals,
        n_futures=n_futures,
        years=years,
        sizes=[place[4] for place in places],
        bases=[place[5] for place in places],
    )


def plan_of(
    fleet: Fleet, futures: Futures, chance: float = 0.95, *, one_where_it_pays: bool = False
) -> StockPlan:
    """The plan of those futures."""
    return stock_plan(
        fleet.lives,
        futures,
        price_list(fleet.records),
        fleet.records.tables["stock.csv"],
        chance,
        one_where_it_pays=one_where_it_pays,
    )


def line(table: pd.DataFrame, base: str, part_no: str = "") -> pd.Series:
    """The one line of a base and part number."""
    chosen = table[(table["base"] == base) & (table["part_no"] == part_no)]
    assert len(chosen) == 1
    return chosen.iloc[0]


def _csv(header: str, rows: Sequence[str]) -> str:
    return "\n".join([header, *rows]) + "\n"
