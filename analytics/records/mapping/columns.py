"""One column of an export, read: each distinct text once, whatever it is said to hold.

A text that cannot be read, or that is read otherwise than it stands, becomes
one finding with every row in which it stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.dating.reading import DateProblem, plain_text, read_date
from analytics.records.dating.styles import DateStyle
from analytics.records.files.grids import FileSettings, SheetNumber
from analytics.records.findings import Done, Finding
from analytics.records.mapping.column_words import Meaning, meaning_of
from analytics.records.mapping.fields import Field
from analytics.records.mapping.word_lists import LONGEST
from analytics.records.numbers import Marks, TwoReadings, marks_of
from analytics.records.tables import LARGEST_NUMBER
from analytics.records.vocabulary.phrases import normal

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Column:
    """The cells of one column, with the rows in which they stand.

    Attributes
    ----------
    place : str
        File and sheet, as findings name them.
    header : str
    rows : ndarray of int, shape (n,)
        Row of the file.
    codes : ndarray of int, shape (n,)
        Number of each cell's text among the distinct ones.
    texts : list of str
        The distinct texts, stripped.
    """

    place: str
    header: str
    rows: Ints
    codes: Ints
    texts: list[str]

    @classmethod
    def of(cls, place: str, header: str, rows: Ints, cells: Sequence[str]) -> Column:
        """The column of these cells."""
        array = np.empty(len(cells), dtype=object)
        array[:] = cells
        if all(type(cell) is str for cell in cells):
            written, once = pd.factorize(array)
            stripped, distinct = pd.factorize(np.array([text.strip() for text in once], object))
            return cls(place, header, rows, stripped[written].astype(np.int64), list(distinct))
        # What a spreadsheet holds as a number is another thing than the same figures as text.
        numbers: dict[tuple[bool, str], int] = {}
        codes = np.fromiter(
            (
                numbers.setdefault((type(cell) is SheetNumber, cell.strip()), len(numbers))
                for cell in cells
            ),
            dtype=np.int64,
            count=len(cells),
        )
        texts = [SheetNumber(text) if whole else text for whole, text in numbers]
        return cls(place, header, rows, codes, texts)

    def spread(self, values: Sequence[Any], dtype: str = "object") -> npt.NDArray[Any]:
        """Values of the distinct texts as values of the cells."""
        array = np.empty(len(values), dtype=dtype)
        array[:] = values
        return array[self.codes]

    def finding(
        self,
        which: Sequence[int],
        found: str,
        expected: str,
        done: Done,
        remedy: str,
        sort: str,
    ) -> Finding | None:
        """A finding about every cell with one of these texts; None where no row holds one."""
        rows = self.rows[np.isin(self.codes, which)]
        if not len(rows):
            return None
        first, *also = (int(row) for row in rows)
        return Finding(
            self.place, first, self.header, found, expected, done, remedy, sort, tuple(also)
        )


@dataclass(frozen=True)
class Read:
    """What the cells of a column mean.

    Attributes
    ----------
    values : mapping of str to ndarray, shape (n,)
        By the name of the field, or that name and an ending.
    findings : list of Finding
    unread : mapping of int to Finding
        Rows whose cell cannot be read, and the finding that says so.
    """

    values: Mapping[str, npt.NDArray[Any]]
    findings: list[Finding]
    unread: Mapping[int, Finding]


def read_texts(field: Field, column: Column) -> Read:
    """Cells as they stand."""
    return Read({field.name: column.spread(column.texts)}, _formulas(column), {})


_FORMULA = re.compile(r"[=@]\s*\w|[+\-]\s*[^\W\d]")
"""How a text begins that a spreadsheet would take for a formula; a number with a sign is none."""


def _formulas(column: Column) -> list[Finding]:
    which = [at for at, text in enumerate(column.texts) if _FORMULA.match(text)]
    if not which:
        return []
    finding = column.finding(
        which,
        _examples(column, which),
        "a text",
        "noted",
        "Read as a text. In the files that Tideworn writes it has an apostrophe in front, so that "
        "no spreadsheet runs it.",
        "formula_text",
    )
    return [finding] if finding else []


_AS_READ = {
    "short_year": (
        "a year of four figures",
        "The century is the one that fits the boats and the last day watched.",
    ),
    "day_month_order": (
        "a date of one reading",
        "No date of the file with a number above 12 decides for it, so each is a window with both "
        'readings: set order = "day" or "month" for this file in mapping.toml.',
    ),
    "year_only": ("a day", "Read as the whole year: an invoice or a log would narrow it."),
    "month_or_season_only": (
        "a day",
        "Read as the whole of it, seasons as north of the equator: an invoice or a log would "
        "narrow it.",
    ),
    "serial_date": (
        "a date",
        "Read as a spreadsheet's number of days: look at one of them in the spreadsheet.",
    ),
    "placeholder_date": ("a date", "Many programs write this where nobody knew: read as blank."),
    "fit_assumed_as_built": (
        "when it was fitted",
        "Read as fitted between the boat's building and the first day it was watched.",
    ),
}
"""What was expected and what is done, by the sort of a date that is read with a reservation."""

_STILL_FITTED = frozenset(
    {
        *("still in", "still fitted", "in service", "in use", "fitted", "current", "present"),
        *("in betrieb", "eingebaut", "en service", "en place", "en servicio", "in servizio"),
    }
)
"""What stands in the place of a removal's date while the part is in place."""

