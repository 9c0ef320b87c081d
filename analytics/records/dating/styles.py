"""Which number of a date is the day, decided by the evidence of a whole file.

03/04/19 may be three days. A file that also holds 25/04/19 puts the day
first; one that also holds 04/25/19 puts the month first; one with both does
not decide, and neither does one with none.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from analytics.records.dating.clearing import clear
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.serials import SERIALS, Epoch, serial_day, whole_days
from analytics.records.dating.spans import Span

Order = Literal["day", "month", "year", ""]

LONGEST = 80
"""Characters of the longest text that is read as a date."""

_MARK = r" ?([/.,_\\-]) ?"
TRIPLE = re.compile(
    rf"([0-9]{{4}}|[0-9]{{1,2}})(?:{_MARK}| )([0-9]{{1,2}})"
    r"(?: ?\2 ?| )(')?([0-9]{4}|[0-9]{1,2})"
)
"""Three numbers: first, mark, second, apostrophe, third."""
_TRIPLES = re.compile(rf"(?<![0-9]){TRIPLE.pattern}(?![0-9])")


@dataclass(frozen=True, slots=True)
class DateStyle:
    """How the dates of one file are written.

    Attributes
    ----------
    order : {"day", "month", "year", ""}
        What stands first in a date of three numbers; blank where nothing decides.
    epoch : {1900, 1904}
        From which year a spreadsheet's days count.
    origin : date or None
        Day from which every number counts, where the file has one of its own.
    serials : bool
        False where numbers are never a spreadsheet's days.
    short_year_first : bool
        True where a date of three short numbers may begin with the year.
    """

    order: Order = ""
    epoch: Epoch = 1900
    origin: date | None = None
    serials: bool = True
    short_year_first: bool = False


@dataclass(frozen=True)
class Seen:
    """How many texts of a file say one thing, and one of them."""

    count: int = 0
    example: str = ""


@dataclass(frozen=True)
class StyleEvidence:
    """What a file says of how its dates are written.

    Attributes
    ----------
    day_first, month_first : Seen
        Dates with a number over twelve that can only be read so.
    year_first : Seen
        Dates that begin with a year, of four figures or two.
    open : Seen
        Dates of several readings, to which the order is applied.
    serials : Seen
        Numbers that may be a spreadsheet's days.
    serials_1900, serials_1904 : int
        How many of these are inside the given span, by system.
    by_person : bool
        True where somebody has decided the order.
    mixed : bool
        True where dates of the file contradict each other.
    """

    day_first: Seen = Seen()
    month_first: Seen = Seen()
    year_first: Seen = Seen()
    open: Seen = Seen()
    serials: Seen = Seen()
    serials_1900: int = 0
    serials_1904: int = 0
    by_person: bool = False
    mixed: bool = False

    @property
    def epoch_open(self) -> bool:
        """True where the numbers of days fit both systems equally, and 1900 was taken."""
        return self.serials.count > 0 and self.serials_1900 == self.serials_1904


def style_of(
    texts: Collection[str],
    *,
    order: Order = "",
    origin: date | None = None,
    earliest: date | None = None,
    latest: date | None = None,
) -> tuple[DateStyle, StyleEvidence]:
    """How the dates of a file are written, by all of them together.

    Parameters
    ----------
    texts : collection of str
        All distinct texts of all columns of dates of one file, in any order.
    order : {"day", "month", "year", ""}
        What a person has decided; the evidence is gathered all the same.
    origin : date or None
        Day from which every number of the file counts.
    earliest, latest : date or None
        The span in which dates are likely: decides which of the spreadsheet's
        systems the numbers follow, and which years two figures can stand for.

    Returns
    -------
    DateStyle
        With a blank order where there is no evidence or both kinds of it. An
        order of ``year`` by evidence says that no date of the file begins
        otherwise.
    StyleEvidence

    Notes
    -----
    A date of three short numbers may begin with its year too, as 99/04/03
    must. 19/04/03 counts as one only where the file holds such proof, or where
    the span excludes its other readings.
    """
    span = Span(earliest, latest)
    found: dict[str, frozenset[Order]] = {}
    full_years: set[str] = set()
    numbers: dict[str, int] = {}
    for text in set(texts):
        if len(text) > LONGEST:
            continue
        cleared = clear(text)
        number = whole_days(cleared)
        if number is not None:
            if origin is None and number in SERIALS:
                numbers[text] = number
            continue
        for possible in _orders(cleared, span):
            if possible is None:
                full_years.add(text)
            else:
                found[text] = found[text] & possible if text in found else possible
    proof = frozenset[Order]({"year"}) in found.values()
    if not proof:
        found = {text: possible - {"year"} for text, possible in found.items()}
    sole: dict[Order, Seen] = {
        one: _seen(text for text, possible in found.items() if possible == {one})
        for one in ("day", "month", "year")
    }
    several = _seen(text for text, possible in found.items() if len(possible) > 1)
    decided: list[Order] = [one for one, seen in sole.items() if seen.count]
    years = {text for text, possible in found.items() if possible == {"year"}} | full_years
    by_file: Order = decided[0] if len(decided) == 1 else ""
    if not decided and full_years and not several.count:
        by_file = "year"
    fits_1900 = sum(_fits(number, 1900, span) for number in numbers.values())
    fits_1904 = sum(_fits(number, 1904, span) for number in numbers.values())
    style = DateStyle(
        order=order or by_file,
        epoch=1904 if fits_1904 > fits_1900 else 1900,
        origin=origin,
        short_year_first=proof,
    )
    return style, StyleEvidence(
        day_first=sole["day"],
        month_first=sole["month"],
        year_first=_seen(years),
        open=several,
        serials=_seen(numbers),
        serials_1900=fits_1900,
        serials_1904=fits_1904,
        by_person=bool(order),
        mixed=len(decided) > 1,
    )


def _seen(texts: Iterable[str]) -> Seen:
    held = set(texts)
    return Seen(len(held), min(held, default=""))


def _fits(number: int, epoch: Epoch, span: Span) -> bool:
    try:
        return span.holds(serial_day(number, epoch))
    except DateProblem:
        return False


def _orders(cleared: str, span: Span) -> Iterator[frozenset[Order] | None]:
    """The orders in which each date of a text can be read; None for a year of four figures first.

    Dates that read the same in every order, or in none, are left out.
    """
    for match in _TRIPLES.finditer(cleared):
        first, second, third = match[1], match[3], match[5]
        if len(first) == 4:
            yield None
            continue
        one, two, three = int(first), int(second), int(third)
        possible: set[Order] = set()
        short = len(third) < 4
        if short and len(third) == 1:
            continue
        if not short or span.years(three):
            possible |= {"day"} if _both(two, one) else set()
            possible |= {"month"} if _both(one, two) else set()
        if short and len(first) == 2 and one and _both(two, three) and span.years(one):
            possible.add("year")
        if possible and not (one == two and "day" in possible):
            yield frozenset(possible)


def _both(month: int, day: int) -> bool:
    return 1 <= month <= 12 and 1 <= day <= 31
