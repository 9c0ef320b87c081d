"""What the cells of a column look like, whatever its header says."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import median

from analytics.records.dates import Window
from analytics.records.dating.problems import DateProblem
from analytics.records.dating.reading import DateRead, read_date
from analytics.records.dating.styles import DateStyle, StyleEvidence, style_of
from analytics.records.files.grids import Grid
from analytics.records.mapping.fields import Holds
from analytics.records.mapping.header_rows import HeaderRow
from analytics.records.mapping.word_lists import Word, read_word
from analytics.records.numbers import Marks, TwoReadings
from analytics.records.vocabulary.sizes import size_of

MOST_ROWS = 20_000
"""Rows that are looked at; of a longer table as many as fit, evenly spaced."""

MOST_TEXTS = 500
"""Different texts of a column that a person is shown with how they are read."""

_MOST_TRIED = 120
"""Different texts of a column that are tried, to see what it holds."""

_MOST_STYLED = 2_000
"""Different texts of a column by which it is judged how dates are written."""

_EXAMPLES = 5

_NUMBER = re.compile(
    r"(?:[€$£]|eur|usd|gbp)?\s*(.*?)\s*(?:[€$£%]|[^\W\d_]{1,4}\.?)?", re.IGNORECASE
)


@dataclass(frozen=True)
class Contents:
    """The cells of one column.

    Attributes
    ----------
    header : str
    place : int
        Which column, the first being 0.
    counts : tuple of (str, int)
        Every different text and how often it stands there, the most frequent
        first and then by the alphabet, so that the order of rows says nothing.
    blank : int
        Rows without a text.
    """

    header: str
    place: int
    counts: tuple[tuple[str, int], ...]
    blank: int

    @cached_property
    def held(self) -> int:
        """Rows with a text."""
        return sum(times for _, times in self.counts)

    @property
    def distinct(self) -> int:
        """Different texts."""
        return len(self.counts)

    @property
    def examples(self) -> tuple[str, ...]:
        """A few different texts, the most frequent first."""
        return tuple(text for text, _ in self.counts[:_EXAMPLES])

    @cached_property
    def style(self) -> tuple[DateStyle, StyleEvidence]:
        """How dates are written in it, and what says so."""
        step = -(-self.distinct // _MOST_STYLED) or 1
        return style_of([text for text, _ in self.counts[::step]])

    def date(self, text: str) -> DateRead | None:
        """A text read as a date, None where it is none."""
        try:
            return read_date(text, self.style[0])
        except DateProblem:
            return None

    def window(self, text: str) -> Window | None:
        """The days that a text can mean as a date."""
        read = self.date(text)
        return read.window if read else None

    @cached_property
    def dates(self) -> float:
        """Share of the cells that are dates written with more than a plain number."""
        return self._share(lambda text: not _is_figures(text) and self.window(text) is not None)

    @cached_property
    def dates_or_figures(self) -> float:
        """Share of the cells that a column of dates may hold: years, and words for not known."""
        return self._share(lambda text: self.date(text) is not None)

    @cached_property
    def numbers(self) -> float:
        """Share of the cells that are numbers, with or without a unit."""
        return self._share(is_number)

    @cached_property
    def sizes(self) -> float:
        """Share of the cells that are shaft sizes."""
        return self._share(lambda text: size_of(text) is not None)

    @cached_property
    def middle(self) -> float:
        """Median of the numbers among the texts, 0 where there is none."""
        values = [float(text) for text, _ in self.counts[:_MOST_TRIED] if text.isdecimal()]
        return median(values) if values else 0.0

    @cached_property
    def length(self) -> float:
        """Characters of a text, on average."""
        return self._mean(lambda text: float(len(text)))

    def read_by(self, holds: Holds) -> float:
        """Share of the cells that a word list reads."""
        if holds not in self._read:
            self._read[holds] = self._share(lambda text: bool(read_word(holds, text).read_as))
        return self._read[holds]

    def words(self, holds: Holds) -> list[tuple[str, int, Word]]:
        """The texts as a word list reads them, with how often each stands there."""
        return [(text, times, read_word(holds, text)) for text, times in self.counts[:MOST_TEXTS]]

    def among(self, names: frozenset[str]) -> float:
        """Share of the cells that are one of these names, in small letters."""
        return self._share(lambda text: text.casefold() in names) if names else 0.0

    @cached_property
    def _read(self) -> dict[Holds, float]:
        return {}

    @cached_property
    def _tried(self) -> tuple[tuple[str, int], ...]:
        often = self.counts[: _MOST_TRIED // 2]
        rest = self.counts[_MOST_TRIED // 2 :]
        step = -(-len(rest) // (_MOST_TRIED // 2)) or 1
        return (*often, *rest[::step])

    def _share(self, true_of: Callable[[str], bool]) -> float:
        return self._mean(lambda text: float(true_of(text)))

    def _mean(self, value: Callable[[str], float]) -> float:
        tried = self._tried
        total = sum(times for _, times in tried)
        return sum(value(text) * times for text, times in tried) / total if total else 0.0


@dataclass(frozen=True)
class Table:
    """A sheet whose headers are found, and what its columns look like.

    Attributes
    ----------
    grid : Grid
    header : HeaderRow
    columns : tuple of Contents
    rows : tuple of list of str
        The rows that were looked at.
    """

    grid: Grid
    header: HeaderRow
    columns: tuple[Contents, ...]
    rows: tuple[Sequence[str], ...]


def table_of_contents(grid: Grid, header: HeaderRow) -> Table:
    """Look at the rows below the headers.

    Raises
    ------
    FleetError
        If the text breaks off.
    """
    rows = _evenly(grid, header)
    columns = []
    for place, name in enumerate(header.headers):
        texts = Counter(row[place] for row in rows if place < len(row))
        texts.pop("", None)
        counts = tuple(sorted(texts.items(), key=lambda item: (-item[1], item[0])))
        columns.append(Contents(name, place, counts, len(rows) - texts.total()))
    return Table(grid, header, tuple(columns), tuple(rows))


def is_number(text: str) -> bool:
    """True for a number, whatever its marks and its unit."""
    match = _NUMBER.fullmatch(text)
    try:
        Marks().value(match[1] if match else text)
    except TwoReadings:
        return True
    except ValueError:
        return False
    return True


def _is_figures(text: str) -> bool:
    return text.replace(".", "", 1).replace(",", "", 1).isdecimal()


def _evenly(grid: Grid, header: HeaderRow) -> list[Sequence[str]]:
    """Rows below the header that hold something, every second left out as often as needed."""
    kept: list[Sequence[str]] = []
    step, met = 1, 0
    for line, cells in grid.rows():
        if line <= header.line or not any(cells):
            continue
        row = [cell.strip() for cell in cells]
        if not any(row):
            continue
        if met % step == 0:
            kept.append(row)
            if len(kept) > MOST_ROWS:
                kept, step = kept[::2], 2 * step
        met += 1
    return kept
