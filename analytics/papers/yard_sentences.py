"""What the haul-out plan says in words: on the page, on the terminal and in the files."""

from __future__ import annotations

import pandas as pd

from analytics.decisions.haul_out.admission import day_words
from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.value_to_go import DISCOUNT
from analytics.decisions.yard_compared import LAST_WEEKS, LIMITS, NOTHING, PLAN, Compared
from analytics.papers.words import count, money, percent
from analytics.records.settings import Settings
from analytics.records.wishes import Wish

RULES = {
    PLAN: "This plan",
    LIMITS: "Every part at its limit",
    LAST_WEEKS: "The same, in the weeks of last lifts",
    NOTHING: "Nothing renewed",
}
"""Rules of `yard_compared`, by name."""

MEANINGS = {
    LIMITS: "Only what a rule asks for is renewed (a written limit passed, the ceiling), in the "
    "cheapest weeks for that.",
    LAST_WEEKS: "The same jobs; each boat in the free week nearest to the anniversary of her last "
    "lift outside the season in lifts.csv, boats without one as early as there is room. What was "
    "done at those lifts is not known and not copied.",
    NOTHING: "No part is renewed before it fails; boats are lifted as ever.",
}

ACCOUNT = (
    "The same account for every line: parts (those with a price) and labour of what is renewed, "
    "each strip-down once; haul-outs, where they are not paid for anyway; what may fail before a "
    "boat's week; and what is left in, which is the cost to come of leaving it (failures, and "
    "renewals later) beyond that of a new part. It is no bill, and a difference is worth more than "
    "a sum."
)
FAILURES = (
    "Failures are those expected in the season: of parts left in as things stand, of renewed ones "
    "as a new part fails, bad fits among them."
)


def heading(found: HaulOuts, boats: pd.DataFrame) -> str:
    """How many boats and jobs, and what is to be paid for them."""
    lay_up = f"the lay-up before season {found.season.year}"
    if not found.made:
        return f"No plan yet for {lay_up}: what was asked for contradicts itself"
    if not found.problem.boats:
        return f"Nothing to plan for {lay_up}"
    lifted, jobs = len(found.plan.hauls), int(boats["jobs"].sum())
    cost = money(float(boats["cost"].sum()), found.problem.currency)
    paid = "parts, labour and haul-outs" if boats["haul_cost"].any() else "parts and labour"
    return f"{count(lifted, 'boat')}, {count(jobs, 'job')} in {lay_up}: {cost} of {paid}"


def sentences(found: HaulOuts, boats: pd.DataFrame, compared: Compared) -> list[str]:
    """What a manager has to know, what needs a person first."""
    if not found.made or not found.problem.boats:
        return []
    plan = found.plan
    said = [to_accept(found), left_out(found), *saved(compared, found.problem.currency)]
    unpriced = int(found.parts["part_price"].isna().sum())
    if unpriced:
        said.append(
            f"{count(unpriced, 'part has', 'parts have')} no price: such a part is renewed only "
            "where a rule asks for it, and is not in the money."
        )
    if plan.status == "out of time":
        said.append(
            f"The search ended before its time was enough: a plan up to {percent(plan.gap)} "
            "cheaper may exist."
        )
    elif plan.gap > 0.0005:
        said.append(f"No other plan is more than {percent(plan.gap)} cheaper.")
    return [one for one in said if one]


def to_accept(found: HaulOuts) -> str:
    """Whether rules are kept, and how many exceptions wait for a name."""
    plan = found.plan
    must = sum(job.must for job in plan.jobs)
    waits = len(plan.to_accept)
    if waits:
        return (
            f"{count(waits, 'job')} that a rule asks for {'is' if waits == 1 else 'are'} left "
            "undone: a named person has to accept each."
        )
    accepted = len(plan.waivers)
    if accepted:
        return f"{count(accepted, 'job')} that a rule asks for may wait: somebody accepted that."
    if not must:
        return "No rule asks for a job."
    return (
        "The one job that a rule asks for is in the plan."
        if must == 1
        else f"All {must} jobs that a rule asks for are in the plan."
    )


def no_slots(found: HaulOuts) -> str:
    """What is taken for granted of slots where none are given; empty where they are."""
    if not found.weeks_assumed:
        return ""
    return (
        f"There is no slots.csv: {found.weeks_assumed}. Give each week its slots, and the plan "
        "keeps to them."
    )


