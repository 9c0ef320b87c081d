"""What the page of the parts budget says; no Streamlit and no computation."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from analytics.papers.budget_sentences import COMMITTED
from analytics.papers.budget_sentences import CONTINGENCY as MEANS
from analytics.records.seasons import Season
from dashboard.words import plain

MOST_BOATS = 100
"""Boats that the page shows; the file has all."""

NO_PRICES = (
    "No part has a price, so money is not known and only quantities are shown. Add `prices.csv` "
    "(part number or kind, price, labour hours, lead time) to see money."
)
P_WORDS = (
    "P80 is the amount that suffices in 80 of 100 simulated futures, P50 in 50, P95 in 95. Means "
    "add up; such amounts do not: the fleet's P80 is not the sum of the P80 of its lines."
)
PLANNED = (
    "Planned: renewed at the lay-up lift because the limit is reached. Unplanned: failed, found "
    "worn at a lift, or lost to an accident."
)
CONTINGENCY = (
    f"Committed is the {COMMITTED}, in every line. Contingency is {MEANS}. "
    "It is 0 in a line so small that mostly nothing happens."
)
LUCK = (
    "Luck: the share of the spread (of the variance) that is left when the curves, the fitting "
    "dates and the hours that boats run are known. More records narrow the rest, not the luck."
)
MONTHS = (
    "Planned work, and worn parts that a lift finds, are paid in the month of the lay-up lift; "
    "what fails is paid in the month in which it fails. Bars are means."
)
DISTRIBUTION = (
    "Each simulated future has one total. Planned is the mean of planned work; from there to P80 "
    "is the contingency."
)
BOATS = (
    f"The {MOST_BOATS} boats with the highest mean cost; the file has all. Means only: a single "
    "boat's percentiles are mostly nothing or one part."
)
TO_SPARES = "What to order, and by when"
KIND_NOT_PRICED = "This kind has no price: its money is not known, so quantities are shown."


def first_quantities(line: pd.Series, season: Season) -> str:
    """The quantities of the first season, where nothing is priced."""
    mean, p80, p95 = (line[f"quantity_{name}"] for name in ("mean", "p80", "p95"))
    shown = f"{mean:.1f} parts on average" if mean < 10 else f"about {mean:,.0f} parts"
    return (
        f"Season {season.year}: {shown}; {p80:,.0f} {'is' if p80 == 1 else 'are'} enough in 80 of "
        f"100 simulated futures, {p95:,.0f} in 95."
    )


def view_file(view: str) -> str:
    """The command's file that holds what is looked at."""
    return {
        "Size": "budget_sizes.csv",
        "Base": "budget_bases.csv",
        "Month": "budget_months.csv",
        "Boat": "budget_boats.csv",
    }.get(view, "budget.csv")


def unpriced(names: Sequence[str]) -> str:
    """Parts whose money is missing."""
    return (
        f"No price for {plain(', '.join(names))}: counted in the quantities, but **not in the "
        "money**. Add them to `prices.csv`."
    )
