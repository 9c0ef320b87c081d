"""What is changed and what it brings, in sentences: the same on page and terminal."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pandas as pd

from analytics.job import Fleet
from analytics.papers.words import count, money, percent
from analytics.records.kinds import Kind
from analytics.records.seasons import SeasonRule
from analytics.what_if.added_boats import names_of
from analytics.what_if.against import holds_after, rule_of
from analytics.what_if.changes import AS_SET, RATES, Changes, Limits
from analytics.what_if.compared import Compared
from analytics.what_if.measures import AS_THINGS_STAND, BOATS

MEASURES = {
    "failures": "Failures out of turn",
    BOATS: "Boats with such a failure",
    "haul_outs": "Haul-outs out of turn",
    "lost_days": "Charter days lost",
    "found_worn": "Found worn or failed at a lift",
    "planned": "Renewed at their limit",
    "parts": "Parts",
    "labour": "Labour",
    "budget": "Parts and labour",
    "lift": "Lifts out of turn",
    "tow": "Tows",
    "lost_income": "Lost charter income",
    "total": "All of these costs",
    AS_THINGS_STAND: "Failures expected in the first season if nothing is renewed before it",
}
"""Measures in the order in which they are shown, in words."""

NOTHING = "Nothing is changed: this is today's plan."

SALE_NOT_COUNTED = "What a sale brings in, and charter income without the boat, are not counted."

RANGE = (
    "Both plans meet the same simulated futures: the same curves, the same luck in every place. "
    "A range holds 90 of 100 futures; luck is in it, so a change that helps on average can still "
    "come out the other way."
)


def changed(changes: Changes, fleet: Fleet) -> list[str]:
    """What is changed against today's plan, a sentence for each entry, or `NOTHING`."""
    settings, said = fleet.records.settings, []
    for name, limits in changes.limits.items():
        said += _limits(settings.kind(name), limits)
    if changes.season is not None:
        said.append(_season(settings.seasons, changes, fleet.records.as_of))
    said += _factors("hours to come", changes.hours.every, changes.hours.wide, changes.hours.near)
    kinds = {settings.kind(kind).label: by for kind, by in changes.prices.wide.items()}
    said += _factors("prices of parts", changes.prices.every, kinds, changes.prices.near)
    for name, value in changes.rates.items():
        today = float(getattr(settings.rates, name))
        if value != today:
            said.append(f"{RATES[name]}: {_rate(name, value)} instead of {_rate(name, today)}.")
    said += [f"{one.boat} leaves the fleet on {_day(one.on)}." for one in changes.sold]
    taken = [boat for boat, _ in fleet.lives.usage.lines]
    for one, names in zip(changes.added, names_of(changes.added, taken), strict=True):
        at = f", at {one.base}" if one.base else ""
        joins = "joins" if one.boats == 1 else "join"
        said.append(
            f"{count(one.boats, 'boat')} like {one.like} {joins} on {_day(one.joined_on)} with new "
            f"parts{at} ({names[0]}{f' to {names[-1]}' if len(names) > 1 else ''})."
        )
    return said or [NOTHING]


def brought(found: Compared, currency: str) -> list[str]:
    """What the changes bring, the most important first: failures, money, days and haul-outs."""
    if not found.changes:
        return [NOTHING]
    n, first, last = len(found.years), found.years[0], found.years[-1]
    failures, total = found.row("failures"), found.row("total")
    every = f"a season (average of {first} to {last})" if n > 1 else f"in season {first}"
    said = [
        f"{_capital(_numbers(failures, n, 'failure', 'failures'))} out of turn and "
        f"{_amount(total, n, currency)} {every}.",
        f"Failures: {failures['changed'] / n:,.1f} instead of {failures['today'] / n:,.1f} "
        f"{'a season' if n > 1 else ''}".strip()
        + f"; {_ways(failures, _span(failures, n), 'fewer', 'more')}.",
        f"Money, with parts, labour, lifts, tows and lost charter income: "
        f"{money(total['changed'] / n, currency)} instead of "
        f"{money(total['today'] / n, currency)}; "
        f"{_ways(total, _money_span(total, n, currency), 'cheaper', 'dearer')}.",
    ]
    if n > 1:
        # An average over seasons hides what the first of them costs.
        soon = {name: found.row(name, first) for name in ("total", "budget", "failures")}
        said.insert(
            1,
            f"In season {first} itself: {_amount(soon['total'], 1, currency)}, of it "
            f"{_amount(soon['budget'], 1, currency)} for parts and labour, and "
            f"{_numbers(soon['failures'], 1, 'failure', 'failures')} out of turn.",
        )
    if found.changes.sold:
        said.insert(1, SALE_NOT_COUNTED)
    budget, days, lifts = (found.row(name) for name in ("budget", "lost_days", "haul_outs"))
    said.append(
        f"Parts and labour alone: {_amount(budget, n, currency)}. Charter days lost: "
        f"{_numbers(days, n, '', '')}. Haul-outs out of turn: {_numbers(lifts, n, '', '')}."
    )
    stands = found.row(AS_THINGS_STAND, first)
    if stands["difference"] != 0:
        said.append(
            f"In season {first}, if nothing is renewed before it, {stands['changed']:.1f} failures "
            f"are expected instead of {stands['today']:.1f}."
        )
    if found.unpriced:
        said.append("Without a price, and not in the money: " + ", ".join(found.unpriced) + ".")
    return said


