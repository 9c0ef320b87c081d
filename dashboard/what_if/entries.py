"""What the form holds: today's plan with the changes in it, and the changes taken back out of it.

The form shows every limit, rate and day as it would be, so a change is whatever differs from
today. What is wrong in it is said by the same lines as for a file or a link.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

import pandas as pd

from analytics.job import Fleet
from analytics.records.findings import Finding
from analytics.records.kinds import Kind
from analytics.records.seasons import Season
from analytics.what_if.against import not_possible, rule_of
from analytics.what_if.changes import AS_SET, MONTH_DAYS, RATES, Changes, Factors, Limits, NewLimit
from analytics.what_if.document import VERSION, changes_of

FORM = "the form"
"""What a finding calls it."""

Entries = dict[str, Any]

HOURS, PRICES, SOLD, ADDED = "hours rows", "prices rows", "sold rows", "added rows"
"""Entries that are tables."""

WHAT, OF_TODAY = "What", "% of today"
OF_HOURS, OF_PRICES = ("base", "boat"), ("kind", "part number")
"""What a row of a table of factors is of: the wide one and the near one."""

BOAT, LEAVES, LIKE, JOINS, BOATS, BASE = "Boat", "Leaves on", "Like", "Joins on", "Boats", "Base"


def kinds_of(fleet: Fleet) -> list[Kind]:
    """The kinds of these records, in the order of their names."""
    names = sorted(map(str, fleet.lives.in_service()["kind"].unique()))
    return [fleet.records.settings.kind(name) for name in names]


def coming(fleet: Fleet, changes: Changes) -> Season:
    """The coming season under the rule that the changes bring, for its days alone."""
    rule = rule_of(fleet.records.settings.seasons, changes)
    return rule.season(fleet.coming_season().year)


def entries_of(changes: Changes, fleet: Fleet, seasons: int) -> Entries:
    """The form with changes in it.

    Parameters
    ----------
    seasons : int
        Seasons ahead where the changes do not say.
    """
    rates, season = fleet.records.settings.rates, coming(fleet, changes)
    given = {"start": season.start, "end": season.end, "lift_on": season.lift_on}
    entries: Entries = {
        "name": changes.name,
        "seasons ahead": changes.seasons_ahead or seasons,
        "same hours a year": bool(changes.season and changes.season.same_hours_a_year),
        "all hours": changes.hours.every * 100,
        "all prices": changes.prices.every * 100,
        HOURS: _factor_rows(changes.hours, OF_HOURS),
        PRICES: _factor_rows(changes.prices, OF_PRICES),
        SOLD: pd.DataFrame(
            {
                BOAT: pd.Series([one.boat for one in changes.sold], dtype=object),
                LEAVES: pd.Series([one.on for one in changes.sold], dtype="datetime64[ns]"),
            }
        ),
        ADDED: pd.DataFrame(
            {
                LIKE: pd.Series([one.like for one in changes.added], dtype=object),
                BOATS: pd.Series([one.boats for one in changes.added], dtype="Int64"),
                JOINS: pd.Series([one.joined_on for one in changes.added], dtype="datetime64[ns]"),
                BASE: pd.Series([one.base or None for one in changes.added], dtype=object),
            }
        ),
    }
    entries |= {f"season {name}": day for name, day in given.items()}
    for kind in kinds_of(fleet):
        limits = changes.limits.get(kind.name, Limits())
        entries[f"limit {kind.name} age"] = _shown(limits.age, kind.limit)
        entries[f"limit {kind.name} years"] = _shown(limits.years, kind.limit_years)
    for name in RATES:
        value = changes.rates.get(name, getattr(rates, name))
        entries[f"rate {name}"] = value * (100 if "increase" in name else 1)
    return entries


def changes_in(entries: Mapping[str, Any], fleet: Fleet) -> tuple[Changes, list[Finding]]:
    """The changes in a form, and what is wrong in it, a finding for each entry."""
    today = entries_of(Changes(), fleet, 0)
    tree: Entries = {"what_if": VERSION, "name": entries["name"]}
    tree["seasons_ahead"] = int(entries["seasons ahead"])
    tree["limits"] = _limits(entries, today, fleet)
    season: Entries = {
        name: f"{entries[f'season {name}']:%m-%d}"
        for name in MONTH_DAYS
        if _month_day(entries[f"season {name}"]) != _month_day(today[f"season {name}"])
    }
    if season and entries["same hours a year"]:
        season["same_hours_a_year"] = True
    tree["season"] = season
    hours, prices = entries[HOURS], entries[PRICES]
    tree["hours"] = _factors(entries["all hours"], hours, OF_HOURS, ("bases", "boats"))
    keys = "kinds", "part_numbers"
    tree["prices"] = _factors(entries["all prices"], prices, OF_PRICES, keys)
    tree["rates"] = {
        name: entries[f"rate {name}"] / (100 if "increase" in name else 1)
        for name in RATES
        if entries[f"rate {name}"] is not None and entries[f"rate {name}"] != today[f"rate {name}"]
    }
    tree["sold"] = _rows(entries[SOLD], {BOAT: "boat", LEAVES: "on"})
    columns = {LIKE: "like", BOATS: "boats", JOINS: "joined_on", BASE: "base"}
    tree["added"] = _rows(entries[ADDED], columns)
    changes, findings = changes_of(tree, FORM)
    return changes, findings or not_possible(changes, fleet, FORM)


def _limits(entries: Mapping[str, Any], today: Entries, fleet: Fleet) -> Entries:
    limits: Entries = {}
    for kind in kinds_of(fleet):
        for name in ("age", "years"):
            key = f"limit {kind.name} {name}"
            new = entries.get(key, today[key])
            if new != today[key]:
                limits.setdefault(kind.name, {})[name] = False if new is None else new
    return limits


def _shown(new: NewLimit, today: float | None) -> float | None:
    return today if new == AS_SET else new


def labelled(words: tuple[str, str], wide: Iterable[str], near: Iterable[str]) -> list[str]:
    """Names with what they are of: a boat, a base or a number may bear another's name."""
    both = zip(words, (wide, near), strict=True)
    return [f"{word} {name}" for word, names in both for name in names]


