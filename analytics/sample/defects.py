"""Defects planted in the records, each once, so that a reader of them has something to find."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from analytics.sample.chance import Chance
from analytics.sample.records import PartRow, Reading, whole, whole_date
from analytics.sample.scenario import DEFECTS

_MM_PER_INCH_SIZE = 25
_LEAST_LIFE_DAYS = 400
_ENTERED_AGAIN_DAYS = 3


@dataclass(slots=True)
class Defect:
    """A planted defect: what stands in which column, and what should stand there.

    `target` is the row object; its number is known only when the file is written.
    """

    name: str
    target: PartRow | Reading
    column: str
    written: str
    true: str


def plant(
    names: Iterable[str],
    rows: list[PartRow],
    readings: list[Reading],
    boat_names: Iterable[str],
    chance: Chance,
) -> list[Defect]:
    """Plant the named defects in the rows, in place, each on a shaft line of its own.

    A defect for which a small fleet offers no fitting row is left out.
    """
    planting = _Planting(rows, readings, set(boat_names), chance)
    wanted = set(names)
    planted = [planting.plant(name) for name in DEFECTS if name in wanted]
    return [defect for defect in planted if defect is not None]


class _Planting:
    def __init__(
        self, rows: list[PartRow], readings: list[Reading], boat_names: set[str], chance: Chance
    ) -> None:
        self.rows = rows
        self.readings = readings
        self.boat_names = boat_names
        self.chance = chance
        self.used: set[tuple[str, str]] = set()
        self.planters: dict[str, Callable[[], Defect | None]] = {
            "duplicate_removal": self._duplicate_removal,
            "twin_without_side": self._twin_without_side,
            "late_removal": self._late_removal,
            "meter_reset": self._meter_reset,
            "misspelt_boat": self._misspelt_boat,
            "removed_before_fitted": self._removed_before_fitted,
            "short_date": self._short_date,
            "inch_size": self._inch_size,
        }

    def plant(self, name: str) -> Defect | None:
        return self.planters[name]()

    def _row(self, suits: Callable[[PartRow], bool]) -> PartRow | None:
        """A random row, with whole dates of fitting and removal, on a line not yet used."""
        found = [
            row
            for row in self.rows
            if whole_date(row.text["fitted_on"])
            and whole_date(row.text["removed_on"])
            and not row.copied
            and (row.boat.name, row.line.position) not in self.used
            and suits(row)
        ]
        if not found:
            return None
        row = self.chance.pick(found)
        self.used.add((row.boat.name, row.line.position))
        return row

    def _rewrite(self, name: str, row: PartRow, column: str, written: str) -> Defect:
        true = row.text[column]
        row.text[column] = written
        return Defect(name, row, column, written, true)

    def _duplicate_removal(self) -> Defect | None:
        def suits(row: PartRow) -> bool:
            in_time = _date(row, "removed_on").toordinal() + _ENTERED_AGAIN_DAYS <= row.boat.seen_to
            return row.text["reason"] == "failed" and _long_enough(row) and in_time

        row = self._row(suits)
        if row is None:
            return None
        copy = replace(row, text=dict(row.text), copied=True)
        self.rows.insert(self.rows.index(row) + 1, copy)
        later = _date(row, "removed_on") + timedelta(days=_ENTERED_AGAIN_DAYS)
        return self._rewrite("duplicate_removal", copy, "removed_on", later.isoformat())

    def _twin_without_side(self) -> Defect | None:
        row = self._row(lambda row: row.boat.boat_class.twin)
        return None if row is None else self._rewrite("twin_without_side", row, "position", "")

    def _late_removal(self) -> Defect | None:
        # One successor at most is overlapped: the rows stand in the order of fitting.
        followers = {id(row): after for row, after in pairwise(self.rows)}

        def suits(row: PartRow) -> bool:
            later = _years_on(_date(row, "removed_on"), 2).toordinal()
            successor = followers[id(row)].life
            return later <= min(row.boat.seen_to, successor.ended_on or row.boat.seen_to)

        row = self._row(suits)
        if row is None:
            return None
        later = _years_on(_date(row, "removed_on"), 2)
        return self._rewrite("late_removal", row, "removed_on", later.isoformat())

    def _meter_reset(self) -> Defect | None:
        """A new meter between two readings; all that is read on the line later counts anew."""
        pairs = [
            (before, after)
            for before, after in pairwise(self.readings)
            if before.line is after.line
            and before.hours > 1500
            and after.day - before.day > 60
            and (before.boat.name, before.line.position) not in self.used
        ]
        if not pairs:
            return None
        before, after = self.chance.pick(pairs)
        line = before.line
        self.used.add((before.boat.name, line.position))
        changed_on = self.chance.whole(before.day + 10, after.day - 10)
        offset = line.hours.at(changed_on)
        true = whole(after.hours)
        for reading in self.readings:
            if reading.line is line and reading.day > changed_on:
                reading.hours -= offset
        for row in self.rows:
            if row.line is not line:
                continue
            days = {"fitted_hours": row.life.fitted_on, "removed_hours": row.life.ended_on}
            for column, day in days.items():
                if row.text[column] and day is not None and day > changed_on:
                    row.text[column] = whole(line.hours.at(day) - offset)
        return Defect("meter_reset", after, "hours", whole(after.hours), true)

    def _misspelt_boat(self) -> Defect | None:
        row = self._row(lambda row: bool(self._misspellings(row.boat.name)))
        if row is None:
            return None
        written = self.chance.pick(self._misspellings(row.boat.name))
        return self._rewrite("misspelt_boat", row, "boat", written)

    def _misspellings(self, name: str) -> list[str]:
        """The name with two neighbouring small letters swapped, where that is no other boat."""
        swapped = [
            name[:i] + name[i + 1] + name[i] + name[i + 2 :]
            for i in range(len(name) - 1)
            if name[i].islower() and name[i + 1].islower() and name[i] != name[i + 1]
        ]
        return [one for one in swapped if one not in self.boat_names]

    def _removed_before_fitted(self) -> Defect | None:
        """The year of the removal mistyped as the one before the fitting."""
        row = self._row(_long_enough)
        if row is None:
            return None
        removed = _date(row, "removed_on")
        earlier = _years_on(removed, _date(row, "fitted_on").year - 1 - removed.year)
        return self._rewrite("removed_before_fitted", row, "removed_on", earlier.isoformat())

    def _short_date(self) -> Defect | None:
        """Day, month and two figures of the year, where the day could be a month as well."""

        def suits(row: PartRow) -> bool:
            fitted = _date(row, "fitted_on")
            return fitted.day <= 12 and fitted.day != fitted.month

        row = self._row(suits)
        if row is None:
            return None
        fitted = _date(row, "fitted_on")
        return self._rewrite("short_date", row, "fitted_on", f"{fitted:%d/%m/%y}")

    def _inch_size(self) -> Defect | None:
        row = self._row(lambda row: row.boat.boat_class.shaft_mm == _MM_PER_INCH_SIZE)
        return None if row is None else self._rewrite("inch_size", row, "size", "1 in")


def _date(row: PartRow, column: str) -> date:
    return date.fromisoformat(row.text[column])


def _years_on(day: date, years: int) -> date:
    leap_day = (day.month, day.day) == (2, 29)
    return day.replace(year=day.year + years, day=28 if leap_day else day.day)


def _long_enough(row: PartRow) -> bool:
    return (_date(row, "removed_on") - _date(row, "fitted_on")).days >= _LEAST_LIFE_DAYS
