"""Changes as a tree of plain values, and back; every wrong entry is a sentence.

The tree is what a TOML file holds and what is packed into a link, so both are read and
checked by the same lines.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from analytics.records import setting_values as values
from analytics.records.findings import Finding
from analytics.records.setting_values import WrongValue
from analytics.what_if.changes import (
    AS_SET,
    MONTH_DAYS,
    RATES,
    Added,
    Changes,
    Factors,
    Limits,
    NewLimit,
    NewSeason,
    Sold,
)

VERSION = 1

LONGEST_NAME = 100
MOST_SEASONS = 15
MOST_ADDED = 50
"""Boats added in all."""

MOST_ROWS = 500
"""Rows of a list, and entries of a section: boats, bases, kinds or part numbers."""

LARGEST_FACTOR = 20.0

Tree = dict[str, Any]

_WIDE = {"hours": ("bases", "boats"), "prices": ("kinds", "part_numbers")}
"""Keys of the sections of factors: the wide one and the near one."""


def tree_of(changes: Changes) -> Tree:
    """Changes as a tree, without what they leave as it is; days as `date`."""
    tree: Tree = {"what_if": VERSION, "name": changes.name}
    if changes.seasons_ahead is not None:
        tree["seasons_ahead"] = changes.seasons_ahead
    if limits := {kind: _limits(one) for kind, one in sorted(changes.limits.items())}:
        tree["limits"] = {kind: one for kind, one in limits.items() if one}
    if changes.season is not None:
        season = {at: getattr(changes.season, at) for at in MONTH_DAYS}
        written: Tree = {at: f"{day[0]:02d}-{day[1]:02d}" for at, day in season.items() if day}
        if changes.season.same_hours_a_year:
            written["same_hours_a_year"] = True
        tree["season"] = written
    for name, (wide, near) in _WIDE.items():
        factors: Factors = getattr(changes, name)
        section: Tree = {} if factors.every == 1.0 else {"all": factors.every}
        for key, by_name in ((wide, factors.wide), (near, factors.near)):
            if by_name:
                section[key] = dict(sorted(by_name.items()))
        tree[name] = section
    tree["rates"] = {name: changes.rates[name] for name in RATES if name in changes.rates}
    tree["sold"] = [{"boat": one.boat, "on": one.on} for one in changes.sold]
    tree["added"] = [
        {"like": one.like, "joined_on": one.joined_on, "boats": one.boats}
        | ({"base": one.base} if one.base else {})
        for one in changes.added
    ]
    return {key: value for key, value in tree.items() if value not in ({}, [])}


def changes_of(tree: Mapping[str, Any], file: str) -> tuple[Changes, list[Finding]]:
    """Changes of a tree.

    Parameters
    ----------
    tree : mapping
        As `tree_of` makes it; a day may also be its text, such as "2027-03-01".
    file : str
        Where it comes from, for the findings.

    Returns
    -------
    Changes
        Without what is wrong.
    list of Finding
        One for every wrong or unknown entry.
    """
    reader = _Reader(file)
    return reader.changes(dict(tree)), reader.findings


def _limits(limits: Limits) -> Tree:
    given = {"age": limits.age, "years": limits.years}
    return {name: False if age is None else age for name, age in given.items() if age != AS_SET}


class _Reader:
    """Takes known entries out of tables and notes what is wrong or left over."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.findings: list[Finding] = []

    def changes(self, tree: Tree) -> Changes:
        version = tree.pop("what_if", None)
        if type(version) is not int or version != VERSION:
            # A later program may mean something else by the same words.
            self.wrong("what_if", version, f"what_if = {VERSION}, which is what this program reads")
            return Changes()
        found = {
            "name": self.one(tree, "name", _name, "What if"),
            "seasons_ahead": self.one(tree, "seasons_ahead", values.whole(1, MOST_SEASONS), None),
            "limits": self.limits(self.section(tree, "limits")),
            "season": self.season(self.section(tree, "season")),
            "hours": self.factors(tree, "hours"),
            "prices": self.factors(tree, "prices"),
            "rates": self.rates(self.section(tree, "rates")),
            "sold": tuple(self.rows(tree, "sold", self.sold)),
            "added": self.not_too_many(self.rows(tree, "added", self.added)),
        }
        self.unknown(tree, "")
        return Changes(**found)

    def one(
        self, tree: Tree, key: str, check: Callable[[Any], Any], default: Any, at: str = ""
    ) -> Any:
        """The value under a key, taken out; the default where it is missing or wrong."""
        if key not in tree:
            return default
        value = tree.pop(key)
        try:
            return check(value)
        except WrongValue as wrong:
            self.wrong(at + key, value, str(wrong))
            return default

    def section(self, tree: Tree, key: str, at: str = "") -> Tree:
        return dict(self.one(tree, key, _section, {}, at))

    def not_too_many(self, added: list[Added]) -> tuple[Added, ...]:
        """The boats added, or none where they are too many together."""
        if (boats := sum(one.boats for one in added)) <= MOST_ADDED:
            return tuple(added)
        self.wrong("added", f"{boats:,} boats", f"{MOST_ADDED} added boats in all at most")
        return ()

    def limits(self, tree: Tree) -> dict[str, Limits]:
        found = {}
        for kind in list(tree):
            at = f"limits.{kind}."
            section = self.section(tree, kind, "limits.")
            given = {name: self.one(section, name, _limit, AS_SET, at) for name in ("age", "years")}
            self.unknown(section, at)
            if self.named(kind, at) and given != {"age": AS_SET, "years": AS_SET}:
                found[kind] = Limits(**given)
        return dict(sorted(found.items()))

    def season(self, tree: Tree) -> NewSeason | None:
        given = {at: self.one(tree, at, values.month_day, None, "season.") for at in MONTH_DAYS}
        same = self.one(tree, "same_hours_a_year", values.flag, False, "season.")
        self.unknown(tree, "season.")
        return NewSeason(**given, same_hours_a_year=same) if any(given.values()) else None

    def factors(self, tree: Tree, name: str) -> Factors:
        section, at = self.section(tree, name), f"{name}."
        every = self.one(section, "all", _factor, 1.0, at)
        found = []
        for key in _WIDE[name]:
            by_name = self.section(section, key, at)
            inside = f"{at}{key}."
            read = {one: self.one(by_name, one, _factor, None, inside) for one in sorted(by_name)}
            found.append(
                {one: factor for one, factor in read.items()
                 if factor is not None and self.named(one, inside)}
            )  # fmt: skip
        self.unknown(section, at)
        return Factors(every, *found)

    def rates(self, tree: Tree) -> dict[str, float]:
        checks = {name: _increase if "increase" in name else values.not_negative for name in RATES}
        read = {name: self.one(tree, name, check, None, "rates.") for name, check in checks.items()}
        self.unknown(tree, "rates.")
        return {name: value for name, value in read.items() if value is not None}

    def rows(self, tree: Tree, key: str, read: Callable[[Tree, str], Any]) -> list[Any]:
        found = []
        for number, row in enumerate(self.one(tree, key, _tables, []), 1):
            at, before = f"{key} {number}, ", len(self.findings)
            row = dict(row)
            one = read(row, at)
            self.unknown(row, at)
            if len(self.findings) == before and one is not None:
                found.append(one)
        return found

    def sold(self, row: Tree, at: str) -> Sold | None:
        boat, on = self.needed(row, "boat", _name, at), self.needed(row, "on", _day, at)
        return None if boat is None or on is None else Sold(boat, on)

    def added(self, row: Tree, at: str) -> Added | None:
        like, on = self.needed(row, "like", _name, at), self.needed(row, "joined_on", _day, at)
        boats = self.one(row, "boats", values.whole(1, MOST_ADDED), 1, at)
        base = self.one(row, "base", _name, "", at)
        return None if like is None or on is None else Added(like, on, boats, base)

    def needed(self, row: Tree, key: str, check: Callable[[Any], Any], at: str) -> Any:
        if key not in row:
            self.wrong(at + key, "nothing", "a boat's name" if check is _name else "a day")
            return None
        return self.one(row, key, check, None, at)

    def named(self, name: str, at: str) -> bool:
        try:
            _name(name)
        except WrongValue as wrong:
            self.wrong(at, name, str(wrong))
            return False
        return True

    def unknown(self, tree: Tree, at: str) -> None:
        for key in tree:
            self.wrong(at + str(key), tree[key], _KNOWN)

    def wrong(self, key: str, value: Any, expected: str) -> None:
        remedy = "Correct it or take it out; the changes are not worked out until then."
        found = values.as_found(value) or "nothing"
        self.findings.append(
            Finding(self.file, None, key[:LONGEST_NAME], found, expected, "stopped", remedy)
        )


