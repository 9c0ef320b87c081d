"""One written date, read as a window of days."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from analytics.records.dates import FIRST_YEAR, LAST_YEAR, Window
from analytics.records.dating.clearing import clear
from analytics.records.dating.figures import three
from analytics.records.dating.phrases import in_words
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.spans import Span
from analytics.records.dating.stretches import NONE, Stretch, allowed
from analytics.records.dating.styles import LONGEST, DateStyle
from analytics.records.dating.words import AS_BUILT, NOT_KNOWN

__all__ = ["DateProblem", "DateRead", "plain_text", "read_date"]

_ISO = re.compile(
    r"([0-9]{4})-([0-9]{2})-([0-9]{2})"
    r"(?:[T ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?(?:Z|[+-][0-9]{2}:?[0-9]{2})?)?"
)
_DAY_LIKE = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")
_MARKS = re.compile(r"[\s.,;:?!/\\_()*#x-]*")

_BUILT_THEN = re.compile(
    rf"(?:{'|'.join(sorted(map(re.escape, AS_BUILT), key=len, reverse=True))})[ ,:(-]+"
    r"(?P<date>[^)]*[0-9][^)]*)\)?"
)

_FIRST, _LAST = date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)


@dataclass(frozen=True, slots=True)
class DateRead:
    """What a written date means.

    Attributes
    ----------
    window : Window or None
        The days that it can mean; None where it says that nobody knows.
    notes : frozenset of str
        Keys of `SORTS`: what was noticed on the way.
    as_text : str
        The window as the plain layout writes it, blank for None.
    """

    window: Window | None
    notes: frozenset[str] = NONE
    as_text: str = ""


_BLANK = DateRead(None)
_PLACEHOLDER = DateRead(None, frozenset({"placeholder_date"}))
_BUILT = DateRead(None, frozenset({"fit_assumed_as_built"}))


def read_date(
    text: str, style: DateStyle, earliest: date | None = None, latest: date | None = None
) -> DateRead:
    """Read a date in any writing as the window of all days that it can mean.

    Parameters
    ----------
    text : str
        As it stands in the cell.
    style : DateStyle
        How the file writes dates, from `style_of`.
    earliest, latest : date or None
        The first and the last day on which it is likely to lie. They place
        years of two figures, close 'before 2015' and 'since 2015', and decide
        between day first and month first where the style does not and only one
        reading lies between them. A date of one reading that lies outside is
        kept.

    Returns
    -------
    DateRead
        Without a window for blank cells and words for not known (no note: they
        say it themselves), for dates that stand for not known (with the note
        ``placeholder_date``), and for words such as 'original' (with the note
        ``fit_assumed_as_built``; where a date follows them, it is that date).

    Raises
    ------
    DateProblem
        If no date can be made of it.

    Notes
    -----
    Assumed, as no text says it: seasons are northern and of three whole months
    from March on, and 'winter 2018' is both winters of that year, 1 December
    2017 to 28 February 2019; 'early', 'mid' and 'late' are thirds; 'about' adds
    as much again on either side, so a year to a year. Times of day, zones and
    weekdays are dropped unread.
    """
    if match := _ISO.fullmatch(text):
        return _answer(three(match[1], match[2], match[3], style, _OPEN))
    span = Span(earliest, latest)
    if match := _DAY_LIKE.fullmatch(text):
        return _answer(three(match[1], match[3], match[4], style, span))
    if len(text) > LONGEST:
        raise _unreadable()
    plain = clear(text)
    if not plain or plain in NOT_KNOWN or plain.strip("()[]?!.* ") in NOT_KNOWN:
        return _BLANK
    if _MARKS.fullmatch(plain):
        return _PLACEHOLDER if "/" in plain else _BLANK
    if plain in AS_BUILT:
        return _BUILT
    built = _BUILT_THEN.fullmatch(plain)
    found = in_words(built["date"] if built else plain, style, span)
    if found is None:
        raise _unreadable()
    return _answer(found)


_OPEN = Span()


def _unreadable() -> DateProblem:
    return DateProblem(
        "a day, month, season, year or range of these",
        "write it as 2019-04-03, 2019-04, 2019 or 2017..2019, or leave it blank",
    )


def _answer(found: Stretch) -> DateRead:
    if found.stands_in:
        return _PLACEHOLDER
    if found.hi < _FIRST or found.lo > _LAST:
        allowed(found.lo.year)
    # 'About 1950' and the winters at either end go past the years that are taken for dates.
    window = Window(max(found.lo, _FIRST), min(found.hi, _LAST))
    return DateRead(window, found.notes, plain_text(window))


def plain_text(window: Window | None) -> str:
    """A window as the plain layout writes it.

    Parameters
    ----------
    window : Window or None

    Returns
    -------
    str
        A day, month, year or range, of which `parse_window` makes the same
        window again; blank for None. The one exception is a window of nothing
        but a placeholder day, which the plain layout reads as not known.
    """
    if window is None:
        return ""
    lo, hi = window.lo, window.hi
    if lo == hi:
        return lo.isoformat()
    if lo.day != 1 or hi.day != monthrange(hi.year, hi.month)[1]:
        return f"{lo.isoformat()}..{hi.isoformat()}"
    cut = 4 if (lo.month, hi.month) == (1, 12) else 7
    first, last = lo.isoformat()[:cut], hi.isoformat()[:cut]
    return first if first == last else f"{first}..{last}"
