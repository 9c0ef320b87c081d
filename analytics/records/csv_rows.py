"""The bytes of a CSV file as rows of text, each with the line it stands on."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from analytics.records.findings import Finding, FleetError
from analytics.records.tables import Table

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
        Line of the file (header being line 1) and the cells by column, stripped.
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
    try:
        header = [name.strip().lower() for name in next(lines, [])]
        _check_header(table, header, findings)
        rows: list[tuple[int, dict[str, str]]] = []
        line = lines.line_num + 1
        for cells in lines:
            if extra := [cell for cell in cells[len(header) :] if cell.strip()]:
                findings.append(
                    Finding(table.file, line, "", ",".join(extra), f"{len(header)} cells", "noted",
                            "Cells beyond the last header are not read: put quotes round a text that holds a comma.")
                )  # fmt: skip
            padded = cells + [""] * (len(header) - len(cells))
            rows.append((line, {n: c.strip() for n, c in zip(header, padded, strict=False) if n}))
            line = lines.line_num + 1
    except csv.Error as error:
        raise FleetError(
            [Finding(table.file, lines.line_num, "", str(error), "a comma-separated text file", "stopped",
                     "Look for an unclosed quote on or above this line, or save the sheet as CSV again.")]
        ) from None  # fmt: skip
    return CsvRows(header, rows, findings)


def _decoded(table: Table, content: bytes, findings: list[Finding]) -> str:
    if len(content) > BIGGEST_FILE:
        raise FleetError([
            Finding(table.file, None, "", f"{len(content):,} bytes", f"at most {BIGGEST_FILE:,} bytes", "stopped",
                    "Check that this is the right file, or split the export by base.")
        ])  # fmt: skip
    # A spreadsheet or a picture renamed to .csv gives itself away by zero bytes.
    if b"\x00" in content:
        raise FleetError([
            Finding(table.file, None, "", "binary content", "a comma-separated text file", "stopped",
                    "Open it in the program it came from and save the sheet as CSV (UTF-8).")
        ])  # fmt: skip
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        findings.append(
            Finding(table.file, None, "", "text that is not UTF-8", "UTF-8", "assumed",
                    "Read as Windows-1252; save as UTF-8 if names look wrong.")
        )  # fmt: skip
        return content.decode("cp1252", errors="replace")


def _check_header(table: Table, header: list[str], findings: list[Finding]) -> None:
    known = {column.name for column in table.columns}
    missing = [name for name in table.needed if name not in header]
    if missing:
        found = ", ".join(name for name in header if name)
        separator = next((mark for mark in ";\t|" if mark in found), None)
        remedy = "Add the column, or rename the one that holds it."
        if separator:
            remedy = f"The cells seem to be parted by '{separator}': save the sheet with commas."
        raise FleetError([
            Finding(table.file, 1, ", ".join(missing), found[:200], "a header with " + ", ".join(missing), "stopped",
                    remedy)
        ])  # fmt: skip
    if twice := sorted({name for name in header if name and header.count(name) > 1}):
        raise FleetError([
            Finding(table.file, 1, ", ".join(twice), ", ".join(twice), "each header once", "stopped",
                    "Rename or remove one of the columns that share a header.")
        ])  # fmt: skip
    for name in header:
        if name and name not in known:
            findings.append(
                Finding(table.file, 1, name, name, "a column of the plain layout", "ignored",
                        "The column is not read; compare its name with the README if it should be.")
            )  # fmt: skip
