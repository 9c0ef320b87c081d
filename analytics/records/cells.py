"""Cells of a file checked one by one: text into typed columns, wrong ones into findings."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from typing import Any

from analytics.records import dates
from analytics.records.csv_rows import CsvRows
from analytics.records.findings import Done, Finding
from analytics.records.spelling import Spelling
from analytics.records.tables import LARGEST_NUMBER, Column, Table, as_word

Row = dict[str, Any]

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")


@dataclass(frozen=True)
class CheckedRows:
    """The rows of one file that can be used, and what became of the others.

    Attributes
    ----------
    rows : list of dict
        Typed cells by column name, `row` being the line of the file.
    findings : list of Finding
        One per wrong cell.
    rejected, ignored : dict of int to Finding
        Lines left out and the finding that says why; no line is in both.
    texts : dict of int to dict
        The cells of each line as they stood, for the rejected file.
    """

    table: Table
    rows: list[Row]
    findings: list[Finding]
    rejected: dict[int, Finding]
    ignored: dict[int, Finding]
    texts: dict[int, dict[str, str]]

    @classmethod
    def none(cls, table: Table) -> CheckedRows:
        """What a file that is missing gives."""
        return cls(table, [], [], {}, {}, {})

    def say(
        self, line: int, field: str, found: object, expected: str, done: Done, remedy: str
    ) -> Finding:
        """Add a finding about one cell of a line, or about the line (no field)."""
        text = "" if found is None else str(found)
        finding = Finding(self.table.file, line, field, text, expected, done, remedy)
        self.findings.append(finding)
        return finding

    def reject(self, line: int, field: str, found: object, expected: str, remedy: str) -> None:
        """Leave a line out because something on it is wrong; the first reason counts."""
        finding = self.say(line, field, found, expected, "rejected", remedy)
        self.rejected.setdefault(line, finding)

    def ignore(self, line: int, found: object, expected: str, remedy: str) -> None:
        """Leave a line out although nothing on it is wrong."""
        self.ignored[line] = self.say(line, "", found, expected, "ignored", remedy)


def check_rows(table: Table, read: CsvRows) -> CheckedRows:
    """Turn rows of text into typed rows, finding by finding.

    Blank rows are ignored; a row with a wrong vital cell or a blank required
    one is rejected; any other wrong cell is read as blank and noted.
    """
    checked = CheckedRows(table, [], list(read.findings), {}, {}, dict(read.rows))
    blank: Row = {"row": 0}
    for column in table.columns:
        blank |= _BLANK[column.holds](column.name)
    # An export says the same things over and over: each text of a column is read once.
    readers = [
        (column, cache(partial(_cell, column)))
        for column in table.columns
        if column.name in read.header
    ]
    for line, cells in read.rows:
        if not any(cells.values()):
            checked.ignored[line] = Finding(
                table.file, line, "", "", "a row with something in it", "ignored", "Nothing to do."
            )
            continue
        row = blank.copy()
        row["row"] = line
        for column, reader in readers:
            text = cells[column.name]
            try:
                if text:
                    row.update(reader(text))
                elif column.required:
                    raise _WrongCell("something in this column", "Fill it in.")
            except _WrongCell as wrong:
                _say_wrong(checked, line, column, text, wrong)
        if line not in checked.rejected:
            checked.rows.append(row)
    return checked


class _WrongCell(ValueError):
    """What would have been right, and what to do.

    `placeholder` marks a date that means "not known": right as a blank, not as a date.
    """

    def __init__(self, expected: str, remedy: str, *, placeholder: bool = False) -> None:
        self.expected, self.remedy, self.placeholder = expected, remedy, placeholder
        super().__init__(expected)


def _say_wrong(
    checked: CheckedRows, line: int, column: Column, text: str, wrong: _WrongCell
) -> None:
    if column.required or (column.vital and not wrong.placeholder):
        checked.reject(line, column.name, text, wrong.expected, wrong.remedy)
        return
    checked.say(
        line,
        column.name,
        text,
        wrong.expected,
        "assumed" if wrong.placeholder else "ignored",
        f"{wrong.remedy} Until then the cell is read as blank.",
    )


_BLANK: dict[str, Callable[[str], Row]] = {
    "text": lambda name: {name: ""},
    "word": lambda name: {name: ""},
    "choice": lambda name: {name: ""},
    "number": lambda name: {name: float("nan")},
    "window": lambda name: {f"{name}_lo": None, f"{name}_hi": None},
}


def _cell(column: Column, text: str) -> Row:
    match column.holds:
        case "window":
            lo, hi = _window(text)
            return {f"{column.name}_lo": lo, f"{column.name}_hi": hi}
        case "number":
            return {column.name: _number(text)}
        case "choice":
            return {column.name: _choice(column, text)}
        case "word":
            return {column.name: as_word(text)}
        case "text":
            return {column.name: text}


def _window(text: str) -> tuple[date, date]:
    try:
        window = dates.parse_window(text)
    except ValueError as error:
        said = str(error)
        note = "" if said.startswith("not ") else f" ({said})"
        raise _WrongCell(dates.EXPECTED, f"Write the date as year-month-day{note}.") from None
    if window is None:
        raise _WrongCell(
            "a date",
            "Many programs write this where nobody knew the date: give it if you do.",
            placeholder=True,
        )
    first, last = dates.FIRST_YEAR, dates.LAST_YEAR
    if not first <= window.lo.year <= window.hi.year <= last:
        raise _WrongCell(f"a year from {first} to {last}", "Correct the year.")
    return window.lo, window.hi


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text):
        raise _WrongCell(
            "a number such as 1234.5",
            "Write it without unit or thousands mark and with a decimal point.",
        )
    value = float(text)
    if value < 0:
        raise _WrongCell("a number of 0 or more", "Correct the sign.")
    if value > LARGEST_NUMBER:
        raise _WrongCell(f"a number up to {LARGEST_NUMBER:,.0f}", "Correct the number.")
    return value


def _choice(column: Column, text: str) -> str:
    word = as_word(text)
    if word not in column.choices:
        hint = Spelling(column.choices, 0.6).hint(word).strip() or "Use one of these words."
        raise _WrongCell("one of " + ", ".join(column.choices) + " or blank", hint)
    return word
