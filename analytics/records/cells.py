"""Cells of a file checked one by one: text into typed columns, wrong ones into findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache, partial
from typing import Any

from analytics.records import dates
from analytics.records.findings import Done, Finding, of_rows
from analytics.records.numbers import PLAIN, Marks, TwoReadings, marks_of
from analytics.records.spelling import Spelling
from analytics.records.table_rows import TableRows
from analytics.records.tables import LARGEST_NUMBER, Column, Table, as_word
from analytics.records.totals import is_totals_row, may_be_totals

Row = dict[str, Any]


@dataclass(frozen=True)
class CheckedRows:
    """The rows of one file that can be used, and what became of the others.

    Attributes
    ----------
    table : Table
    place : str
        The user's file, and the sheet where there is one, as findings name them.
    rows : list of dict
        Typed cells by column name, `row` being the row of the file.
    findings : list of Finding
        One per wrong cell.
    rejected, ignored : dict of int to Finding
        Lines left out and the finding that says why; no line is in both.
    texts : dict of int to dict
        The cells of each line as they stood, for the rejected file.
    marks : mapping of str to Marks
        The marks within the numbers of each column that holds some.
    where : callable
        How findings name a row by its number, such as "row 12".
    """

    table: Table
    place: str
    rows: list[Row]
    findings: list[Finding]
    rejected: dict[int, Finding]
    ignored: dict[int, Finding]
    texts: dict[int, dict[str, str]]
    marks: Mapping[str, Marks] = field(default_factory=dict)
    where: Callable[[int], str] = "row {}".format

    @classmethod
    def none(cls, table: Table) -> CheckedRows:
        """What a file that is missing gives."""
        return cls(table, table.file, [], [], {}, {}, {})

    def say(
        self,
        line: int,
        field: str,
        found: object,
        expected: str,
        done: Done,
        remedy: str,
        *,
        sort: str = "",
    ) -> Finding:
        """Add a finding about one cell of a line, or about the line (no field)."""
        text = "" if found is None else str(found)
        finding = Finding(self.place, line, field, text, expected, done, remedy, sort)
        self.findings.append(finding)
        return finding

    def say_of(
        self,
        lines: Iterable[int],
        field: str,
        found: object,
        expected: str,
        done: Done,
        remedy: str,
        *,
        sort: str = "",
    ) -> None:
        """Add one finding that is true of several lines; none where there is no line."""
        text = "" if found is None else str(found)
        finding = Finding(self.place, None, field, text, expected, done, remedy, sort)
        self.findings.extend(of_rows(finding, lines))

    def reject(
        self, line: int, field: str, found: object, expected: str, remedy: str, *, sort: str = ""
    ) -> None:
        """Leave a line out because something on it is wrong; the first reason counts."""
        finding = self.say(line, field, found, expected, "rejected", remedy, sort=sort)
        self.rejected.setdefault(line, finding)

    def ignore(
        self, line: int, found: object, expected: str, remedy: str, *, sort: str = ""
    ) -> None:
        """Leave a line out although nothing on it is wrong."""
        self.ignored[line] = self.say(line, "", found, expected, "ignored", remedy, sort=sort)


def check_rows(table: Table, read: TableRows) -> CheckedRows:
    """Turn rows of text into typed rows, finding by finding.

    Blank rows and totals are ignored; a row with a wrong vital cell or a blank
    required one is rejected; any other wrong cell is read as blank and noted.
    """
    marks = {
        column.name: marks_of(_texts(read, column), read.grid.chosen)
        for column in table.columns
        if column.holds == "number" and column.name in read.header
    }
    place = read.grid.place
    checked = CheckedRows(
        table, place, [], list(read.findings), {}, {}, dict(read.rows), marks, read.where
    )
    blank: Row = {"row": 0}
    for column in table.columns:
        blank |= _BLANK[column.holds](column.name)
    # An export says the same things over and over: each text of a column is read once.
    # Typed, because a number of a spreadsheet and the same text in it are read apart.
    readers = [
        (column, lru_cache(None, typed=True)(partial(_cell, column, marks.get(column.name, PLAIN))))
        for column in table.columns
        if column.name in read.header
    ]
    may_head = lru_cache(None)(may_be_totals)
    for line, cells in read.rows:
        first = next(filter(None, cells.values()), None)
        if first is None:
            checked.ignored[line] = Finding(
                place,
                line,
                "",
                "",
                "a row with something in it",
                "ignored",
                "Nothing to do.",
                "totals_and_titles",
            )
            continue
        if may_head(first) and is_totals_row(table, cells):
            checked.ignore(
                line,
                ", ".join(text for text in cells.values() if text),
                f"a row that is {table.row_is}",
                f"Taken for a row of totals. If it is a record, fill in {', '.join(table.needed)}.",
                sort="totals_and_titles",
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


def _texts(read: TableRows, column: Column) -> set[str]:
    name = column.name
    if not read.grid.sheet:
        return {cells[name] for _, cells in read.rows}
    return {cells[name] for _, cells in read.rows if type(cells[name]) is str}


class _WrongCell(ValueError):
    """What would have been right, what to do, and the sort of finding it is.

    A date that means "not known" is right as a blank, not as a date.
    """

    def __init__(self, expected: str, remedy: str, sort: str = "cell_unreadable") -> None:
        self.expected, self.remedy, self.sort = expected, remedy, sort
        super().__init__(expected)

    @property
    def placeholder(self) -> bool:
        """True for a date that means "not known"."""
        return self.sort == "placeholder_date"


def _say_wrong(
    checked: CheckedRows, line: int, column: Column, text: str, wrong: _WrongCell
) -> None:
    if column.required or (column.vital and not wrong.placeholder):
        checked.reject(line, column.name, text, wrong.expected, wrong.remedy, sort=wrong.sort)
        return
    checked.say(
        line,
        column.name,
        text,
        wrong.expected,
        "assumed" if wrong.placeholder else "ignored",
        f"{wrong.remedy} Until then the cell is read as blank.",
        sort=wrong.sort,
    )


_BLANK: dict[str, Callable[[str], Row]] = {
    "text": lambda name: {name: ""},
    "word": lambda name: {name: ""},
    "choice": lambda name: {name: ""},
    "number": lambda name: {name: float("nan")},
    "window": lambda name: {f"{name}_lo": None, f"{name}_hi": None},
}


def _cell(column: Column, marks: Marks, text: str) -> Row:
    match column.holds:
        case "window":
            lo, hi = _window(text)
            return {f"{column.name}_lo": lo, f"{column.name}_hi": hi}
        case "number":
            return {column.name: _number(text, marks)}
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
            "placeholder_date",
        )
    first, last = dates.FIRST_YEAR, dates.LAST_YEAR
    if not first <= window.lo.year <= window.hi.year <= last:
        raise _WrongCell(f"a year from {first} to {last}", "Correct the year.")
    return window.lo, window.hi


def _number(text: str, marks: Marks) -> float:
    try:
        value = marks.value(text)
    except TwoReadings as either:
        raise _WrongCell(
            f"a number of one reading, where this may be {either}",
            "No other cell of the column decides: set decimal for this file in fleet.toml.",
            "number_two_readings",
        ) from None
    except ValueError:
        raise _WrongCell(
            "a number such as 1234.5", "Write it as digits and a decimal mark, without a unit."
        ) from None
    if value < 0:
        raise _WrongCell("a number of 0 or more", "Correct the sign.")
    if value > LARGEST_NUMBER:
        raise _WrongCell(f"a number up to {LARGEST_NUMBER:,.0f}", "Correct the number.")
    return value


def _choice(column: Column, text: str) -> str:
    word = as_word(text)
    if word not in column.choices:
        hint = Spelling(column.choices, 0.6).hint(word).strip() or "Use one of these words."
        by_number = column.name == "position" and word.isdecimal()
        raise _WrongCell(
            "one of " + ", ".join(column.choices) + " or blank",
            hint,
            "side_by_number" if by_number else "words_unknown",
        )
    return word