def _ways(row: pd.Series, span: str, below: str, above: str) -> str:
    often = how_often(row, below, above)
    return f"in 90 of 100 futures {span}" + (f", {often}" if often else "")


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def taken_for_granted(changes: Changes) -> list[str]:
    """What the comparison takes for granted, beside the assumptions of everything else."""
    said = [
        "How parts age is not fitted again: it rests on what has happened. The changes hold for "
        "the days to come only.",
        RANGE,
    ]
    if changes.season is not None:
        said.append(
            "Boats laid up ashore run the same hours a year over the days of the new season."
            if changes.season.same_hours_a_year
            else "Boats laid up ashore run as many hours on each day of the new season as today, "
            "so that a longer season brings more of them; boats afloat all year run as before."
        )
    if changes.hours:
        said.append(
            "More or less use changes the hours to come from the day after the last day watched; "
            "parts that age by the calendar do not notice it."
        )
    if changes.added:
        said.append(
            "An added boat has the shaft lines, kinds of parts, lay-up and hours of the boat that "
            "she is like, and new parts of a lot that nobody has seen."
        )
    if changes.sold:
        said.append(SALE_NOT_COUNTED)
    return said


def fewer(number: float, one: str = "", many: str = "") -> str:
    """A difference in words: "1.2 fewer failures", "0.3 more", "no change"."""
    size = f"{abs(number):,.1f}"
    if size == "0.0":
        return f"no change in {many}" if many else "no change"
    named = f" {one if size == '1.0' else many}" if many else ""
    return f"{size} {'fewer' if number < 0 else 'more'}{named}"


def less(amount: float, currency: str) -> str:
    """A difference in money, in words: "EUR 3,400 more"."""
    if abs(amount) < 0.5:
        return "no change in money"
    return f"{money(abs(amount), currency)} {'less' if amount < 0 else 'more'}"


def how_often(row: pd.Series, below: str, above: str) -> str:
    """In how many of 100 futures a difference goes either way; blank where there is none."""
    under, over = row["less_often"], row["more_often"]
    if under == over == 0:
        return ""
    ways = [(under, below), (over, above)]
    if over > under:
        ways.reverse()
    (often, way), (seldom, other) = ways
    if often > 0.995:
        return f"{way} in nearly all of them"
    if seldom < 0.005:
        return f"{way} in {percent(often)} of them"
    return f"{way} in {percent(often)} of them, {other} in {percent(seldom)}"


def _numbers(row: pd.Series, n: int, one: str, many: str) -> str:
    return fewer(float(row["difference"]) / n, one, many)


def _amount(row: pd.Series, n: int, currency: str) -> str:
    return less(float(row["difference"]) / n, currency)


def _span(row: pd.Series, n: int) -> str:
    low, high = float(row["difference_low"]) / n, float(row["difference_high"]) / n
    return fewer(low) if low == high else f"{fewer(low)} to {fewer(high)}"


def _money_span(row: pd.Series, n: int, currency: str) -> str:
    low, high = float(row["difference_low"]) / n, float(row["difference_high"]) / n
    return (
        less(low, currency) if low == high else f"{less(low, currency)} to {less(high, currency)}"
    )


def _limits(kind: Kind, limits: Limits) -> list[str]:
    said = []
    for new, today, unit in (
        (limits.age, kind.limit, kind.unit),
        (limits.years, kind.limit_years, "years"),
    ):
        if new in (AS_SET, today):
            continue
        if new is None:
            said.append(f"{kind.label} without a limit instead of {today:,g} {unit}.")
            continue
        before = "of never while sound" if today is None else f"of {today:,g}"
        at = f"at the first lift after {new:,g} {unit}"
        said.append(f"{kind.label} renewed {at} instead {before}.")
    return said


def _rate(name: str, value: float) -> str:
    return _hundredths(value) if "increase" in name else f"{value:,g}"


def _season(today: SeasonRule, changes: Changes, as_of: date) -> str:
    new, since = rule_of(today, changes), holds_after(today, as_of)
    both, lifts = (
        [f"{_month_day(rule.start)} to {_month_day(rule.end)}" for rule in (new, today)],
        [_month_day(rule.lift_on) for rule in (new, today)],
    )
    said = [f"season from {both[0]} instead of {both[1]}"] if both[0] != both[1] else []
    if lifts[0] != lifts[1]:
        said.append(f"lay-up lift on {lifts[0]} instead of {lifts[1]}")
    return _capital(" and ".join(said or ["season as today"]) + f", after {_day(since)}.")


def _factors(
    what: str, every: float, wide: Mapping[str, float], near: Mapping[str, float]
) -> list[str]:
    said = [] if every == 1.0 else [f"All {what}: {_hundredths(every)} of today's."]
    return said + [
        f"{what.capitalize()}, {name}: {_hundredths(factor)} of today's."
        for by_name in (wide, near)
        for name, factor in by_name.items()
    ]


def _hundredths(factor: float) -> str:
    return f"{factor * 100:,.4g} %"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _month_day(when: tuple[int, int]) -> str:
    return f"{when[1]} {date(2001, *when):%B}"
