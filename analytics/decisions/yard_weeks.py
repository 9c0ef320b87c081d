"""Weeks of the lay-up in which boats can be lifted, as `slots.csv` gives them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from analytics.decisions.haul_out.problem import WEEK, Week
from analytics.outlook.season import SeasonRisk
from analytics.records.findings import Done, Finding
from analytics.records.reading import Records
from analytics.records.seasons import Season
from analytics.records.tables import LIFTS, SLOTS


@dataclass(frozen=True)
class YardWeeks:
    """The weeks, and what had to be said of the rows that they come from.

    Attributes
    ----------
    weeks : tuple of Week
        By day.
    assumed : str
        Where nobody gave any: how many slots each week is taken to have, and why.
    findings : tuple of Finding
    """

    weeks: tuple[Week, ...]
    assumed: str = ""
    findings: tuple[Finding, ...] = ()


def yard_weeks(records: Records, risk: SeasonRisk) -> YardWeeks:
    """Weeks of the lay-up that can still be used.

    Those that begin on the last day watched or later, and before the season. Without a
    file of slots, every week of the lay-up from then on, with as many slots as the busiest
    week of past lay-ups had lifts, and at least so many that each boat finds one.
    """
    table, season = records.tables[SLOTS.file], risk.season
    if table.empty:
        return _every_week(records, season, len(risk.boats))
    findings: list[Finding] = []
    by_start: dict[date, list[Week]] = {}
    rows: dict[date, list[int]] = {}
    for row in table.to_dict("records"):
        start = _day(str(row["week"]))
        if start is None:
            findings.append(
                _told(
                    int(row["row"]),
                    str(row["week"]),
                    "the first day of a week, such as 2026-11-02",
                    "ignored",
                    "Write the day; until then the plan does not use this week.",
                )
            )
        elif records.as_of <= start < season.start:
            by_start.setdefault(start, []).append(_week(start, row))
            rows.setdefault(start, []).append(int(row["row"]))
    for start, same in rows.items():
        if len(same) > 1:
            remedy = "Keep one row a week, unless these are slots of several lifts."
            told = _told(same[0], str(start), "each week once", "assumed", remedy, same[1:])
            findings.append(told)
    if not by_start:
        span = f"{records.as_of} to {season.start}"
        remedy = "Add the weeks of this lay-up, or remove the file to plan without slots."
        findings.append(_told(None, "", f"a week from {span}, before the season", "noted", remedy))
    weeks = tuple(_joined(by_start[start]) for start in sorted(by_start))
    return YardWeeks(weeks, "", tuple(findings))


def _every_week(records: Records, season: Season, boats: int) -> YardWeeks:
    first = max(records.as_of, season.previous_end + timedelta(days=1))
    monday = first + timedelta(days=(7 - first.weekday()) % 7)
    starts = []
    while monday < season.start:
        starts.append(monday)
        monday += WEEK
    busiest = _busiest_week(records)
    enough = max(1, -(-boats // max(len(starts), 1)))
    slots = max(busiest, enough)
    why = (
        "as many as the busiest week of past lay-ups in lifts.csv had lifts"
        if busiest >= enough
        else "the fewest with which each boat finds one"
    )
    many = "1 slot" if slots == 1 else f"{slots} slots"
    assumed = f"every week up to the season is taken to have {many}, {why}"
    return YardWeeks(tuple(Week(start, slots) for start in starts), assumed)


def _busiest_week(records: Records) -> int:
    """Lifts of the week, from Monday, that had most of them outside the season."""
    rule = records.settings.seasons
    days = [pd.Timestamp(day).date() for day in records.tables[LIFTS.file]["lifted_on_lo"].dropna()]
    weeks = Counter(
        day - timedelta(days=day.weekday())
        for day in days
        if not in_season(day, rule.start, rule.end)
    )
    return max(weeks.values(), default=0)


def in_season(day: date, start: tuple[int, int], end: tuple[int, int]) -> bool:
    """Whether a day of any year lies from `start` to `end`, months and days, both within."""
    at = (day.month, day.day)
    return start <= at <= end if start <= end else at >= start or at <= end


def _week(start: date, row: Mapping[Hashable, Any]) -> Week:
    places = _number(row["places"])
    return Week(
        start,
        int(_number(row["slots"]) or 0),
        _number(row["hours"]),
        None if places is None else int(places),
        _number(row["depth_m"]),
        str(row["note"] or ""),
    )


def _joined(same: list[Week]) -> Week:
    """Rows of one week as one: slots, hours and places add up, and the least water counts."""
    if len(same) == 1:
        return same[0]
    return Week(
        same[0].start,
        sum(one.slots for one in same),
        _sum(one.hours for one in same),
        None if (places := _sum(one.places for one in same)) is None else int(places),
        min((one.depth for one in same if one.depth is not None), default=None),
        "; ".join(one.note for one in same if one.note),
    )


def _sum(numbers: Iterable[float | None]) -> float | None:
    known = list(numbers)
    return None if None in known else sum(one for one in known if one is not None)


def _told(
    row: int | None, found: str, expected: str, done: Done, remedy: str, also: Iterable[int] = ()
) -> Finding:
    return Finding(SLOTS.file, row, "week", found, expected, done, remedy, "", tuple(also))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        return None


def _number(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return None if np.isnan(number) else number
