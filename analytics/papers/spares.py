"""What is said of spares and orders, on the terminal and on the page alike."""

from __future__ import annotations

from datetime import date

import pandas as pd

from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_demand import ASSUMED_LEAD_DAYS
from analytics.decisions.stock_holding import AT_LIFT
from analytics.decisions.stock_in_store import EXPIRED, GOOD
from analytics.decisions.stock_items import ITEM_COLUMNS, POOLED
from analytics.papers.words import count, money, percent
from analytics.records.settings import Settings

LIKELY_UNUSED = 0.5
"""Chance of expiring unused from which a row of the store is named."""

STORAGE_ONLY = (
    "Storage life says how long a new part may lie in store before it is fitted. It says nothing "
    "of how long it lasts in a boat, and a part past it is not to be fitted."
)


def in_hundred(chance: float) -> str:
    """A chance as people say it: "95 of 100", "99.5 of 100"."""
    return f"{100 * chance:g} of 100"


def each_alone(chance: float) -> str:
    """What a chance of not waiting is a chance of: one line, not all of them."""
    return f"each line on its own lasts in {in_hundred(chance)} cases"


def at_once(chance: float, lines: int) -> str:
    """How often so many lines last together; blank where there are not two."""
    if lines < 2:
        return ""
    return (
        f"All {lines} lines together last less often: with every shelf filled, in "
        f"{percent(chance)} of the simulated cases none of them runs out in a lead time of the "
        "season, nor at the next lift."
    )


def shelf_money(lines: pd.DataFrame, currency: str) -> str:
    """What building up the shelf costs beside the parts budget; blank where it costs nothing."""
    for_shelf = lines["to_buy"] - lines["to_buy_for_lift"]
    cost = float((for_shelf * lines["part_price"].fillna(0.0)).sum())
    if cost <= 0:
        return ""
    return (
        "The parts budget counts parts when they are fitted; building up the shelf costs "
        f"{money(cost, currency)} of this order. What of it is not fitted in the season is a "
        "further cost beside the budget."
    )


def from_elsewhere(lines: pd.DataFrame) -> str:
    """How many of the parts to buy lie at a base that does not count on them."""
    bought = lines[lines["to_buy"] > 0]
    could = bought.assign(could=bought[["to_buy", "elsewhere"]].min(axis=1))
    # A part that lies over at one base can go to one other, however many want it.
    by_item = could.groupby(ITEM_COLUMNS, dropna=False)[["could", "elsewhere"]]
    number = int(by_item.agg({"could": "sum", "elsewhere": "max"}).min(axis=1).sum())
    if not number:
        return ""
    return (
        f"{number} of the parts to buy could come from another base, which does not count on "
        f"{'it' if number == 1 else 'them'}: look there first."
    )


def waiting(settings: Settings) -> str:
    """Why a failure costs more days here than where risks are told."""
    rates = settings.rates
    return (
        f"Risks and What if take a set number of lost days for a failure ({rates.lost_days:g} "
        "unless its kind says otherwise): those few days assume that a spare is at hand. Without "
        "one the boat waits the whole lead time, or to the season's end, so waiting is dearer here."
    )


def to_order(plan: StockPlan, base: str, currency: str) -> str:
    """The order in one sentence; blank where it holds nothing."""
    line = plan.money[plan.money["base"] == base].iloc[0]
    if not line["parts"]:
        return ""
    said = f"{count(int(line['parts']), 'part')} on {count(int(line['lines']), 'line')}"
    if line["unpriced"] < line["parts"]:
        said += f", {money(line['cost'], currency)}"
    if line["unpriced"]:
        said += (
            f" without {count(int(line['unpriced']), 'part that has', 'parts that have')} no price"
        )
    return said


def pooling(plan: StockPlan, currency: str) -> str:
    """What one store for all bases would need, beside a store at each."""
    if len(plan.money) < 3:
        return ""
    one, each = plan.money.iloc[0], plan.money.iloc[1:]
    parts, cost = int(each["parts"].sum() - one["parts"]), float(each["cost"].sum() - one["cost"])
    if parts <= 0:
        return ""
    said = f"One store for all bases would need {count(parts, 'part')} fewer"
    if cost > 0:
        said += f" and {money(cost, currency)} less"
    return f"{said}; a part must then travel to the base that wants it, which is not counted."


def late(plan: StockPlan, base: str) -> str:
    """How many lines should have been ordered already."""
    number = int(plan.money.loc[plan.money["base"] == base, "late"].sum())
    return f"{count(number, 'line is', 'lines are')} late: order at once." if number else ""


