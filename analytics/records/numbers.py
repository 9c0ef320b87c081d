"""Numbers as people write them: which mark is the decimal one, decided by the column's evidence.

`1.5` can only have a decimal point and `1.234.567` only a decimal comma;
`1.200` may be either, and is read only where another cell of its column, or
the settings, decide.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from analytics.records.files.grids import FileSettings, SheetNumber

POINT, COMMA = ".", ","
MARK_NAMES = {
    POINT: "point",
    COMMA: "comma",
    " ": "space",
    "'": "apostrophe",
    "": "none",
}

_SPACES = " \u00a0\u2007\u2009\u202f"
_APOSTROPHES = "'\u2019"


# The commonest number with a mark, and no three digits behind it: one reading whatever is allowed.
_POINT_ALONE = re.compile(r"\d+\.(?:\d{1,2}|\d{4,})")


class TwoReadings(ValueError):
    """A text that is one number with a decimal point and another with a decimal comma."""


@dataclass(frozen=True)
class Marks:
    """The marks within the numbers of one column.

    Attributes
    ----------
    decimal : str
        `.` or `,`; blank where nothing in the column decides.
    thousands : str or None
        The one mark that may stand between thousands, as the settings say; None
        for any.
    seen : frozenset of str
        Marks between thousands that the column holds, those of one reading only.
    """

    decimal: str = ""
    thousands: str | None = None
    seen: frozenset[str] = frozenset()

    def value(self, text: str) -> float:
        """The number that a text stands for.

        Raises
        ------
        TwoReadings
            If it may be two numbers, and nothing decides.
        ValueError
            If it is no number.
        """
        if isinstance(text, SheetNumber) or text.isdecimal():
            return float(text)
        found = {
            mark: value
            for mark, (value, _) in _readings(text, self.thousands).items()
            if mark == self.decimal or not self.decimal
        }
        if not found:
            raise ValueError("not a number")
        if len(set(found.values())) > 1:
            raise TwoReadings(" or ".join(f"{value:g}" for value in sorted(found.values())))
        return next(iter(found.values()))


PLAIN = Marks(POINT, "")
"""A decimal point and no mark between thousands."""


def marks_of(texts: Iterable[str], chosen: FileSettings) -> Marks:
    """The marks of a column.

    Parameters
    ----------
    texts : iterable of str
        Its cells, without the numbers that a spreadsheet holds as such: they are no evidence.
    chosen : FileSettings
        What the settings say of the file.

    Returns
    -------
    Marks
        With the decimal mark that every cell of one reading needs; blank where
        there is no such cell, or where they differ.
    """
    thousands, decimal = chosen.thousands, chosen.decimal or ""
    if not decimal and thousands in (POINT, COMMA):
        decimal = COMMA if thousands == POINT else POINT
    needed, seen = set(), set()
    for text in texts:
        if text.isdecimal():
            continue
        found = _readings(text, thousands)
        if decimal:
            found = {mark: one for mark, one in found.items() if mark == decimal}
        if len({value for value, _ in found.values()}) != 1:
            continue
        seen |= {grouped for _, grouped in found.values()}
        if len(found) == 1:
            needed |= set(found)
    if not decimal and len(needed) == 1:
        (decimal,) = needed
    return Marks(decimal, thousands, frozenset(seen - {""}))


def _readings(text: str, thousands: str | None) -> dict[str, tuple[float, str]]:
    """By decimal mark: the number, and the mark between its thousands."""
    if _POINT_ALONE.fullmatch(text):
        return {POINT: (float(text), "")}
    found = {}
    for mark in (POINT, COMMA):
        if match := _pattern(mark, thousands).fullmatch(text):
            grouped = match["mark"] or ""
            whole = match["whole"].replace(grouped, "") if grouped else match["whole"]
            value = float(match["sign"] + whole + (match["rest"] or "").replace(COMMA, POINT))
            found[mark] = value, _plain_mark(grouped)
    return found


@cache
def _pattern(decimal: str, thousands: str | None) -> re.Pattern[str]:
    """A number with this decimal mark; `thousands` None allows any mark between groups of three."""
    allowed = (COMMA if decimal == POINT else POINT) + _SPACES + _APOSTROPHES
    if thousands is not None:
        allowed = "".join(mark for mark in allowed if _plain_mark(mark) == thousands)
    groups = rf"[1-9]\d{{0,2}}(?:(?P<mark>[{allowed}])\d{{3}})(?:(?P=mark)\d{{3}})*"
    whole = rf"{groups}|\d+" if allowed else r"\d+(?P<mark>)"
    point = re.escape(decimal)
    return re.compile(
        rf"(?P<sign>[+-]?)(?=\d|{point}\d)(?P<whole>(?:{whole})?)(?P<rest>(?:{point}\d*)?)"
    )


def _plain_mark(mark: str) -> str:
    """The mark that stands for all that look like it."""
    if mark in _SPACES and mark:
        return " "
    return "'" if mark in _APOSTROPHES and mark else mark


def written_number(value: float) -> str:
    """A number with a decimal point and every digit it has, blank where it is not known."""
    if value != value:  # NaN
        return ""
    return str(int(value)) if float(value).is_integer() else repr(float(value))
