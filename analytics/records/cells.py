"""Cells of a file checked one by one: text into typed columns, wrong ones into findings."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from typing import Any

from analytics.records import dates
from analytics.records.csv_rows import CsvRows
from analytics.records.findings import Finding
from analytics.records.tables import Column, Table

FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Years outside these are taken for slips of the pen."""

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)$")


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
        Lines left out and the finding that says why.
    texts : dict of int to str
        The cells of each line as they stood, for the rejected file.
    """

    table: Table
    rows: list[dict[str, Any]]
    findings: list[Finding]
    rejected: dict[int, Finding]
    ignored: dict[int, Finding]
    texts: dict[int, dict[str, str]]


def check_rows(table: Table, read: CsvRows) -> CheckedRows:
    """Turn rows of text into typed rows, finding by finding.

    Blank rows are ignored; a row with a wrong vital cell or a blank required
    one is rejected; any other wrong cell is read as blank and noted.
    """
    checked = CheckedRows(table, [], list(read.findings), {}, {}, dict(read.rows))
    for line, cells in read.rows:
        if not any(cells.values()):
            checked.ignored[line] = Finding(
                table.file, line, "", "", "a row with something in it", "ignored", "Nothing to do."
            )
            continue
        typed = _row(table, line, cells, checked)
        if typed is not None:
            checked.rows.append(typed)
    return checked


def _row(
    table: Table, line: int, cells: dict[str, str], checked: CheckedRows
) -> dict[str, Any] | None:
    typed: dict[str, Any] = {"row": line}
    rejected = False
    for column in table.columns:
        text = cells.get(column.name, "")
        try:
            typed.update(_cell(column, text))
            if dates.is_placeholder(text) and column.holds == "window":
                checked.findings.append(
                    Finding(table.file, line, column.name, text, "a date", "assumed",
                            "This date stands for 'not known' in many programs and is read as blank.")
                )  # fmt: skip
            if column.required and not text:
                raise _WrongCell("something in this column", "Fill it in.")
        except _WrongCell as wrong:
            reject = column.vital or column.required
            finding = Finding(
                table.file,
                line,
                column.name,
                text,
                wrong.expected,
                "rejected" if reject else "ignored",
                wrong.remedy if reject else f"{wrong.remedy} Until then the cell is read as blank.",
            )
            checked.findings.append(finding)
            typed.update(_cell(column, ""))
            if reject:
                checked.rejected.setdefault(line, finding)
                rejected = True
    return None if rejected else typed


class _WrongCell(ValueError):
    def __init__(self, expected: str, remedy: str) -> None:
        self.expected, self.remedy = expected, remedy
        super().__init__(expected)


def _cell(column: Column, text: str) -> dict[str, Any]:
    if column.holds == "window":
        lo, hi = _window(text)
        return {f"{column.name}_lo": lo, f"{column.name}_hi": hi}
    if column.holds == "number":
        return {column.name: _number(text)}
    if column.holds == "choice":
        return {column.name: _choice(column, text)}
    return {column.name: text}


def _window(text: str) -> tuple[date | None, date | None]:
    try:
        window = dates.parse_window(text)
    except ValueError as error:
        said = str(error)
        note = "" if said.startswith("not ") else f" ({said})"
        raise _WrongCell(dates.EXPECTED, f"Write the date as year-month-day{note}.") from None
    if window is None:
        return None, None
    if not FIRST_YEAR <= window.lo.year <= window.hi.year <= LAST_YEAR:
        raise _WrongCell(f"a year from {FIRST_YEAR} to {LAST_YEAR}", "Correct the year.")
    return window.lo, window.hi


def _number(text: str) -> float:
    if not text:
        return float("nan")
    if not _NUMBER.match(text):
        raise _WrongCell(
            "a number such as 1234.5",
            "Write it without unit or thousands mark and with a decimal point.",
        )
    if (value := float(text)) < 0:
        raise _WrongCell("a number of 0 or more", "Correct the sign.")
    return value


def _choice(column: Column, text: str) -> str:
    word = text.lower().replace(" ", "_")
    if word and word not in column.choices:
        close = get_close_matches(word, column.choices, n=1)
        hint = f"Did you mean '{close[0]}'?" if close else "Use one of these words."
        raise _WrongCell("one of " + ", ".join(column.choices) + " or blank", hint)
    return word
