"""Dates of nothing but figures: of three numbers, of two, or of one."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date

from analytics.records.dating import stretches
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.serials import SERIALS, days_after, serial_day, whole_days
from analytics.records.dating.spans import Span
from analytics.records.dating.stretches import NONE, STAND_INS, Stretch
from analytics.records.dating.styles import TRIPLE, DateStyle

NOT_KNOWN_DAY = Stretch(date(1, 1, 1), date(1, 1, 1), "day")
"""Read from zeros and the like: stands for not known."""

_PAIR = re.compile(r"([0-9]{4}|[0-9]{1,2}) ?([/._\\ -]) ?('?)([0-9]{4}|[0-9]{1,2})")
_BASIC = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_ORDINAL_DAY = re.compile(r"([0-9]{4})-([0-9]{3})")
_ONLY_ZEROS = re.compile(r"[0 x_./\\:-]*[0x_][0 x_./\\:-]*")

_SHORT_STAND_INS = {(day.day, day.month, day.year % 100) for day in STAND_INS}
_SHORT = frozenset({"short_year"})
_ORDER = frozenset({"day_month_order"})
_GIVE_ISO = "write the year with four figures, such as 2019-04-03, or 2019-04 for a month"


def in_figures(text: str, style: DateStyle, span: Span) -> Stretch | None:
    """The days of a text of figures and marks; None where it is of another form.

    Parameters
    ----------
    text : str
        As `clear` leaves it.
    style : DateStyle
    span : Span

    Raises
    ------
    DateProblem
        If it has the form of a date and is none.
    """
    if match := TRIPLE.fullmatch(text):
        return three(match[1], match[3], match[5], style, span)
    if _ONLY_ZEROS.fullmatch(text):
        return NOT_KNOWN_DAY
    number = whole_days(text)
    match = _PAIR.fullmatch(text)
    if match and (number is None or style.origin is None):
        return _two(match[1], match[2], match[3], match[4], style, span)
    if number is not None:
        return _one(text, number, style)
    if match := _ORDINAL_DAY.fullmatch(text):
        year, number = stretches.allowed(int(match[1])), int(match[2])
        found = days_after(date(year, 1, 1), number - 1)
        if found.year != year:
            raise DateProblem("a day of the year from 1 to 366", "correct it")
        return Stretch(found, found, "day")
    return None


def years_of(figures: str, span: Span) -> tuple[Sequence[int], frozenset[str]]:
    """The years that two or four figures stand for, and the note that goes with them.

    Raises
    ------
    DateProblem
        If there is none.
    """
    if len(figures) == 4:
        return (int(figures),), NONE
    found = span.years(int(figures)) if len(figures) == 2 else ()
    if not found:
        raise DateProblem(f"a year of four figures instead of '{figures}'", _GIVE_ISO)
    return found, _SHORT


def real_years(figures: str, span: Span) -> tuple[list[int], frozenset[str]]:
    """The same for figures with an apostrophe, without years that are never taken for dates."""
    years, notes = years_of(figures.lstrip("'"), span)
    return [stretches.allowed(year) for year in years], notes


def over(figures: str, span: Span, of_year: Callable[[int], Stretch]) -> Stretch:
    """What a text means in each year that its figures can stand for."""
    years, notes = real_years(figures, span)
    return stretches.hull([of_year(year) for year in years]).with_notes(notes)


def three(first: str, second: str, third: str, style: DateStyle, span: Span) -> Stretch:
    """The days that three numbers can mean.

    A zero for the day leaves the month, one for day and month the year. Where
    the order is open, readings outside the span are dropped if another is
    inside; what then is left of several is one stretch that holds them all. A
    date that contradicts the order, and can be read one way only, is read that
    way with a note.

    Raises
    ------
    DateProblem
        If there is no such day, or no year that two figures can stand for.
    """
    one, two, last = int(first), int(second), int(third)
    if one == two == last <= 1:
        return NOT_KNOWN_DAY
    if len(first) == 4:
        if len(third) == 4:
            raise DateProblem("a day, a month and one year", _GIVE_ISO)
        return _of_year((one,), [(two, last)], NONE, span)
    if len(third) == 4:
        pairs, notes = _day_and_month(one, two, style)
        return _of_year((last,), pairs, notes, span)
    return _short(first, second, third, style, span)


def _short(first: str, second: str, third: str, style: DateStyle, span: Span) -> Stretch:
    one, two, last = int(first), int(second), int(third)
    year_can_lead = len(first) == 2 and 1 <= two <= 12 and last <= 31 and bool(span.years(one))
    if year_can_lead and (style.order == "year" or one > 31):
        years, notes = years_of(first, span)
        turned = style.order in ("day", "month")
        return _of_year(years, [(two, last)], notes | (_ORDER if turned else NONE), span)
    closing = span.years(last) if len(third) == 2 else ()
    if not closing and {(one, two, last), (two, one, last)} & _SHORT_STAND_INS:
        return NOT_KNOWN_DAY
    if style.order or (closing and not style.short_year_first) or not year_can_lead:
        years, notes = years_of(third, span)
        pairs, turned_notes = _day_and_month(one, two, style)
        if style.order == "year":
            turned_notes |= _ORDER
        return _of_year(years, pairs, notes | turned_notes, span)
    leading = _of_year(span.years(one), [(two, last)], _SHORT, span)
    try:
        pairs, _ = _day_and_month(one, two, style)
        trailing = _of_year(closing, pairs, _SHORT, span) if closing else leading
    except DateProblem:
        return leading.with_notes(_ORDER)
    both = [leading, trailing]
    inside = [stretch for stretch in both if span.holds(stretch.lo) and span.holds(stretch.hi)]
    return stretches.hull(inside or both).with_notes(_ORDER)


def _day_and_month(
    one: int, two: int, style: DateStyle
) -> tuple[list[tuple[int, int]], frozenset[str]]:
    """The pairs of month and day that two numbers can be, in the order wanted."""
    if not one or not two:
        return [(one or two, 0)], NONE
    wanted, other = ((one, two), (two, one)) if style.order == "month" else ((two, one), (one, two))
    pairs = [pair for pair in (wanted, other) if pair[0] <= 12]
    if not pairs:
        raise DateProblem("a month from 1 to 12", f"neither {one} nor {two} is one; correct it")
    if style.order in ("day", "month"):
        return pairs[:1], NONE if pairs[0] == wanted else _ORDER
    return pairs[:1] if one == two else pairs, NONE


def _of_year(
    years: Sequence[int], pairs: list[tuple[int, int]], notes: frozenset[str], span: Span
) -> Stretch:
    """The days of these months and days in these years."""
    month, number = pairs[0]
    if not number:
        held = [
            stretches.month(_real(year), month) if month else stretches.year(_real(year))
            for year in years
        ]
        return stretches.hull(held).with_notes(notes)
    days = {stretches.day(year, month, number) for year in years for month, number in pairs}
    if len(pairs) > 1:
        inside = {day for day in days if span.holds(day)}
        days = inside or days
        notes |= _ORDER
    lo, hi = min(days), max(days)
    if not days <= STAND_INS:
        stretches.allowed(lo.year)
        stretches.allowed(hi.year)
    return Stretch(lo, hi, "day" if lo == hi else "range", notes)


def _real(year: int) -> int:
    """The year, if it can be one or stand for not known."""
    return year if year in (1900, 9999) else stretches.allowed(year)


def _two(
    first: str, mark: str, tick: str, second: str, style: DateStyle, span: Span
) -> Stretch | None:
    """A month and a year, or two years that follow each other."""
    one, two = int(first), int(second)
    if len(first) == len(second) == 4:
        return None
    if len(second) == 4:
        return stretches.month(_real(two), one) if one else stretches.year(_real(two))
    if len(first) == 4:
        return _after_year(_real(one), two, len(second), mark, style)
    if len(first) == len(second) == 2 and two == (one + 1) % 100 and one > 12:
        years, notes = years_of(first, span)
        return stretches.hull(
            [stretches.year(year) for begin in years for year in (begin, begin + 1)]
        ).with_notes(notes)
    if style.order == "year" and len(first) == 2 and 1 <= two <= 12:
        years, notes = years_of(first, span)
        return stretches.hull([stretches.month(year, two) for year in years]).with_notes(notes)
    if (
        mark == "-"
        and len(first) == len(second) == 2
        and two > one
        and span.years(one)
        and not tick
    ):
        # 12-14 is December 2014 to some, and 2012 to 2014 to others.
        ends = [*span.years(one), *span.years(two)]
        if len(ends) > 1:
            return stretches.hull([stretches.year(year) for year in ends]).with_notes(_SHORT)
    is_year = bool(tick) or two > 31 or (two > 12 and style.order != "month")
    if len(second) == 2 and 1 <= one <= 12 and is_year:
        years, notes = years_of(second, span)
        return stretches.hull([stretches.month(year, one) for year in years]).with_notes(notes)
    raise DateProblem("a date with its year", _GIVE_ISO)


def _after_year(year: int, two: int, figures: int, mark: str, style: DateStyle) -> Stretch:
    follows = figures == 2 and two > year % 100
    if follows and two > 12 and mark in "/-":
        return stretches.hull([stretches.year(year), stretches.year(year - year % 100 + two)])
    if follows and two == year % 100 + 1 and mark == "/" and style.order != "year":
        # 2011/12 is December 2011 to some, and the winter from 2011 to 2012 to others.
        return stretches.hull([stretches.year(year), stretches.year(year + 1)])
    return stretches.month(year, two) if two else stretches.year(year)


def _one(text: str, number: int, style: DateStyle) -> Stretch:
    """A number alone: days since an origin, a year, a day without marks, a spreadsheet's days."""
    note = frozenset({"serial_date"})
    if style.origin is not None:
        found = days_after(style.origin, number)
        stretches.allowed(found.year)
        return Stretch(found, found, "day", note)
    if len(text) == 4 and text.isdecimal():
        return stretches.year(_real(number))
    if match := _BASIC.fullmatch(text):
        return three(match[1], match[2], match[3], style, Span())
    if style.serials and number in SERIALS:
        found = serial_day(number, style.epoch)
        stretches.allowed(found.year)
        return Stretch(found, found, "day", note)
    raise DateProblem(
        f"a date, or a spreadsheet's number of days from {SERIALS[0]} to {SERIALS[-1]}",
        "write it as 2019-04-03, or give the day from which the numbers count",
    )
