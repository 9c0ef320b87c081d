"""What boats are called: hull numbers, names that two boats share, names of earlier years.

A name that one boat gave up and another bears now is settled by the dates of
the row that names it (common practice, no source).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

from analytics.records.cells import CheckedRows, Row

OLD_NAME_IN_USE = timedelta(days=366)
"""How long people go on writing the old name of a boat (common practice, no source)."""


class Dates(NamedTuple):
    """The days that a row tells of.

    Attributes
    ----------
    first, last : date or None
        Where what it tells of began and ended, None for not known.
    known : date or None
        The first of its dates that is given.
    """

    first: date | None
    last: date | None
    known: date | None


class Problem(NamedTuple):
    """Why a name is of no one boat: what would be right, what to do, the sort of finding."""

    expected: str
    remedy: str
    sort: str


@dataclass(frozen=True, order=True)
class Earlier:
    """A name that a boat bore before: until when, as the window of its renaming."""

    until_lo: date
    until_hi: date
    boat: str


@dataclass(frozen=True)
class BoatNames:
    """Which boat a name stands for.

    Attributes
    ----------
    present : frozenset of str
        Names that boats bear now.
    by_hull : mapping of str to str
        Boats by hull number, and by name and hull number.
    shared : mapping of str to tuple of str
        Names and hull numbers of two boats or more, and those boats.
    earlier : mapping of str to tuple of Earlier
        By name, the boats that gave it up, in that order.
    """

    present: frozenset[str] = frozenset()
    by_hull: Mapping[str, str] = field(default_factory=dict)
    shared: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    earlier: Mapping[str, tuple[Earlier, ...]] = field(default_factory=dict)

    @property
    def plain(self) -> bool:
        """True where every boat has one name and no other."""
        return not (self.by_hull or self.shared or self.earlier)

    def settled(self, name: str, dates: Dates) -> str | Problem:
        """The boat of a row that names it so; the name itself where nobody knows it."""
        if boats := self.shared.get(name):
            return Problem(
                f"the hull number beside a name that {len(boats)} boats have",
                f"Write one of {', '.join(boats)}, or the hull number alone.",
                "boat_name_shared",
            )
        if name not in self.earlier:
            return name if name in self.present else self.by_hull.get(name, name)
        return self._by_dates(name, dates)

    def _by_dates(self, name: str, dates: Dates) -> str | Problem:
        bearers = self.earlier[name]
        latest = bearers[-1]
        still_borne = name in self.present
        for one in bearers if still_borne else bearers[:-1]:
            if dates.last and dates.last < one.until_lo:
                return one.boat
            if not dates.first or dates.first <= one.until_hi:
                boats = [*(bearer.boat for bearer in bearers), *([name] if still_borne else [])]
                return Problem(
                    f"dates on one side of {_day(one.until_lo)}, when {one.boat} gave up the name",
                    f"The row may be of {' or '.join(boats)}: write the present name or the hull "
                    "number.",
                    "boat_name_shared",
                )
        if still_borne:
            return name
        if dates.known and dates.known > _a_year_after(latest.until_hi):
            return Problem(
                f"a date up to {latest.until_hi}, when {latest.boat} gave up the name",
                f"Write {latest.boat} if it is that boat; else correct the name, the date, or "
                "renamed_on in boats.csv.",
                "boat_name_unknown",
            )
        return latest.boat


def _day(day: date) -> str:
    return "a day that is not known" if day == date.min else str(day)


def _a_year_after(day: date) -> date:
    return day if day == date.max else day + OLD_NAME_IN_USE


def names_by_hull(checked: CheckedRows) -> dict[str, tuple[str, ...]]:
    """Tell apart the boats of one name by their hull numbers.

    The rows of such boats get a name with the hull number.

    Returns
    -------
    dict of str to tuple of str
        The names that are shared, and the boats' names instead.
    """
    hulls: dict[str, set[str]] = defaultdict(set)
    for row in checked.rows:
        if row["hull_no"]:
            hulls[row["boat"]].add(row["hull_no"])
    shared = {
        name: tuple(with_hull(name, hull) for hull in sorted(numbers))
        for name, numbers in hulls.items()
        if len(numbers) > 1
    }
    lines: dict[str, list[int]] = defaultdict(list)
    for row in checked.rows:
        if row["boat"] in shared and row["hull_no"]:
            lines[row["boat"]].append(row["row"])
            row["boat"] = with_hull(row["boat"], row["hull_no"])
    for name, boats in sorted(shared.items()):
        checked.say_of(
            lines[name],
            "boat",
            name,
            "a name that no other boat has",
            "noted",
            f"Kept apart as {', '.join(boats)}; rows elsewhere with the name alone are rejected.",
            sort="boat_name_shared",
        )
    return shared


def with_hull(name: str, hull: str) -> str:
    """A boat's name with its hull number."""
    return f"{name} ({hull})"


def boat_names(rows: Mapping[str, Row], shared: Mapping[str, tuple[str, ...]]) -> BoatNames:
    """What the boats are called.

    Parameters
    ----------
    rows : mapping of str to dict
        Rows of `boats.csv` by name, each once.
    shared : mapping of str to tuple of str
        From `names_by_hull`.
    """
    known_by: dict[str, set[str]] = defaultdict(set)
    earlier: dict[str, set[Earlier]] = defaultdict(set)
    for name, row in rows.items():
        if hull := row["hull_no"]:
            known_by[hull].add(name)
            if not name.endswith(f"({hull})"):
                known_by[with_hull(name, hull)].add(name)
        for old in filter(None, map(str.strip, row["was_named"].split(";"))):
            if old != name:
                # Not known when: it may have given up the name at any time.
                until = row["renamed_on_lo"] or date.min, row["renamed_on_hi"] or date.max
                earlier[old].add(Earlier(*until, name))
    for name in rows:
        known_by.pop(name, None)  # a number that is a boat's name as well
    several = {known: tuple(sorted(boats)) for known, boats in known_by.items() if len(boats) > 1}
    return BoatNames(
        present=frozenset(rows),
        by_hull={known: min(boats) for known, boats in known_by.items() if len(boats) == 1},
        shared={**several, **shared},
        earlier={name: tuple(sorted(boats)) for name, boats in earlier.items()},
    )


def settle_names(
    checked: CheckedRows, names: BoatNames, dates_of: Callable[[Row], Dates]
) -> dict[int, Problem]:
    """Give every row the present name of its boat, and say of which that is not sure.

    Parameters
    ----------
    checked : CheckedRows
        Its rows get the names, its findings the renamings.
    names : BoatNames
    dates_of : callable
        The days that a row tells of.

    Returns
    -------
    dict of int to Problem
        By line; a name that nobody knows is none.
    """
    problems: dict[int, Problem] = {}
    if names.plain:
        return problems
    renamed: dict[tuple[str, str], list[int]] = defaultdict(list)
    for row in checked.rows:
        name = row["boat"]
        if name in names.present and name not in names.earlier and name not in names.shared:
            continue
        settled = names.settled(name, dates_of(row))
        if isinstance(settled, Problem):
            problems[row["row"]] = settled
            continue
        if name in names.earlier and settled != name:
            renamed[name, settled].append(row["row"])
        row["boat"] = settled
    for (name, boat), lines in sorted(renamed.items()):
        checked.say_of(
            lines,
            "boat",
            name,
            f"{boat}, as the boat is called now",
            "noted",
            f"Read as {boat}, which boats.csv says bore this name.",
            sort="boat_renamed",
        )
    return problems


def first_day(days: Iterable[date | None]) -> date | None:
    """The first of the days that are known."""
    return min((day for day in days if day), default=None)
