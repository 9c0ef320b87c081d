"""Whether changes can be made to a fleet: its boats, bases, kinds, part numbers and days."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date, timedelta

from analytics.job import Fleet
from analytics.records.findings import Finding
from analytics.records.seasons import SeasonRule
from analytics.records.tables import PRICES
from analytics.usage import days_in_use
from analytics.what_if.changes import MONTH_DAYS, Changes
from analytics.what_if.text import FILE

YEARS_AHEAD = 30
SHORTEST_SEASON = 14
"""Days."""

_SHOWN = 8


def not_possible(changes: Changes, fleet: Fleet, file: str = FILE) -> list[Finding]:
    """What of the changes cannot be made to this fleet, a finding for each entry.

    Parameters
    ----------
    file : str
        Where the changes come from.
    """
    check = _Check(changes, fleet, file)
    check.names()
    check.days()
    check.season()
    return check.findings


class _Check:
    def __init__(self, changes: Changes, fleet: Fleet, file: str) -> None:
        self.changes, self.fleet, self.file = changes, fleet, file
        self.findings: list[Finding] = []

    def names(self) -> None:
        changes, lives = self.changes, self.fleet.lives
        here, prices = lives.in_service(), self.fleet.records.tables[PRICES.file]
        kinds = sorted(map(str, lives.table["kind"].unique()))
        boats, bases = sorted(set(here["boat"])), sorted(set(here["base"]) - {""})
        numbers = sorted(set(prices["part_no"]) - {""})
        in_service = "a boat with parts in service"
        self.known("limits", changes.limits, kinds, "a kind of these records")
        self.known("hours.bases", changes.hours.wide, bases, "a base of these records")
        self.known("hours.boats", changes.hours.near, boats, in_service)
        self.known("prices.kinds", changes.prices.wide, kinds, "a kind of these records")
        priced = "a part number of prices.csv"
        self.known("prices.part_numbers", changes.prices.near, numbers, priced)
        self.known("sold", [one.boat for one in changes.sold], boats, in_service)
        self.known("added", [one.like for one in changes.added], boats, in_service)
        new_bases = [one.base for one in changes.added if one.base]
        self.known("added", new_bases, bases, "a base of these records")
        sold = [one.boat for one in changes.sold]
        for boat in sorted({boat for boat in sold if sold.count(boat) > 1}):
            self.wrong("sold", boat, "each boat once")
        for kind, limits in changes.limits.items():
            by_years = lives.settings.kind(kind).clock == "years"
            if kind in kinds and by_years and limits.years != "as set":
                self.wrong(
                    f"limits.{kind}.years",
                    str(limits.years),
                    "the key age: this kind ages by calendar years",
                )

    def known(self, at: str, given: Collection[str], names: list[str], what: str) -> None:
        listed = ", ".join(names[:_SHOWN]) + (" …" if len(names) > _SHOWN else "")
        for one in given:
            if one not in names:
                self.wrong(at, one, f"{what}: {listed}" if names else f"{what}; there is none")

    def days(self) -> None:
        as_of = self.fleet.records.as_of
        last = as_of + timedelta(days=round(YEARS_AHEAD * 365.25))
        given = [("sold", one.boat, one.on) for one in self.changes.sold]
        given += [("added", one.like, one.joined_on) for one in self.changes.added]
        for at, boat, day in given:
            if not as_of < day <= last:
                self.wrong(
                    at,
                    f"{day} ({boat})",
                    f"a day after {as_of}, the last day of these records, and up to {last}",
                )

    def season(self) -> None:
        if self.changes.season is None:
            return
        rule = rule_of(self.fleet.records.settings.seasons, self.changes)
        season = rule.season(2002)
        if (season.end - season.start).days + 1 < SHORTEST_SEASON:
            self.wrong(
                "season",
                f"{season.start:%d %B} to {season.end:%d %B}",
                f"a season of {SHORTEST_SEASON} days or more",
            )

    def wrong(self, at: str, found: str, expected: str) -> None:
        remedy = "Correct it or take it out; the changes are not worked out until then."
        self.findings.append(Finding(self.file, None, at, found, expected, "stopped", remedy))


def rule_of(today: SeasonRule, changes: Changes) -> SeasonRule:
    """The rule of seasons to come, as if it had always held."""
    given = {at: getattr(changes.season, at, None) or getattr(today, at) for at in MONTH_DAYS}
    return SeasonRule(**given)


def rule_then(today: SeasonRule, changes: Changes, as_of: date) -> SeasonRule:
    """The rule as it will have been: today's up to `holds_after`, and the changed one after it."""
    if changes.season is None:
        return today
    new = rule_of(today, changes)
    more = 1.0 if changes.season.same_hours_a_year else days_in_use(new) / days_in_use(today)
    return replace(new, earlier=(today, holds_after(today, as_of)), use_a_year=more)


def holds_after(today: SeasonRule, as_of: date) -> date:
    """Last day of today's rule: a season running on the last day watched runs its course."""
    season = today.next_after(as_of - timedelta(days=1))
    return season.end if season.start <= as_of else as_of
