"""Dates with words: months by name, seasons, parts of a year, and ranges.

Seasons are those of the north, of three whole months from March on; a winter
of one year is both that which ends and that which begins in it. Parts of a
time are its thirds. These are assumptions: nobody's 'late spring' has an edge.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from analytics.records.dating import stretches, words
from analytics.records.dating.figures import in_figures, over, real_years
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.spans import Span
from analytics.records.dating.stretches import Month, Stretch
from analytics.records.dating.styles import DateStyle
from analytics.records.dating.year_parts import STRANGE, TOKEN, numbered_part

_GIVE_RANGE = "give a range, such as 2011..2014"

_LEADS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (sense, re.compile(rf"(?:{marks}|(?:{names})(?:\b|(?=[0-9]))[.:]?(?: ?-)?) ?(?P<rest>.+)"))
    for sense, marks, names in (
        ("until", "<=|≤", words.UNTIL),
        ("since", ">=|≥", words.SINCE),
        ("before", "<", words.BEFORE),
        ("after", ">", words.AFTER),
        ("about", r"~|±|\+/-|≈", words.ABOUT),
    )
)
_ABOUT_BEHIND = re.compile(rf"(?P<rest>.*[0-9])(?: ?\(? ?(?:{words.ABOUT})\.? ?\)?| ?\(?\?+\)?)")
_BETWEEN = re.compile(rf"(?:{words.BETWEEN}) (?P<rest>.+)")
_JOINTS = (
    re.compile(r" ?\.{2,} ?"),
    re.compile(rf" (?:{words.TO}) "),
    re.compile(r" - "),
    re.compile(rf" (?:{words.OR}) "),
    re.compile(r" ?[/-] ?"),
)
_OPEN_JOINT = 3  # from here on, the second of two times may be the earlier

_TO_OR = re.compile(rf" (?:{words.TO}|{words.OR}) ")
_WORD = re.compile(r"[a-z]")
_MONTH_DASH_YEAR = re.compile(r"[a-z]+\.?[-/'][0-9]{2}")


def in_words(text: str, style: DateStyle, span: Span) -> Stretch | None:
    """The days of a text of any form; None where it is no date.

    Parameters
    ----------
    text : str
        As `clear` leaves it.
    style : DateStyle
    span : Span
        Its ends close 'before 2015' and 'since 2015'.

    Raises
    ------
    DateProblem
        If it has the form of a date and is none.
    """
    if found := _single(text, style, span):
        return found
    for sense, pattern in _LEADS:
        if match := pattern.fullmatch(text):
            rest = _without_fillers(match["rest"])
            inner = _single(rest, style, span) or _range(rest, style, span)
            if inner and not inner.stands_in:
                return _bounded(sense, inner, span)
    if match := _ABOUT_BEHIND.fullmatch(text):
        inner = _single(match["rest"], style, span) or _range(match["rest"], style, span)
        if inner and not inner.stands_in:
            return _bounded("about", inner, span)
    if match := _BETWEEN.fullmatch(text):
        return _range(match["rest"], style, span)
    return _range(text, style, span)


def _without_fillers(text: str) -> str:
    while True:
        first, _, rest = text.partition(" ")
        if first not in words.FILLERS or not rest:
            return text
        text = rest


def _bounded(sense: str, inner: Stretch, span: Span) -> Stretch:
    """The days before, after or about a stretch."""
    if sense == "about":
        return _widened(inner)
    if inner.unit == "within":
        raise DateProblem("a season whose first and last day are known", _GIVE_RANGE)
    lo, hi = inner.lo, inner.hi
    if inner.unit not in ("day", "month", "season", "year") and sense in ("before", "after"):
        # Of several readings, the last closes 'before' and the first opens 'after'.
        lo, hi = hi, lo
    if sense in ("before", "until"):
        hi = lo - timedelta(days=1) if sense == "before" else hi
        if span.earliest is None or span.earliest > hi:
            raise DateProblem("a time with a beginning", _GIVE_RANGE)
        lo = span.earliest
    else:
        lo = hi + timedelta(days=1) if sense == "after" else lo
        if span.latest is None or span.latest < lo:
            raise DateProblem("a time with an end", _GIVE_RANGE)
        hi = span.latest
    return Stretch(lo, hi, "range", inner.notes)


def _widened(inner: Stretch) -> Stretch:
    """'About' a time: as much again on either side (an assumption)."""
    by = {"year": 12, "years": 12, "season": 3, "month": 1}.get(inner.unit)
    if by is None:
        raise DateProblem("a year, season or month with 'about'", _GIVE_RANGE)
    lo = Month.after(inner.lo.year, inner.lo.month, -by).lo
    hi = Month.after(inner.hi.year, inner.hi.month, by).hi
    return Stretch(lo, hi, "range", inner.notes)


def _range(text: str, style: DateStyle, span: Span) -> Stretch | None:
    problem = None
    for place, joint in enumerate(_JOINTS):
        for match in joint.finditer(text):
            before, after = text[: match.start()].strip(), text[match.end() :].strip()
            if not before or not after:
                continue
            try:
                first, last = _single(before, style, span), _single(after, style, span)
            except DateProblem as raised:
                # A lone number of a day or month is no half of a range, and no fault of it.
                if len(before) > 2 and len(after) > 2:
                    problem = problem or raised
                continue
            if first is None or last is None or first.stands_in or last.stands_in:
                continue
            if last.hi < first.lo and place < _OPEN_JOINT:
                raise DateProblem("a range that begins before it ends", "turn its ends round")
            return stretches.hull([first, last])
    with_dashes = _TO_OR.sub(" - ", text)
    if with_dashes != text and _WORD.search(with_dashes):
        found = _single(with_dashes, style, span)
        if found:
            return found
    if problem:
        raise problem
    return None


def _single(text: str, style: DateStyle, span: Span) -> Stretch | None:
    """A day, month, season, part of a year or year."""
    if not text:
        return None
    if found := in_figures(text, style, span):
        return found
    if STRANGE.search(text):
        return None
    if found := numbered_part(text, span):
        return found
    tokens = [token for token in TOKEN.findall(text) if token not in words.FILLERS]
    kinds = "".join(_kind(token) for token in tokens)
    if kinds.count("T") == 1 and len(kinds) > 1:
        at = kinds.index("T")
        rest = " ".join(tokens[:at] + tokens[at + 1 :])
        if rest.isdecimal() and len(rest) == 2:
            rest = f"'{rest}"
        inner = _single(rest, style, span)
        return _third(inner, words.THIRDS[tokens[at]]) if inner else None
    reader = _FORMS.get(kinds)
    if reader is None:
        return None
    if kinds == "MN" and _may_be_a_day(text, tokens[1], style):
        raise DateProblem("a month and a year of four figures, or a day", "write it as 2019-04-03")
    return reader(tokens, style, span)


def _kind(token: str) -> str:
    """N for a number, M month, S season, W working season, T third, X for all others."""
    if token[-1].isdecimal():
        return "N"
    for kind, names in (("M", words.MONTHS), ("S", words.SEASONS), ("T", words.THIRDS)):
        if token in names:
            return kind
    return "W" if token in words.WORKING_SEASON else "X"


def _may_be_a_day(text: str, figures: str, style: DateStyle) -> bool:
    """True for 'Apr 19' where months come first; 'Apr-19' is how spreadsheets write a month."""
    short = figures.isdecimal() and len(figures) < 4
    if not short or int(figures[:4]) > 31:
        return False
    return len(figures) == 1 or (style.order == "month" and not _MONTH_DASH_YEAR.fullmatch(text))


def _day(year: int, month: str, number: str) -> Stretch:
    if len(number) > 2 or not number.isdecimal():
        raise DateProblem("a day of one or two figures", "write it as 2019-04-03")
    found = stretches.day(year, words.MONTHS[month], int(number))
    return Stretch(found, found, "day")


def _day_month_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    first, month, last = tokens
    short = len(first) == len(last) == 2 and first.isdecimal()
    if len(first) > 2 or (short and (int(first) > 31 or style.order == "year")):
        first, last = last, first
    return over(last, span, lambda year: _day(year, month, first))


def _month_day_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    return _day_month_year([tokens[1], tokens[0], tokens[2]], style, span)


def _year_day_month(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    return over(tokens[0], span, lambda year: _day(year, tokens[2], tokens[1]))


def _month_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    name, figures = tokens
    return over(figures, span, lambda year: stretches.month(year, words.MONTHS[name]))


def _year_month(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    figures, name = tokens
    if len(figures) < 3:
        raise DateProblem("a date with its year", "add the year, such as 2019-04-03")
    return _month_year([name, figures], style, span)


def _months_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    """Two months of one year; from December to January, those at both its ends."""
    first, last = words.MONTHS[tokens[0]], words.MONTHS[tokens[1]]
    back = 1 if first > last else 0
    return over(
        tokens[2],
        span,
        lambda year: stretches.months((year - back, first), (year + back, last), "range"),
    )


def _days_month_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    first, last, month, figures = tokens
    return _from_to(
        _day_month_year([first, month, figures], style, span),
        _day_month_year([last, month, figures], style, span),
    )


def _day_month_twice(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    return _from_to(
        _day_month_year([tokens[0], tokens[1], tokens[4]], style, span),
        _day_month_year([tokens[2], tokens[3], tokens[4]], style, span),
    )


def _from_to(first: Stretch, last: Stretch) -> Stretch:
    if last.hi < first.lo:
        raise DateProblem("a range that begins before it ends", "give both years")
    return stretches.hull([first, last])


def _season_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    season, figures = words.SEASONS[tokens[0]], tokens[1]
    return over(figures, span, lambda year: _season(season, year))


def _season(season: int, year: int) -> Stretch:
    if season == 4:
        both = stretches.months((year - 1, 12), (year + 1, 2), "season")
        return replace(both, unit="range")
    return stretches.months((year, 3 * season), (year, 3 * season + 2), "season")


def _season_years(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    """A winter of two years; any other season of either."""
    season = words.SEASONS[tokens[0]]
    first, _ = real_years(tokens[1], span)
    figures = tokens[2] if len(tokens[2]) > 1 else ""
    last, notes = real_years(figures, span)
    if len(tokens[1]) == 4 and len(figures) == 2:
        last, notes = [first[0] - first[0] % 100 + int(figures)], frozenset()
        last = [year + 100 if year < first[0] else year for year in last]
    if [year + 1 for year in first] != last:
        raise DateProblem("two years that follow each other", _GIVE_RANGE)
    if season == 4:
        held = [stretches.months((year, 12), (year + 1, 2), "season") for year in first]
    else:
        held = [_season(season, year) for year in (*first, *last)]
    return stretches.hull(held).with_notes(notes)


def _seasons_year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    return stretches.hull([_season_year([name, tokens[2]], style, span) for name in tokens[:2]])


def _working_season(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    """A season without a name is some time of its year."""
    return over(tokens[1], span, lambda year: stretches.months((year, 1), (year, 12), "within"))


def _year(tokens: list[str], style: DateStyle, span: Span) -> Stretch:
    if tokens[0].isdecimal() and len(tokens[0]) != 4:
        raise DateProblem("a year of four figures", "write the year with four figures")
    return over(tokens[0], span, stretches.year)


def _turned(reader: Callable[[list[str], DateStyle, Span], Stretch]) -> _Reader:
    return lambda tokens, style, span: reader([*tokens[1:], tokens[0]], style, span)


_Reader = Callable[[list[str], DateStyle, Span], Stretch]
_FORMS: dict[str, _Reader] = {
    "N": _year,
    "NMN": _day_month_year,
    "MNN": _month_day_year,
    "NNM": _year_day_month,
    "MN": _month_year,
    "NM": _year_month,
    "MMN": _months_year,
    "NNMN": _days_month_year,
    "NMNMN": _day_month_twice,
    "SN": _season_year,
    "NS": _turned(_season_year),
    "SNN": _season_years,
    "SSN": _seasons_year,
    "WN": _working_season,
    "NW": _turned(_working_season),
}


def _third(inner: Stretch, part: int) -> Stretch:
    """The first, middle or last third of a year, season or month."""
    if inner.unit == "month":
        first, last = ((1, 10), (11, 20), (21, inner.hi.day))[part - 1]
        return replace(inner, lo=inner.lo.replace(day=first), hi=inner.lo.replace(day=last))
    length = {"year": 4, "season": 1}.get(inner.unit)
    if length is None:
        raise DateProblem("the beginning, middle or end of a year, season or month", _GIVE_RANGE)
    begin = Month.after(inner.lo.year, inner.lo.month, length * (part - 1))
    found = stretches.months(begin, Month.after(*begin, length - 1), "range")
    return found.with_notes(inner.notes - {"year_only"})