_KNOWN = (
    "an entry that Tideworn knows: name, seasons_ahead; age or years in [limits.KIND]; all, bases "
    "and boats in [hours]; all, kinds and part_numbers in [prices]; those of [season] and [rates]; "
    "[[sold]], [[added]]"
)


def _name(value: Any) -> str:
    name = values.text(value).strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise WrongValue(f"a name of 1 to {LONGEST_NAME} letters, without line ends")
    return name


def _limit(value: Any) -> NewLimit:
    return values.limit(value)


def _factor(value: Any) -> float:
    if not 0 <= values.number(value) <= LARGEST_FACTOR:
        raise WrongValue(f"a factor from 0 to {LARGEST_FACTOR:g}, where 1 is as it is today")
    return float(value)


def _increase(value: Any) -> float:
    if not 0 <= values.number(value) <= 1:
        raise WrongValue("a share a year from 0 to 1, such as 0.03 for 3 in 100")
    return float(value)


def _day(value: Any) -> date:
    if isinstance(value, str):
        try:
            value = date.fromisoformat(value)
        except ValueError:
            raise WrongValue("a day, such as 2027-03-01") from None
    return values.day(value)


def _section(value: Any) -> Any:
    return _few(values.table(value))


def _tables(value: Any) -> Any:
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        raise WrongValue("rows in double square brackets")
    return _few(value)


def _few(value: Any) -> Any:
    if len(value) > MOST_ROWS:
        raise WrongValue(f"{MOST_ROWS} rows at most")
    return value
