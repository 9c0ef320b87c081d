"""What a value of `fleet.toml` may be: one check for each sort of value.

A check takes what the file holds and gives it back as the program wants it, or
raises `WrongValue` with words for what would have been right.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from analytics.records.dates import FIRST_YEAR, LAST_YEAR
from analytics.records.tables import LARGEST_NUMBER


class WrongValue(ValueError):
    """A value that is not what the key expects; the message says what it expects."""


def as_found(value: Any) -> str:
    """What stood there, as a finding shows it."""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return str(value)[:200]
    except (ValueError, RecursionError):  # Python prints no whole number of thousands of digits
        return "something too large to show"


def text(value: Any) -> str:
    """A text."""
    if not isinstance(value, str):
        raise WrongValue("a text in quotes")
    return value


def written(value: Any) -> str:
    """A text, or a day read as its text."""
    return value.isoformat() if isinstance(value, date) else text(value)


def flag(value: Any) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise WrongValue("true or false")
    return value


def day(value: Any) -> date:
    """A day within the years that records can hold."""
    # tomllib gives a datetime for a date with a time; only the day means anything here.
    if not isinstance(value, date) or isinstance(value, datetime):
        raise WrongValue("a day written without quotes, such as 2026-10-31")
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise WrongValue(f"a day of the years {FIRST_YEAR} to {LAST_YEAR}")
    return value


def month_day(value: Any) -> tuple[int, int]:
    """A month and a day, such as "04-01"."""
    try:
        month, day = (int(part) for part in text(value).split("-"))
        date(2001, month, day)  # a year without a 29 February: a season has the same days each year
    except ValueError:
        raise WrongValue('a month and a day, such as "04-01"') from None
    return month, day


def number(value: Any) -> float:
    """A number up to `LARGEST_NUMBER` either way."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise WrongValue("a number")
    # Compared as it stands: a whole number in the file may be too large to become a float.
    if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
        raise WrongValue(f"a number up to {LARGEST_NUMBER:,.0f}")
    return float(value)


def positive(value: Any) -> float:
    """A number above 0."""
    if number(value) <= 0:
        raise WrongValue("a number above 0")
    return float(value)


def not_negative(value: Any) -> float:
    """A number of 0 or more."""
    if number(value) < 0:
        raise WrongValue("0 or more")
    return float(value)


def limit(value: Any) -> float | None:
    """An age above 0; false is read as None, no limit."""
    if value is False:
        return None
    if isinstance(value, bool) or number(value) <= 0:
        raise WrongValue("an age above 0, or false for no limit")
    return float(value)


def above_one(value: Any) -> float:
    """A number above 1."""
    if number(value) <= 1:
        raise WrongValue("a number above 1")
    return float(value)


def days(value: Any) -> int:
    """A whole number of days, up to ten years."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 3650:
        raise WrongValue("a whole number of days from 1 to 3650")
    return value


def whole(least: int, most: int) -> Callable[[Any], int]:
    """A check that the value is a whole number from one to another."""

    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise WrongValue(f"a whole number from {least} to {most}")
        return value

    return check


def shares(value: Any) -> tuple[float, float]:
    """Two shares, the lower first."""
    if isinstance(value, list) and len(value) == 2:
        low, high = (number(item) for item in value)
        if 0 < low < high < 1:
            return low, high
    raise WrongValue("two shares between 0 and 1, the lower first, such as [0.02, 0.40]")


def currency(value: Any) -> str:
    """A currency code of three capitals (ISO 4217)."""
    if not (isinstance(value, str) and re.fullmatch("[A-Z]{3}", value)):
        raise WrongValue("a currency code of ISO 4217, such as EUR")
    return value


def table(value: Any) -> dict[str, Any]:
    """A section of the file."""
    if not isinstance(value, dict):
        raise WrongValue("a section in square brackets")
    return value


def one_of(*allowed: str) -> Callable[[Any], str]:
    """A check that the value is one of these words."""
    plain = all(word.isalnum() for word in allowed)
    listed = ", ".join(word if plain else repr(word) for word in allowed)

    def check(value: Any) -> str:
        if value not in allowed:
            raise WrongValue(f"one of {listed}")
        return str(value)

    return check


def texts(value: Any) -> tuple[str, ...]:
    """A list of texts."""
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise WrongValue("a list of texts in quotes")
    return tuple(value)


def one_or_more_texts(value: Any) -> tuple[str, ...]:
    """A text, or a list of texts."""
    return (value,) if isinstance(value, str) else texts(value)


def encoding(value: Any) -> str:
    """The name of a text encoding that Python knows."""
    try:
        "boat".encode(text(value))
    except (LookupError, ValueError):
        raise WrongValue('the name of a text encoding, such as "cp1250"') from None
    return str(value)


def row(value: Any) -> int:
    """The number of a row, from 1 to 10,000."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 10_000:
        raise WrongValue("the number of a row, from 1 to 10000")
    return value


def causes(value: Any) -> tuple[str, ...]:
    """Causes of failure, wear-out among them."""
    causes = texts(value)
    if "wear_out" not in causes or not set(causes) <= {"early", "wear_out", "accident"}:
        raise WrongValue('a list with "wear_out" and, if wanted, "early" and "accident"')
    return causes