def _factor_rows(factors: Factors, words: tuple[str, str]) -> pd.DataFrame:
    by = [*factors.wide.values(), *factors.near.values()]
    return pd.DataFrame(
        {
            WHAT: pd.Series(labelled(words, factors.wide, factors.near), dtype=object),
            OF_TODAY: pd.Series([100 * one for one in by], dtype="float64"),
        }
    )


def _factors(
    every: float | None, table: pd.DataFrame, words: tuple[str, str], keys: tuple[str, str]
) -> Entries:
    tree: Entries = {"all": (100.0 if every is None else every) / 100, keys[0]: {}, keys[1]: {}}
    for row in _rows(table, {WHAT: "what", OF_TODAY: "by"}):
        label, by = str(row.get("what", "")), row.get("by")
        key = keys[0] if label.startswith(f"{words[0]} ") else keys[1]
        name = label.removeprefix(f"{words[key == keys[1]]} ")
        tree[key][name] = None if by is None else by / 100
    return tree


def _rows(table: pd.DataFrame, columns: Mapping[str, str]) -> list[Entries]:
    """Rows of a table that somebody typed, without empty cells and without empty rows."""
    found = []
    for _, cells in table.iterrows():
        row = {key: _plain(cells[name]) for name, key in columns.items() if pd.notna(cells[name])}
        if row:
            found.append(row)
    return found


def _plain(cell: Any) -> Any:
    if isinstance(cell, pd.Timestamp):
        return cell.date()
    return cell.item() if hasattr(cell, "item") else cell


def _month_day(day: date) -> tuple[int, int]:
    return day.month, day.day