_ASSUMED = {"day_month_order", "year_only", "month_or_season_only", "fit_assumed_as_built"}


def read_dates(
    field: Field,
    column: Column,
    style: DateStyle,
    earliest: date | None,
    latest: date | None,
) -> Read:
    """Cells as windows of days: `NAME` in the plain writing, `NAME_lo` and `NAME_hi` as days."""
    plain: list[str] = []
    lows: list[np.datetime64] = []
    highs: list[np.datetime64] = []
    noted: dict[str, list[int]] = {}
    nat = np.datetime64("NaT")
    findings: list[Finding] = []
    unread: dict[int, Finding] = {}
    for number, text in enumerate(column.texts):
        window = None
        if text and not (field.name == "removed_on" and normal(text) in _STILL_FITTED):
            try:
                read = read_date(text, style, earliest, latest)
                window = read.window
                for note in read.notes:
                    noted.setdefault(note, []).append(number)
            except DateProblem as problem:
                remedy = f"{problem.remedy[:1].upper()}{problem.remedy[1:]}."
                _tell_unread(column, number, text, problem.expected, remedy, findings, unread)
        plain.append(plain_text(window))
        lows.append(nat if window is None else np.datetime64(window.lo))
        highs.append(nat if window is None else np.datetime64(window.hi))
    for sort in sorted(noted):
        expected, remedy = _AS_READ[sort]
        done: Done = "assumed" if sort in _ASSUMED else "noted"
        which = noted[sort]
        finding = column.finding(which, _examples(column, which), expected, done, remedy, sort)
        findings += [finding] if finding else []
    values = {
        field.name: column.spread(plain),
        f"{field.name}_lo": column.spread(lows, "datetime64[D]").astype("datetime64[ns]"),
        f"{field.name}_hi": column.spread(highs, "datetime64[D]").astype("datetime64[ns]"),
    }
    if "fit_assumed_as_built" in noted:
        built = np.isin(column.codes, noted["fit_assumed_as_built"])
        values[f"{field.name}_as_built"] = built
    return Read(values, findings, unread)


_NUMBER = re.compile(
    r"(?:[A-Z]{3}\b|[$€£¥])?\s*(?P<number>[+\-]?[\d.,'’\s]*\d[\d.,]*)\s*(?:[^\W\d_]{1,8}\.?|[$€£¥%°])?"
)
"""A number with a sign or code of a currency before it, or a unit behind it."""


def number_text(text: str) -> str:
    """A text without the currency or the unit beside its number."""
    if type(text) is not str or text.isdecimal():
        return text
    found = _NUMBER.fullmatch(text)
    return found["number"].strip() if found else text


