"""The bytes of a CSV file as rows of text, each with the line it stands on."""

from __future__ import annotations

import csv
import io
import unicodedata
from dataclasses import dataclass

from analytics.records.findings import Finding, FleetError
from analytics.records.tables import Table, as_word

BIGGEST_FILE = 200_000_000
"""Bytes; far above any fleet's export, and a stop for a wrong file dropped by accident."""


@dataclass(frozen=True)
class CsvRows:
    """Rows of one file.

    Attributes
    ----------
    header : list of str
        Column names in lower case.
    rows : list of (int, dict of str to str)
        Line of the file on which the row begins (header being line 1) and the
        cells by column, stripped.
    findings : list of Finding
        What was noticed on the way.
    """

    header: list[str]
    rows: list[tuple[int, dict[str, str]]]
    findings: list[Finding]


def read_rows(table: Table, content: bytes) -> CsvRows:
    """Read a comma-separated file in the plain layout.

    Parameters
    ----------
    table : Table
        Which file it should be.
    content : bytes
        UTF-8, or Windows-1252 where it is not UTF-8.

    Raises
    ------
    FleetError
        If the content is no CSV text or a column that is needed is missing.
    """
    findings: list[Finding] = []
    text = _decoded(table, content, findings)
    lines = csv.reader(io.StringIO(text, newline=""), strict=True)
    line = 1
    try:
        header = [as_word(name) for name in next(lines, [])]
        _check_header(table, header, findings)
        named = [(at, name) for at, name in enumerate(header) if name]
        rows: list[tuple[int, dict[str, str]]] = []
        line = lines.line_num + 1
        for cells in lines:
            if len(cells) < len(header):
                cells += [""] * (len(header) - len(cells))
            elif extra := [cell for cell in cells[len(header) :] if cell.strip()]:
                findings.append(_extra_cells(table, line, extra, len(header)))
            rows.append((line, {name: cells[at].strip() for at, name in named}))
            line = lines.line_num + 1
    except csv.Error as error:
        raise FleetError.because(
            table.file,
            line,
            found=str(error),
            expected="a comma-separated text file",
            remedy="Look for an unclosed quote on this row or above it, "
            "or save the sheet as CSV again.",
        ) from None
    return CsvRows(header, rows, findings)


def _decoded(table: Table, content: bytes, findings: list[Finding]) -> str:
    if len(content) > BIGGEST_FILE:
        raise FleetError.because(
            table.file,
            None,
            found=f"{len(content):,} bytes",
            expected=f"at most {BIGGEST_FILE:,} bytes",
            remedy="Check that this is the right file, or split the export by base.",
        )
    # A spreadsheet or a picture renamed to .csv gives itself away by zero bytes.
    if b"\x00" in content:
        raise FleetError.because(
            table.file,
            None,
            found="binary content",
            expected="a comma-separated text file",
            remedy="Open it in the program it came from and save the sheet as CSV (UTF-8).",
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        findings.append(
            Finding(
                table.file,
                None,
                "",
                "text that is not UTF-8",
                "UTF-8",
                "assumed",
                "Read as Windows-1252; save as UTF-8 if names look wrong.",
            )
        )
        text = content.decode("cp1252", errors="replace")
    # An accent written as a mark of its own looks the same, and must be the same name.
    return unicodedata.normalize("NFC", text)


def _check_header(table: Table, header: list[str], findings: list[Finding]) -> None:
    known = {column.name for column in table.columns}
    missing = [name for name in table.needed if name not in header]
    if missing:
        found = ", ".join(name for name in header if name)
        separator = next((mark for mark in ";\t|" if mark in found), None)
        shown = "tabs" if separator == "\t" else f"'{separator}'"
        remedy = "Add the column, or rename the one that holds it."
        if separator:
            remedy = f"The cells seem to be parted by {shown}: save the sheet with commas."
        raise FleetError.because(
            table.file,
            1,
            field=", ".join(missing),
            found=found[:200],
            expected="a header with " + ", ".join(missing),
            remedy=remedy,
        )
    if twice := sorted({name for name in header if name and header.count(name) > 1}):
        raise FleetError.because(
            table.file,
            1,
            field=", ".join(twice),
            found=", ".join(twice),
            expected="each header once",
            remedy="Rename or remove one of the columns that share a header.",
        )
    findings += [
        Finding(
            table.file,
            1,
            name,
            name,
            "a column of the plain layout",
            "ignored",
            "The column is not read; compare its name with the README if it should be.",
        )
        for name in header
        if name and name not in known
    ]


def _extra_cells(table: Table, line: int, extra: list[str], width: int) -> Finding:
    return Finding(
        table.file,
        line,
        "",
        ",".join(extra),
        f"{width} cells",
        "noted",
        "Cells beyond the last header are not read: put quotes round a text that holds a comma.",
    )
