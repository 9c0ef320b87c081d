"""Dates given as a number of days.

A spreadsheet counts days from 1 January 1900, which is day 1, or from 1
January 1904, which is day 0; the first of these systems has a 29 February 1900
that never was, kept for old files. A date is therefore 1,462 days more in the
first than in the second.
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Literal

from analytics.records.dating.problems import DateProblem

Epoch = Literal[1900, 1904]

SERIALS = range(20_000, 80_001)
"""Numbers taken for dates (1954 to 2119 in the 1900 system): past the years, short of hours run."""

NUMBER = re.compile(r"([+-]?[0-9]{1,8})(?:[.,]([0-9]{1,12}))?")

_FIRST_MARCH_1900 = 61


def serial_day(number: int, epoch: Epoch = 1900) -> date:
    """The date of a spreadsheet's number.

    Parameters
    ----------
    number : int
        Days, from 1 in the 1900 system and 0 in the 1904 system.
    epoch : {1900, 1904}

    Raises
    ------
    DateProblem
        If the number has no date: below the first, past the year 9999, or 60
        in the 1900 system.
    """
    if epoch == 1904:
        return days_after(date(1904, 1, 1), number)
    if number < 1 or number == _FIRST_MARCH_1900 - 1:
        raise DateProblem("a spreadsheet's number of days", "give the date itself")
    return days_after(date(1899, 12, 30 if number >= _FIRST_MARCH_1900 else 31), number)


def days_after(origin: date, number: int) -> date:
    """The date so many days after another.

    Raises
    ------
    DateProblem
        If it is outside the calendar.
    """
    try:
        return origin + timedelta(days=number)
    except OverflowError:
        raise DateProblem(
            f"a number of days since {origin}", "the number is too large; give the date itself"
        ) from None


def whole_days(text: str) -> int | None:
    """The days of a text that is nothing but a number, its part of a day dropped.

    A part of a day is the time since the midnight before, also below zero:
    -0.5 is noon of the day before.
    """
    match = NUMBER.fullmatch(text)
    if match is None:
        return None
    whole, part = int(match[1]), match[2]
    return whole - 1 if match[1].startswith("-") and part and part.strip("0") else whole
