"""What is said of a parts budget, on the page, on the terminal and in its workbook."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import floor, isnan, log10

import pandas as pd

from analytics.decisions.budget import Budget
from analytics.decisions.budget_spread import Spread
from analytics.papers.words import count, money, percent

COMMITTED = "mean cost of renewals planned at a limit"
CONTINGENCY = (
    "P80 less committed, and 0 where P80 is less than what is committed; the forecast is paid from "
    "it"
)

MEANINGS = {
    "committed": COMMITTED,
    "forecast": "what fails, is found worn or is lost to an accident: its mean cost",
    "contingency": CONTINGENCY,
    "cost_p80": (
        "enough in 80 of 100 simulated futures: committed and contingency together, unless "
        "committed alone is more"
    ),
    "cost_mean": "committed and forecast together",
    "cost_p50": "enough in 50 of 100 simulated futures",
    "cost_p95": "enough in 95 of 100 simulated futures",
    "parts_cost": "of the mean, the parts themselves",
    "labour_cost": "of the mean, fitting them",
}
"""Columns of money, and what each stands for."""

NOT_ADDED = (
    "Means add up, over part numbers, sizes, bases, months and seasons. P50, P80, P95 and "
    "contingency do not: each is that of its own simulated total."
)


KNOWLEDGE = "the curves, the fitting dates and the hours"
"""What the futures of one draw have in common, and those of two have not."""


@dataclass(frozen=True)
class Amounts:
    """The money of one line, no finer than it is known, and so that it still adds up.

    Where P80 is less than what is committed, the contingency is 0 and nothing adds up to P80.
    """

    committed: float
    forecast: float
    contingency: float
    p80: float
    unit: float

    @classmethod
    def of(cls, line: pd.Series) -> Amounts:
        """Rounded to three digits of the P80."""
        committed, forecast, p80 = (
            float(line[name]) for name in ("committed", "forecast", "cost_p80")
        )
        largest = max(p80, committed, forecast)
        unit = 10.0 ** max(0, floor(log10(largest)) - 2) if largest > 0 else 1.0
        p80, committed, forecast = (
            round(amount / unit) * unit for amount in (p80, committed, forecast)
        )
        return cls(committed, forecast, max(p80 - committed, 0.0), p80, unit)


def headline(line: pd.Series, currency: str) -> str:
    """What to set aside for a season, and of what it is made.

    Parameters
    ----------
    line : Series
        A row of `Budget.fleet()` whose money is known.
    """
    amounts = Amounts.of(line)
    return (
        f"Season {int(line['season'])}: {money(amounts.p80, currency)} is enough in 80 of 100 "
        f"simulated futures, {money(amounts.committed, currency)} committed and "
        f"{money(amounts.contingency, currency)} contingency."
    )


def added_up(line: pd.Series, currency: str) -> str:
    """Which of the amounts add up to the P80, and that the forecast is none of them."""
    amounts = Amounts.of(line)
    committed, forecast, p80 = (
        money(amount, currency) for amount in (amounts.committed, amounts.forecast, amounts.p80)
    )
    if amounts.p80 < amounts.committed:
        return (
            f"Committed {committed} is more than the P80 of {p80}, so there is no contingency. "
            f"Committed and forecast {forecast} are the mean."
        )
    return (
        f"Committed {committed} + contingency {money(amounts.contingency, currency)} = {p80} "
        f"(P80). The forecast, {forecast}, is paid from the contingency and is not added to it."
    )


def beside_the_limits(past: int, planned: float) -> str:
    """Why the season's page counts other parts at a limit than the budget plans; or nothing.

    Parameters
    ----------
    past : int
        Parts past a limit by the lift, on the older bound of their age.
    planned : float
        Mean number planned for the first season.
    """
    if not past or round(planned, 1) == past:
        return ""
    return (
        f"The season's page counts {count(past, 'part')} past a limit by the lift, each as old as "
        f"its dates allow; the budget plans {_number(planned)}, the mean over the ages that "
        "they may have, and less what fails before the lift."
    )


def together(budget: Budget, currency: str) -> str:
    """The same of all seasons together; empty where there is only one."""
    if len(budget.seasons) < 2:
        return ""
    line, luck = budget.horizon.iloc[0], budget.spreads[-1].share_luck
    amounts = Amounts.of(line)
    told = (
        f"Seasons {line['seasons']} together: {money(amounts.p80, currency)} is enough in 80 of "
        f"100, {money(amounts.committed, currency)} committed and "
        f"{money(amounts.contingency, currency)} contingency, of which "
        f"{money(amounts.forecast, currency)} is the forecast."
    )
    if isnan(luck):
        return told
    return f"{told} {percent(1 - luck)} of that spread is not knowing {KNOWLEDGE}."


@dataclass(frozen=True)
class Piece:
    """One of the three kinds of money: what it is called, how much, and one sentence."""

    label: str
    amount: float
    sentence: str


def pieces(budget: Budget, currency: str) -> tuple[Piece, Piece, Piece]:
    """Committed, contingency and forecast of the first season; its money must be known."""
    line = budget.fleet().iloc[0]
    amounts = Amounts.of(line)
    committed = f"{COMMITTED.capitalize()}, at the lay-up lift ({_number(line['planned'])})."
    if budget.certain_parts:
        certain = round(budget.certain_cost / amounts.unit) * amounts.unit
        of_it = "All" if certain == amounts.committed else money(certain, currency)
        each = "is" if budget.certain_parts == 1 else "are"
        committed += (
            f" {of_it} of it is as good as certain: {count(budget.certain_parts, 'part')} {each} "
            f"renewed in every one of the {len(budget.totals):,} simulated futures, at the lift or "
            "because of a failure before it."
        )
    forecast = (
        f"Mean cost of what is not planned ({_number(line['unplanned'])}): "
        f"{_number(line['failed'], 'failure')}, "
        f"{_number(line['found_worn'], 'found worn at a lift', same=True)}, "
        f"{_number(line['accidents'], 'accident')}. It comes, but nobody can say on which boat."
    )
    contingency = (
        "P80 less what is committed. The forecast is paid from it; the rest is for a season "
        "worse than the mean."
        if line["cost_p80"] >= line["committed"]
        else "None: P80 is less than what is committed, which is a mean."
    )
    return (
        Piece("Committed", amounts.committed, committed),
        Piece("Contingency", amounts.contingency, contingency),
        Piece("Forecast", amounts.forecast, forecast),
    )


def scope(budget: Budget) -> str:
    """Which days, and which renewals, the money of the first season stands for."""
    (first, last), season = budget.period, budget.seasons[0]
    running = (
        f" (with the days up to {_day(season.previous_end)}, which are left of the season before)"
        if first <= season.previous_end
        else ""
    )
    return (
        f"Season {season.year} here means {_day(first)} to {_day(last)}{running}; a worn bearing "
        "is counted when a lift finds it; a renewed part may fail again."
    )


def _day(when: date) -> str:
    return f"{when.day} {when:%B %Y}"


def spread_sentence(spread: Spread) -> str:
    """How much of the spread is luck, and how much could be learned."""
    luck = spread.share_luck
    if isnan(luck):
        if spread.luck == 0 and spread.knowledge == 0:
            return "This total is the same in every simulated future."
        return (
            "How much of the spread is luck cannot be told: it takes two or more futures for each "
            "curve that is believed possible."
        )
    return (
        f"Of the spread, {percent(luck)} is luck and {percent(1 - luck)} is not knowing "
        f"{KNOWLEDGE} that boats run; more records would narrow only that part."
    )


def _number(mean: float, one: str = "part", *, same: bool = False) -> str:
    """A mean number of things; whole where it is the same in every future."""
    whole = mean >= 9.95 or mean == round(mean)
    shown = f"{mean:,.0f}" if whole else f"{mean:,.1f}"
    return f"{shown} {one}" if same or shown == "1" else f"{shown} {one}s"
