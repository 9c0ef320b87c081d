"""What the page of the parts budget says; no Streamlit and no computation."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import floor, isnan, log10

import pandas as pd

from analytics.outlook.futures import N_FUTURES
from analytics.papers.words import count, money
from analytics.records.seasons import Season
from dashboard.words import NOT_KNOWN, day, plain

NO_PRICES = (
    "No part has a price, so money is not known and only quantities are shown. Add `prices.csv` "
    "(part number or kind, price, labour hours, lead time) to see money."
)
P_WORDS = (
    "P80 is the amount that suffices in 80 of 100 simulated futures, P50 in 50, P95 in 95. Such "
    "amounts do not add up: the fleet's P80 is not the sum of the P80 of its lines."
)
PLANNED = (
    "Planned: renewed at the lay-up lift because the limit is reached. Unplanned: failed, or lost "
    f"to an accident. Bars are means over {N_FUTURES:,} simulated futures."
)
ORDERS = (
    "Order the 80-in-100 column for parts you can wait for, the 95 column for parts that stop a "
    "boat; take off what is in stock. The lines do not add up."
)
KIND_NOT_PRICED = "This kind has no price: its money is not known, so quantities are shown."

PIECES = (
    ("Parts", "parts_cost", "Of the mean: the parts themselves."),
    ("Labour", "labour_cost", "Of the mean: fitting them."),
    ("Planned", "planned_cost", "Of the mean: renewals at the lay-up lift, to commit."),
    ("Unplanned", "unplanned_cost", "Of the mean: after failures and accidents, a forecast."),
    ("Contingency", "contingency", "What is enough in 80 of 100 futures, less the mean."),
)
"""What the first season's money is for: a label, a column of the budget, and what it means."""

WIDTH = 170
"""Pixels of each piece."""


def rounded(amount: float, digits: int) -> float:
    """An amount to so many digits that count: 21,437 is 21,000 with two."""
    if amount <= 0:
        return 0.0
    return round(amount, digits - 1 - floor(log10(amount)))


def first_season(line: pd.Series, season: Season, currency: str) -> str:
    """The money of the first season, no finer than it is known."""
    mean, p80, p95 = (
        rounded(line[f"cost_{name}"], digits)
        for name, digits in (("mean", 2), ("p80", 3), ("p95", 3))
    )
    return (
        f"Season {season.year}: about {money(mean, currency)}; {money(p80, currency)} is enough in "
        f"80 of 100 simulated futures, {money(p95, currency)} in 95."
    )


def piece(amount: float, currency: str) -> str:
    """An amount among others, no finer than it is known."""
    return NOT_KNOWN if isnan(amount) else money(rounded(amount, 3), currency)


def first_quantities(line: pd.Series, season: Season) -> str:
    """The quantities of the first season, where nothing is priced."""
    mean, p80, p95 = (line[f"quantity_{name}"] for name in ("mean", "p80", "p95"))
    shown = f"{mean:.1f} parts on average" if mean < 10 else f"about {mean:,.0f} parts"
    return (
        f"Season {season.year}: {shown}; {p80:,.0f} {'is' if p80 == 1 else 'are'} enough in 80 of "
        f"100 simulated futures, {p95:,.0f} in 95."
    )


def scope(season: Season, period: tuple[date, date]) -> str:
    """Which days, and which renewals, the season's money stands for."""
    first, last = period
    return (
        f"Season {season.year} here means {day(first)} to {day(last)}; a worn bearing is counted "
        "when a lift finds it; a renewed part may fail again."
    )


def unpriced(names: Sequence[str]) -> str:
    """Parts whose money is missing."""
    return (
        f"No price for {plain(', '.join(names))}: counted in the quantities, but **not in the "
        "money**. Add them to `prices.csv`."
    )


def order_by(spares: pd.DataFrame, season: Season, as_of: date) -> str:
    """How to read the order list."""
    if spares["lead_time_days"].isna().all():
        return f"{ORDERS} No lead time is given in `prices.csv`, so no day to order by."
    when = (
        f"the lay-up lift on {day(season.lift_on)}"
        if season.lift_on > as_of
        else f"the last day watched, because the lift of {day(season.lift_on)} is past"
    )
    return f"{ORDERS} Order by: the lead time before {when}. Planned and unplanned are means."


def late(spares: pd.DataFrame) -> str:
    """How many orders are late already."""
    number = int(spares["late"].astype(bool).sum())
    if not number:
        return ""
    return f"**{count(number, 'line is', 'lines are')} late: order at once.**"
