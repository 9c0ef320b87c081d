"""Quarters, halves and weeks of a year, by their numbers."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta

from analytics.records.dating import stretches, words
from analytics.records.dating.figures import over
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.spans import Span
from analytics.records.dating.stretches import Stretch

TOKEN = re.compile(r"'?[0-9]+|[a-z]+")
STRANGE = re.compile(r"[^a-z0-9' ,.()/-]")

_QUARTERS = (
    r"\b[qt]([1-4])\b|\b([1-4])q|\b([1-4])\.? ?(?:quarter|qtr|quartal|trimestre|trim|kwartaal)\b"
    r"|\b(?:quarter|qtr|quartal|trimestre|kwartaal) ?([1-4])\b"
)
_HALVES = r"\bh([12])\b|\b([12])h|\b([12])\.? ?(?:half|halbjahr|semestre|semester|halfjaar)\b"
_WEEKS = (
    r"(?<![a-z])w([0-9]{2})(?:-?([1-7]))?\b"
    r"|\b(?:wk|week|kw|cw|woche|semaine|sem|semana|settimana) ?\.?([0-9]{1,2})\b"
)


def numbered_part(text: str, span: Span) -> Stretch | None:
    """A quarter, a half or a week of a year."""
    spelt = " ".join(str(words.ORDINALS.get(word, word)) for word in text.split(" "))
    for pattern, of_year in _NUMBERED:
        if match := pattern.search(spelt):
            rest = f"{spelt[: match.start()]} {spelt[match.end() :]}"
            tokens = [token for token in TOKEN.findall(rest) if token not in words.FILLERS]
            if len(tokens) == 1 and tokens[0][-1].isdecimal() and not STRANGE.search(rest):
                numbers = [int(group) for group in match.groups() if group]
                return over(tokens[0], span, lambda year: of_year(year, numbers))  # noqa: B023
    return None


def _quarter(year: int, numbers: list[int]) -> Stretch:
    last = 3 * numbers[0]
    return stretches.months((year, last - 2), (year, last), "season")


def _half(year: int, numbers: list[int]) -> Stretch:
    last = 6 * numbers[0]
    return stretches.months((year, last - 5), (year, last), "range")


def _week(year: int, numbers: list[int]) -> Stretch:
    """A week by ISO 8601, or a day of it."""
    try:
        if len(numbers) == 2:
            found = date.fromisocalendar(year, numbers[0], numbers[1])
            return Stretch(found, found, "day")
        lo = date.fromisocalendar(year, numbers[0], 1)
    except ValueError:
        raise DateProblem("a week from 1 to 53", f"{year} has no such week; correct it") from None
    note = frozenset({"month_or_season_only"})
    return Stretch(lo, lo + timedelta(days=6), "range", note)


_NUMBERED: tuple[tuple[re.Pattern[str], Callable[[int, list[int]], Stretch]], ...] = (
    (re.compile(_QUARTERS), _quarter),
    (re.compile(_HALVES), _half),
    (re.compile(_WEEKS), _week),
)
