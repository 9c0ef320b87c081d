"""The clean fleet folder, as the offices that spoil it see it: boats and lives in their places."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from analytics.sample.fleet import InventedFleet, invent_fleet
from analytics.sample.records import whole_date

Place = tuple[str, str, str]
"""Boat, position and kind."""


@dataclass(frozen=True, eq=False)
class CleanBoat:
    """A boat of the clean folder; `text` is its row of boats.csv."""

    name: str
    hull_no: str
    base: str
    model: str
    shaft_mm: int
    twin: bool
    watched_from: date
    watched_to: date
    text: Mapping[str, str]


@dataclass(eq=False)
class CleanLife:
    """A row of the clean parts.csv, with the lives before and after it in its place."""

    row: int
    boat: CleanBoat
    text: Mapping[str, str]
    before: CleanLife | None = None
    after: CleanLife | None = None

    @property
    def position(self) -> str:
        """The shaft line."""
        return self.text["position"]

    @property
    def kind(self) -> str:
        """The kind of part."""
        return self.text["kind"]

    @property
    def place(self) -> Place:
        """Boat, position and kind."""
        return self.boat.name, self.position, self.kind

    def day(self, column: str) -> date | None:
        """The date of a column, None where the day is not given."""
        return day_of_text(self.text[column])

    @property
    def fitted(self) -> date | None:
        """The day of fitting, None where it is not given."""
        return self.day("fitted_on")

    @property
    def removed(self) -> date | None:
        """The day of removal, None where it is not given."""
        return self.day("removed_on")


@dataclass(frozen=True)
class Clean:
    """A clean fleet folder, taken apart by base."""

    files: Mapping[str, str]
    fleet: InventedFleet
    boats: tuple[CleanBoat, ...]
    lives: tuple[CleanLife, ...]

    @property
    def as_of(self) -> date:
        """The last day watched."""
        return self.fleet.scenario.as_of

    def rows(self, name: str, base: str) -> list[tuple[CleanBoat, dict[str, str]]]:
        """The rows of a file that tell of boats of one base."""
        boats = {boat.name: boat for boat in self.boats if boat.base == base}
        rows = _rows(self.files[name])
        return [(boats[row["boat"]], row) for row in rows if row["boat"] in boats]

    def lives_at(self, base: str) -> list[CleanLife]:
        """The lives on boats of one base."""
        return [life for life in self.lives if life.boat.base == base]


def clean_of(fleet: InventedFleet) -> Clean:
    """The same boats and lives, written down without any defect."""
    boats = len(_rows(fleet.files["boats.csv"]))
    tidy = invent_fleet(replace(fleet.scenario, defects=()), boats=boats, seed=fleet.seed)
    truth = {one["boat"]: one for one in json.loads(tidy.files["truth.json"])["boats"]}
    afloat = []
    for number, row in enumerate(_rows(tidy.files["boats.csv"]), start=101):
        true, left = truth[row["boat"]], row["left_on"]
        afloat.append(
            CleanBoat(
                name=row["boat"],
                hull_no=f"TW-{number}",
                base=row["base"],
                model=true["class"],
                shaft_mm=true["shaft_mm"],
                twin=len(true["conditions"]) == 2,
                watched_from=date.fromisoformat(true["seen_from"]),
                watched_to=date.fromisoformat(left) if left else fleet.scenario.as_of,
                text=row,
            )
        )
    return Clean(tidy.files, tidy, tuple(afloat), _lives(tidy.files["parts.csv"], afloat))


def day_of_text(text: str) -> date | None:
    """A date with year, month and day; None for anything less."""
    return date.fromisoformat(text) if whole_date(text) else None


def years_on(day: date, years: int) -> date:
    """The same day of another year; 28 February for a leap day."""
    if (day.month, day.day) == (2, 29):
        day -= timedelta(days=1)
    return day.replace(year=day.year + years)


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def _lives(text: str, boats: list[CleanBoat]) -> tuple[CleanLife, ...]:
    by_name = {boat.name: boat for boat in boats}
    lives = [
        CleanLife(number, by_name[row["boat"]], row)
        for number, row in enumerate(_rows(text), start=2)
    ]
    latest: dict[Place, CleanLife] = {}
    for life in lives:  # within a place they stand in the order of fitting
        if before := latest.get(life.place):
            before.after, life.before = life, before
        latest[life.place] = life
    return tuple(lives)
