"""What the page of spares and orders says; no Streamlit and no computation."""

from __future__ import annotations

import pandas as pd

from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_items import POOLED
from analytics.decisions.stock_orders import NO_LIMIT
from analytics.papers import spares as says
from analytics.papers.words import count
from dashboard.words import day, plain

LEAD = "What to hold in store, what to order and by when, and what will expire."

CHANCES = (0.80, 0.90, 0.95, 0.98, 0.99)
"""Chances of not waiting that can be chosen."""

CHANCE_LABEL = "Chance that a line lasts: nobody waits for that part"
CHANCE_HELP = (
    "Each line (a part number at a base) on its own lasts for a lead time in so many of 100 cases. "
    "The higher, the more lies in store. All lines together last less often."
)
ONE_LABEL = "Hold one where waiting would cost more than the part"
ONE_HELP = (
    "For parts so seldom wanted that the chance asks for none: a boat that waits for one loses "
    "its charter income for a lead time."
)
ONE_NEEDS_PRICES = (
    "No part has a price, so what waiting costs cannot be compared with a part: this needs "
    "`prices.csv`."
)
EVERY_BASE = "\nevery base"
"""A choice of stores; like `POOLED`, no base can be called so."""

ONE_STORE = "one store for all bases"
FOR_LABEL = "Stores"

NO_STOCK = (
    "Nothing is taken to be in store. Add `stock.csv` (base, kind, part number or size, quantity, "
    "day of making), and what is there is taken off the order."
)
NONE_HERE = "Nothing is in store here."
NO_PRICES = (
    "No part has a price, so the order has no money and nothing is said of what waiting costs "
    "beside a part. Add `prices.csv` (part number or kind, price, lead time)."
)
NO_LEAD = (
    "No lead time is given in `prices.csv`, so there is no day to order by; 28 days are assumed "
    "for what to hold."
)
NOTHING = "Nothing to order: what is in store is enough."

ORDER_READING = (
    "For the lift: what the limits ask for, in the median future. For the shelf: what must come "
    "on top; of bearings, what the lift may show to be worn. From store: what is there, good, and "
    "counted. Buy at most: the rest would expire before half of the futures use it. Elsewhere: "
    "parts in other stores, with boats or without, that nobody there counts on and that are good "
    "on the day they are needed; they are not taken off the order, so look there first."
)
HOLD_READING = (
    "Wanted: mean number over a lead time in the season, or before it where that asks for more; "
    "for parts whose wear only a lift shows, "
    "at the next lay-up lift. Hold in all: enough in the chosen share of simulated cases, each "
    "line on its own, and one where that asks for none but waiting costs more than the part. What "
    "would expire unused is not bought. By the textbook: the number for the same mean, were "
    "failures independent of each other and of age (Poisson). Waiting costs: what waiting "
    "without any would cost in the season, on average."
)
STORE_READING = (
    "Used first in, first out by the simulated renewals of the base. Used up by: all of the row is "
    "used in 50, and in 80, of 100 futures; blank where in too many of them some expires first."
)
STORAGE_READING = (
    "Change it with `shelf_life_years` in `prices.csv`, or `storage_years` under a kind in "
    "`fleet.toml`. " + says.STORAGE_ONLY + " ISO 2230 was read second-hand, and sources differ: "
    "ask the maker. The longer time needs an inspection, and is not counted on."
)
AHEAD_READING = (
    "What the limits ask for at the lift after, in the median future. What is in store is not "
    "taken off, nor what fails before."
)
MONTHS_READING = (
    "Each part in the month by which to order it: a lead time before the lift, or before the "
    "season begins."
)
TAKEN_FOR_GRANTED = "What these orders take for granted"
MOST_QUESTIONS = 12
"""Questions shown; the file holds all of them."""

NO_QUESTIONS = "Nothing: every part in service and every row in store is known well enough."


def heading(plan: StockPlan, lines: pd.DataFrame, currency: str) -> str:
    """How much to order, and from when on."""
    bought = lines[lines["to_buy"] > 0]
    if bought.empty:
        return NOTHING
    parts, cost = int(bought["to_buy"].sum()), bought["cost"].sum()
    amount = "" if bought["cost"].isna().all() else f", {plain(currency)} {cost:,.0f}"
    said = f"Season {plan.season.year}: order {count(parts, 'part')}{amount}"
    first = says.first_order(bought)
    return f"{said}, the first by {day(first)}" if first else said


def sentences(plan: StockPlan, lines: pd.DataFrame, shown: str, currency: str) -> list[str]:
    """What to know before ordering, what matters most first."""
    stores = says.stores_of(plan) if shown == EVERY_BASE else [shown]
    said = [
        *(f"{plain(store or 'No base given')}: {one}" for store in stores
          if (one := says.late(plan, store))),
        at_once(plan, shown),
        says.from_elsewhere(lines),
        says.shelf_money(lines, plain(currency)),
        says.pooling(plan, plain(currency)) if shown in (EVERY_BASE, POOLED) else "",
        *says.old_stock(plan),
        *(f"{plain(store or 'No base given')}: {one}" for store in stores
          if (one := says.capped(plan, store))),
    ]  # fmt: skip
    if number := len(plan.questions):
        said.append(f"{count(number, 'question')} to ask before ordering: below.")
    return [one for one in said if one]


def at_once(plan: StockPlan, shown: str) -> str:
    """What the chance is of, and how often all lines of the stores shown last at once."""
    chance = plan.together.everywhere if shown == EVERY_BASE else plan.together.of[shown]
    at = plan.holdings["base"]
    lines = int((at != POOLED if shown == EVERY_BASE else at == shown).sum())
    each = says.each_alone(plan.chance)
    return f"{each[0].upper()}{each[1:]}. {says.at_once(chance, lines)}".strip()


def more_questions(number: int) -> str:
    """That there are more questions than are shown."""
    return f"And {count(number, 'more question', 'more questions')}: the file has all of them."


def store_name(store: str) -> str:
    """How a choice of stores reads."""
    if store == POOLED:
        return ONE_STORE
    if store == EVERY_BASE:
        return "every base, each with its own"
    return plain(store) or "no base given"


def most(number: int) -> str:
    """How many to buy at most before the rest expires."""
    return "any" if number == NO_LIMIT else str(number)