def left_out(found: HaulOuts) -> str:
    """How many boats are not lifted."""
    plan = found.plan
    if not plan.left:
        return "Every boat with parts in service has a week."
    why = pd.Series([one.why for one in plan.left]).value_counts()
    return (
        f"{count(len(plan.left), 'boat')} not lifted: "
        + ", ".join(f"{number} {reason}" for reason, number in why.items())
        + "."
    )


def saved(compared: Compared, currency: str) -> list[str]:
    """What the plan saves against each rule."""
    said = []
    for _, row in compared.table.iloc[1:].iterrows():
        less = "less" if row["cost_more"] >= 0 else "more"
        fewer = "fewer" if row["failures_more"] >= 0 else "more"
        said.append(
            f"Against “{RULES[row['rule']].lower()}” it is expected to cost "
            f"{money(abs(row['cost_more']), currency)} {less}, with "
            f"{abs(row['failures_more']):.1f} {fewer} failures in the season."
        )
    return said


def wish_words(wish: Wish) -> str:
    """A decision in one line."""
    week = "" if wish.week is None else f"the week of {day_words(wish.week)}"
    job = f"{wish.kind.replace('_', ' ')}, {wish.job[1]}".removesuffix(", single")
    said = {
        "promised": f"promised to {week}",
        "pinned": f"pinned to {week}",
        "ruled_out": f"not in {week}",
        "done": f"{job} is done already",
        "accepted": f"{job} may wait",
    }[wish.what]
    by = f", by {wish.by}" if wish.by else ""
    note = f" ({wish.note})" if wish.note else ""
    return f"{wish.boat}: {said}{by}{note}"


def assumed(found: HaulOuts, settings: Settings) -> list[str]:
    """What the plan takes for granted."""
    rules, rates, season = settings.yard, settings.rates, found.season
    told = [
        no_slots(found)
        if found.weeks_assumed
        else f"Weeks are those of slots.csv from {settings.as_of} on that begin before the season "
        f"({season.start}).",
        *_not_limited(found),
        "All boats share these weeks, whatever their base: one yard is planned, and the way there "
        "is not counted.",
        f"A boat is lifted once, on the first day of a week, and worked on {rules.hours_a_day:g} "
        f"hours a day, {rules.days_a_week} days a week; she is ashore {rules.least_days} days at "
        "least, and can be launched the day after the last.",
        "Weeks with a day of a charter in bookings.csv admit no boat; a boat without bookings is "
        "free in every week.",
        "Each boat is lifted every lay-up, so lift and launch are paid for whatever her jobs; a "
        "boat without a slot would be lifted out of turn, for "
        f"{rates.lift_and_launch * rates.emergency_multiplier:,g}."
        if rules.every_boat
        else f"A boat is lifted only where it pays: a haul-out costs {rates.lift_and_launch:g} and "
        f"{rules.storage_per_day:g} for each of {rules.least_days} days ashore. Longer stays are "
        "not charged.",
        "A job saves the expected cost to come of leaving the part in beyond that of a new one "
        "(renewals at yearly lay-up lifts, whichever is cheapest; a year from now weighs "
        f"{percent(DISCOUNT)} less), less the part's price. Labour comes off, each strip-down "
        "once. Prices and labour are those given, without a rise.",
        "A job must be done where a part is past its written limit at the lift"
        + (
            f", or where its chance of failing before the season ends is above "
            f"{percent(rules.risk_ceiling)}"
            if rules.risk_ceiling is not None
            else "; no ceiling for the chance of failing is set (risk_ceiling in fleet.toml)"
        )
        + ". Only a named person can accept that it waits.",
        "What may fail afloat before the season does so evenly over the days until her own week.",
        "A part without a price is renewed only where a rule asks for it, and takes no hours.",
        "What is found worn at the lift comes on top of jobs and hours: see what else to look at.",
        f"A wish moves a boat only where that saves more than {settings.yard.moving_cost:g}.",
        ACCOUNT,
        FAILURES,
    ]
    return [*told, *(f"“{RULES[rule]}”: {meaning}" for rule, meaning in MEANINGS.items())]


def _not_limited(found: HaulOuts) -> list[str]:
    weeks = found.problem.yard.weeks
    absent = [
        name
        for name, values in (
            ("hours of the trades", [week.hours for week in weeks]),
            ("places ashore", [week.places for week in weeks]),
            ("water in the dock", [week.depth for week in weeks]),
        )
        if all(value is None for value in values)
    ]
    if not absent or not weeks:
        return []
    *others, last = absent
    names = f"{', '.join(others)} and {last}" if others else last
    return [f"No week says its {names}: they do not limit the plan."]