def first_order(lines: pd.DataFrame) -> date | None:
    """The earliest day to order by among lines of `StockPlan.orders`; None where there is none."""
    days = [day for day in lines["order_by"] if isinstance(day, date)]
    return min(days, default=None)


def old_stock(plan: StockPlan) -> list[str]:
    """What in store has expired, and what more likely than not will before anybody wants it."""
    store, said = plan.store, []
    if len(gone := store[store["state"] == EXPIRED]):
        said.append(
            f"{count(int(gone['quantity'].sum()), 'part')} in store "
            f"{'has' if gone['quantity'].sum() == 1 else 'have'} passed the storage life and "
            "count for nothing: take them off the shelf."
        )
    doubtful = store[(store["state"] == GOOD) & (store["unused_chance"] >= LIKELY_UNUSED)]
    if len(doubtful):
        said.append(
            f"Of {count(len(doubtful), 'row')} in store, one part or more will more likely than "
            "not expire where it lies: offer it to another base."
        )
    return said


def capped(plan: StockPlan, base: str) -> str:
    """How many parts were left off the order because they would expire unused."""
    lines = plan.orders[plan.orders["base"] == base]
    number = int(lines["held_back"].sum())
    if not number:
        return ""
    return (
        f"{count(number, 'spare is', 'spares are')} left off the order: more likely than not, "
        f"{'it' if number == 1 else 'they'} would expire before anybody wanted "
        f"{'it' if number == 1 else 'them'}."
    )


def assumed(plan: StockPlan, settings: Settings) -> list[str]:
    """What these numbers take for granted, beside what every outlook does."""
    season = plan.season
    listed = [
        f"Hold: so many that in {in_hundred(plan.chance)} cases the shelf lasts for a lead time, "
        "until what was taken from it has come again. Cases are the simulated futures, each "
        "with a lead time from the day after the last one watched, from the season's first day and "
        "from the first of each month to its end; the shelf must do for those that begin in the "
        "season, and for those before it. That is of each line on its own (a part number at a "
        "base); that all last at once is less likely.",
        "Only what nobody planned comes off the shelf: parts that fail afloat, and accidents. "
        "Renewals at a limit are ordered ahead for the lift.",
    ]
    if (plan.holdings["window"] == AT_LIFT).any():
        listed.append(
            "Parts whose wear only a lift shows are wanted at the lay-up lift and at no other "
            "time: for them, the shelf must last for the next one."
        )
    listed += [
        "Lead times are those of prices.csv, taken as certain"
        + (
            f"; {ASSUMED_LEAD_DAYS:g} days where none is given (common practice, no source: "
            "seals from abroad take two to eight weeks at the height of the season)."
            if plan.holdings["lead_assumed"].any()
            else "."
        ),
        "By the textbook: the number for the same mean demand, were failures independent of each "
        "other and of age (Poisson); a plain check.",
        "Waiting: the charter income that the first boat to want one in the season loses while "
        f"it is ordered, at {money(settings.rates.lost_day, settings.currency)} a day and until "
        "the season ends; nothing for parts that stop no boat. Where the chance asks for none "
        "and waiting costs more than the part, one is held unless that is switched off.",
        waiting(settings),
        f"To buy: for the lift before season {season.year} and for the shelf from the day the "
        "season begins, less what is in store and still good when it is wanted. The lift takes "
        "what expires first. What fails before the season takes from the store as well: what "
        "half of the futures use so is not counted on.",
        "Parts are used first in, first out. A new part is taken as made on the day it comes, "
        "and no more are bought than half of the futures use before they expire.",
        "The fleet is followed as it is now; a part that moves between bases takes no time in "
        "one store for all. Money is of today's price list.",
        STORAGE_ONLY,
    ]
    return listed


ALL_BASES = "all bases"
"""How one store for all bases is written in files and documents."""


def named(table: pd.DataFrame) -> pd.DataFrame:
    """A table of a plan as programs read it: one store for all bases is written out."""
    return table.replace({"base": {POOLED: ALL_BASES}}) if "base" in table else table


def written(plan: StockPlan, table: pd.DataFrame) -> pd.DataFrame:
    """A table of a plan as a file: the bases named, and what it was asked with."""
    return named(table).assign(chance=plan.chance, one_where_it_pays=plan.one_where_it_pays)


def stores_of(plan: StockPlan) -> list[str]:
    """Bases with a line in the order list, without the pooled one."""
    return [base for base in plan.money["base"] if base != POOLED]