def read_numbers(field: Field, column: Column, chosen: FileSettings, of_file: Marks) -> Read:
    """Cells as numbers, NaN where blank.

    Parameters
    ----------
    field : Field
    column : Column
    chosen : FileSettings
    of_file : Marks
        Those of all numbers of the file, for a column of which no cell decides.
    """
    texts = [number_text(text) for text in column.texts]
    marks = marks_of([text for text in texts if type(text) is str], chosen)
    if not marks.decimal:
        marks = replace(marks, decimal=of_file.decimal)
    numbers: list[float] = []
    findings: list[Finding] = []
    unread: dict[int, Finding] = {}
    for number, text in enumerate(column.texts):
        value = float("nan")
        if text:
            try:
                value = marks.value(texts[number])
                if not 0 <= value <= LARGEST_NUMBER:
                    raise ValueError("out of range")
            except TwoReadings as either:
                value = float("nan")
                _tell_unread(
                    column,
                    number,
                    text,
                    f"a number of one reading, where this may be {either}",
                    "No other number of the file decides: set decimal for it in fleet.toml. Until "
                    "then the cell is read as blank.",
                    findings,
                    unread,
                    "number_two_readings",
                )
            except ValueError:
                value = float("nan")
                _tell_unread(
                    column,
                    number,
                    text,
                    f"a number from 0 to {LARGEST_NUMBER:,.0f}",
                    "Write it as digits and a decimal mark. Until then the cell is read as blank.",
                    findings,
                    unread,
                )
        numbers.append(value)
    return Read({field.name: column.spread(numbers, "float64")}, findings, unread)


def read_words(
    field: Field, column: Column, listed: Mapping[str, str], decided: Mapping[str, str]
) -> Read:
    """Cells by the word lists; what a person said of a text, in the mapping or since, comes first.

    Gives `NAME`, the word of the plain layout or blank, `NAME_text`, what stands
    in the file, and for some fields further columns (see `column_words.Meaning.more`).
    """
    alike = {plain: word for text, word in listed.items() if (plain := normal(text[:LONGEST]))}

    def said(text: str) -> str | None:
        if not (listed or decided) or len(text) > LONGEST:
            return None
        return decided.get(text, listed.get(text, alike.get(normal(text))))

    meanings: list[Meaning] = [meaning_of(field.holds, text, said(text)) for text in column.texts]
    findings: list[Finding] = []
    unread: dict[int, Finding] = {}
    for number, (text, meaning) in enumerate(zip(column.texts, meanings, strict=True)):
        if meaning.problem:
            _tell_unread(
                column,
                number,
                text,
                meaning.expected,
                meaning.problem,
                findings,
                unread,
                meaning.sort or "words_unknown",
            )
        elif meaning.says:
            sort = meaning.sort or "cause_in_free_text"
            finding = column.finding([number], text, meaning.expected, "noted", meaning.says, sort)
            findings += [finding] if finding else []
    values = {
        field.name: column.spread([meaning.word for meaning in meanings]),
        f"{field.name}_text": column.spread(column.texts),
    }
    for name in sorted({name for meaning in meanings for name in meaning.more}):
        more = [meaning.more.get(name, "") for meaning in meanings]
        values[f"{field.name}_{name}"] = column.spread(more)
    return Read(values, findings, unread)


def with_sides_said(
    read: Read, column: Column, listed: Mapping[str, str], decided: Mapping[str, str]
) -> Read:
    """The same words for parts, with the sides that a person said they name."""
    said = [decided.get(text, listed.get(text, "")) for text in column.texts]
    if not any(said):
        return read
    sides = column.spread(said)
    before = read.values.get("kind_position", np.full(len(sides), "", dtype=object))
    values = {**read.values, "kind_position": np.where(sides != "", sides, before)}
    return Read(values, read.findings, read.unread)


def _tell_unread(
    column: Column,
    number: int,
    text: str,
    expected: str,
    remedy: str,
    findings: list[Finding],
    unread: dict[int, Finding],
    sort: str = "cell_unreadable",
) -> None:
    finding = column.finding([number], text, expected, "assumed", remedy, sort)
    if finding:
        findings.append(finding)
        unread |= dict.fromkeys(finding.rows, finding)


def _examples(column: Column, which: Sequence[int], most: int = 3) -> str:
    """Some of the texts; they stand as they are, so that they can be looked for."""
    # In an order of their own: that of the rows may change from one export to the next.
    texts = sorted(column.texts[number] for number in which)[:most]
    more = len(which) - len(texts)
    return ", ".join(texts) + (f" and {more} more" if more else "")
