"""What the page of the haul-out plan says; no Streamlit and no computation."""

from __future__ import annotations

from datetime import date

import pandas as pd

from analytics.decisions.haul_out.admission import day_words
from analytics.decisions.haul_outs import HaulOuts
from analytics.papers.words import count, money
from dashboard.words import plain

LEAD = "Which boat to haul out in which week of the lay-up, and which jobs to do together."
NO_PRICES = (
    "No part has a price, so no job can pay: only what a rule asks for is planned. Add "
    "`prices.csv` (kind or part number, price, labour hours)."
)
CALENDAR = (
    "One mark a boat in the week of her lift: a diamond where a rule asks for a job, a square "
    "where her week is promised or pinned, a ring where there is no job but to look the gear "
    "over. A dash is a slot still free. Which slot of a week is hers means nothing."
)
NARROW = "On a narrow screen, move the picture sideways."
BY_WEEK = (
    "Cost: parts with a price, and labour, each strip-down once. Saves: what her jobs are expected "
    "to save in the end, less the part and the labour. Why: why this week, beside the others "
    "that were open to her."
)
BOAT_READING = (
    "Saves: expected, before labour. Hours: what the job adds to her other work. Risk: chance of "
    "failing in the season if it is left, and if it is renewed. Worn already: chance that a lift "
    "will show it."
)
DECIDE = "Decide: fix a week, rule one out, mark a job done, accept that one waits"
DECIDE_NOTE = (
    "What is decided here holds for this visit. Take `plan.toml` along (below) and put it beside "
    "the data: page and command then start from it."
)
WHATS = {
    "pinned": "Pin her to a week",
    "promised": "Promise her a week",
    "ruled_out": "Rule a week out for her",
    "done": "A job is done already",
    "accepted": "Accept that a job waits",
}
NO_EXCEPTION = "No rule asks for a job on her, so there is nothing to accept."
NAME_NEEDED = "An exception needs the name of the person who accepts it."
MUST_ACCEPT = "Exceptions that a named person has to accept"
CONTRADICTION = (
    "What is asked for contradicts itself, so there is no plan. Take one of these back, or mend "
    "the file:"
)
NOTHING_MOVED = "Nothing moved: every boat keeps her week and her jobs."
TAKEN_FOR_GRANTED = "What this plan takes for granted"
COMPARED = "Beside the rules people use"
SLOT_MORE = "What one more slot would be worth"
NO_SLOT_MORE = "No week is full, so one more slot would change nothing."
NOBODY = "Nothing has been decided: the plan is free to choose."
NO_BOAT = "No boat with a part in service stays until the season."


def week(start: date) -> str:
    """A week as a choice: "2 November 2026"."""
    return day_words(start)


def week_choice(start: date, table: pd.DataFrame) -> str:
    """A week to choose, with the slots left in the plan as it stands."""
    row = table[table["week"] == start]
    if row.empty:
        return week(start)
    left = int(row["slots"].iloc[0] - row["slots_used"].iloc[0])
    if not row["slots"].iloc[0]:
        return f"{week(start)} (closed)"
    return f"{week(start)} ({count(left, 'slot') if left > 0 else 'no slot'} left)"


def moved(found: HaulOuts) -> str:
    """How much moved against the plan without wishes, and what the decisions cost."""
    moves, currency = found.plan.moves, found.problem.currency
    weeks = sum(one.before != one.after for one in moves)
    others = len(moves) - weeks
    told = [f"{count(weeks, 'boat')} in another week"] if weeks else []
    told += [f"{count(others, 'boat')} with other jobs in the same week"] if others else []
    said = " and ".join(told)
    more = found.plan.cost - found.undecided.cost
    if any(one.what == "done" for one in found.applied):
        return f"{said}. Jobs done already are out of the plan, so its cost cannot be compared."
    if abs(more) < 0.5:
        return f"{said}. The plan costs as much as without what was decided."
    side = "more" if more > 0 else "less"
    return (
        f"{said}. Expected until the lift after the season, the plan costs "
        f"{money(abs(more), plain(currency))} {side} than without what was "
        "decided."
    )
