"""Dates as people write them, read as windows of days.

A date may be a day (`2014-06-03`), a month (`2014-06`), a year (`2014`), a
range of any two of these (`2011..2014-06`) or blank. Each is a window: the
first and the last day it can mean. Forms follow ISO 8601; the two dots of a
range are this project's own.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

_DAY = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?$")
_MONTH = re.compile(r"(\d{4})-(\d{2})$")
_YEAR = re.compile(r"(\d{4})$")

# Dates that forms and spreadsheets put where nobody knew the answer (common practice, no source).
PLACEHOLDERS = frozenset(
    {date(1899, 12, 30), date(1900, 1, 1), date(1970, 1, 1), date(9999, 12, 31)}
)

FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Years outside these are taken for slips of the pen."""

EXPECTED = "a day (2014-06-03), a month (2014-06), a year (2014), a range (2011..2014) or blank"


@dataclass(frozen=True, order=True)
class Window:
    """The first and the last day that a written date can mean."""

    lo: date
    hi: date

    @property
    def known(self) -> bool:
        """True where the day itself is known."""
        return self.lo == self.hi


def parse_window(text: str) -> Window | None:
    """Read a written date as a window of days.

    Parameters
    ----------
    text : str
        A day, month, year, a range of two of them, or blank.

    Returns
    -------
    Window or None
        None for blank and for placeholder dates: the day is unknown.

    Raises
    ------
    ValueError
        If the text is none of these, names a day that does not exist, or is a
        range that ends before it begins.
    """
    text = text.strip()
    if not text:
        return None
    first, dots, last = text.partition("..")
    window = _single(first.strip())
    if dots:
        window = Window(window.lo, _single(last.strip()).hi)
    if window.hi < window.lo:
        raise ValueError("the range ends before it begins")
    if window.known and window.lo in PLACEHOLDERS:
        return None
    return window


def _single(text: str) -> Window:
    if match := _DAY.match(text):
        day = date(int(match[1]), int(match[2]), int(match[3]))
        return Window(day, day)
    if match := _MONTH.match(text):
        year, month = int(match[1]), int(match[2])
        return Window(date(year, month, 1), date(year, month, _days_in(year, month)))
    if match := _YEAR.match(text):
        return Window(date(int(text), 1, 1), date(int(text), 12, 31))
    raise ValueError(f"not {EXPECTED}")


def _days_in(year: int, month: int) -> int:
    if not 1 <= month <= 12:
        raise ValueError(f"there is no month {month}")
    return monthrange(year, month)[1]
