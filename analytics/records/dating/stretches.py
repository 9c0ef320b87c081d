"""Stretches of days while a text is being read: a day, a month, a season, a year or a range."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from analytics.records.dates import FIRST_YEAR, LAST_YEAR, PLACEHOLDERS
from analytics.records.dating.problems import DateProblem

Unit = Literal["day", "month", "season", "year", "years", "range", "within"]
NONE: frozenset[str] = frozenset()

STAND_INS = PLACEHOLDERS | {
    date(1, 1, 1),
    date(1753, 1, 1),
    date(1899, 12, 31),
    date(1904, 1, 1),
}
"""Days that stand for not known: first days of calendars and data bases (common practice)."""

_NOTES: dict[Unit, frozenset[str]] = {
    "month": frozenset({"month_or_season_only"}),
    "season": frozenset({"month_or_season_only"}),
    "year": frozenset({"year_only"}),
    "years": frozenset({"year_only"}),
}


class Month(NamedTuple):
    """A month of a year."""

    year: int
    month: int

    @classmethod
    def after(cls, year: int, month: int, months: int = 0) -> Month:
        """The month that many months later."""
        ahead, behind = divmod(year * 12 + month - 1 + months, 12)
        return cls(ahead, behind + 1)

    @property
    def lo(self) -> date:
        """Its first day."""
        return date(self.year, self.month, 1)

    @property
    def hi(self) -> date:
        """Its last day."""
        return date(self.year, self.month, monthrange(self.year, self.month)[1])


@dataclass(frozen=True, slots=True)
class Stretch:
    """The days that a text can mean, and how exact its writing is.

    Attributes
    ----------
    lo, hi : date
        The first and the last of them.
    unit : str
        What the text names; ``years`` for a range of whole years, ``within`` for
        a time of which only the year is known, ``range`` for all others.
    notes : frozenset of str
        Keys of `SORTS`.
    """

    lo: date
    hi: date
    unit: Unit
    notes: frozenset[str] = NONE

    def with_notes(self, notes: Iterable[str]) -> Stretch:
        """The same days, with more notes."""
        return Stretch(self.lo, self.hi, self.unit, self.notes | set(notes))

    @property
    def stands_in(self) -> bool:
        """True where it is no date but stands for not known."""
        if self.lo == self.hi:
            return self.lo in STAND_INS
        # A placeholder of which only the month or the year is left: 1900, 12/9999.
        whole = (self.lo.month, self.lo.day) == (1, 1) or (self.hi.month, self.hi.day) == (12, 31)
        return self.lo.year == self.hi.year and self.lo.year in (1, 1900, 9999) and whole


def allowed(year: int) -> int:
    """The year itself.

    Raises
    ------
    DateProblem
        If it is outside the years that are taken for dates.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise DateProblem(
            f"a year from {FIRST_YEAR} to {LAST_YEAR}", "correct the year, or leave the cell blank"
        )
    return year


def months(first: tuple[int, int], last: tuple[int, int], unit: Unit) -> Stretch:
    """All days from one month to another, each as year and month."""
    begin, end = Month.after(*first), Month.after(*last)
    return Stretch(begin.lo, end.hi, unit, _NOTES.get(unit, _NOTES["month"]))


def month(year: int, number: int) -> Stretch:
    """One month.

    Raises
    ------
    DateProblem
        If there is no such month.
    """
    if not 1 <= number <= 12:
        raise DateProblem("a month from 1 to 12", f"there is no month {number}; correct it")
    return months((year, number), (year, number), "month")


def year(number: int) -> Stretch:
    """One year."""
    return Stretch(date(number, 1, 1), date(number, 12, 31), "year", _NOTES["year"])


def day(year: int, month: int, number: int) -> date:
    """One day.

    Raises
    ------
    DateProblem
        If there is no such day.
    """
    try:
        return date(year, month, number)
    except ValueError:
        raise DateProblem(
            "a day that exists",
            f"there is no day {number} of month {month} in {year}; correct it, or give the month "
            f"alone",
        ) from None


def hull(stretches: Sequence[Stretch]) -> Stretch:
    """The stretch that holds all of several, as exact as they are where they are one."""
    if len(stretches) == 1:
        return stretches[0]
    lo = min(stretch.lo for stretch in stretches)
    hi = max(stretch.hi for stretch in stretches)
    whole_years = all(stretch.unit in ("year", "years") for stretch in stretches)
    notes = frozenset().union(*(stretch.notes for stretch in stretches))
    if lo == hi:
        return Stretch(lo, hi, "day", notes)
    return Stretch(lo, hi, "years" if whole_years else "range", notes)
