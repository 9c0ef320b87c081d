"""From the files of a fleet folder to checked records; nothing is lost on the way."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from analytics.records.boat_rows import check_boat_rows
from analytics.records.boats import check_boats
from analytics.records.cells import CheckedRows, Row, check_rows
from analytics.records.detected import FILE_COLUMNS, files_table
from analytics.records.files.folder import fingerprint, folder_files
from analytics.records.files.names import table_named
from analytics.records.files.sources import Sources, find_sources, settings_piece
from analytics.records.files.unpack import unpacked
from analytics.records.findings import Done, Finding, FleetError, findings_table, located
from analytics.records.parts import check_parts
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings, read_settings
from analytics.records.table_rows import TableRows, read_rows
from analytics.records.tables import BOATS, HOURS, PARTS, TABLES, Table

__all__ = [
    "COUNT_COLUMNS",
    "FILES",
    "FILE_COLUMNS",
    "REJECTED_COLUMNS",
    "Records",
    "fingerprint",
    "folder_files",
    "read_fleet",
]

COUNT_COLUMNS = ["file", "rows_read", "used", "merged", "rejected", "ignored"]
REJECTED_COLUMNS = ["file", "row", "field", "found", "expected", "remedy", "cells"]

FILES = (*(table.file for table in TABLES), SETTINGS_FILE)
"""Names of the files in the plain layout."""


@dataclass(frozen=True)
class Records:
    """The checked content of one fleet folder.

    Attributes
    ----------
    tables : mapping of str to DataFrame
        Typed rows by the table's file name in the plain layout; `row` is the
        row of the user's file, a date is a pair of columns `_lo` and `_hi`
        (datetime64, NaT where unknown). Empty with its columns where the file is
        missing.
    settings : Settings
        With `as_of` and `records_from` filled in.
    findings : tuple of Finding
        All of them.
    counts : DataFrame
        Columns `COUNT_COLUMNS`, `file` being the table's name in the plain
        layout; in each row the last four add up to the second.
    rejected : DataFrame
        Columns `REJECTED_COLUMNS`; `cells` is the row as it stood.
    fingerprint : str
        SHA-256 of the names and bytes of the files read.
    files : DataFrame
        Columns `FILE_COLUMNS`: how each file and sheet was read.
    places : mapping of str to str
        The user's file, and sheet, by the table's name in the plain layout.
    """

    tables: Mapping[str, pd.DataFrame]
    settings: Settings
    findings: tuple[Finding, ...]
    counts: pd.DataFrame
    rejected: pd.DataFrame
    fingerprint: str
    files: pd.DataFrame
    places: Mapping[str, str]

    @property
    def as_of(self) -> date:
        """Last day on which the records were watched."""
        assert self.settings.as_of is not None  # read_fleet fills it in
        return self.settings.as_of

    def findings_table(self) -> pd.DataFrame:
        """All findings as rows, see `findings.findings_table`."""
        return findings_table(self.findings)


def read_fleet(files: Mapping[str, bytes]) -> Records:
    """Read and check the files of a fleet.

    Parameters
    ----------
    files : mapping of str to bytes
        Content by file name, from `folder_files` or an upload.

    Raises
    ------
    FleetError
        If a required file is missing or a file is not what its name says; the
        findings name every file that is wrong, not the first alone.
    """
    pieces, passed_over = unpacked(files)
    own_settings = settings_piece(pieces)
    settings, findings = read_settings(
        None if own_settings is None else own_settings.content.decode("utf-8-sig", "replace")
    )
    sources = find_sources(pieces, passed_over, settings.files)
    read, checked = _check_tables(sources)
    places = {file: one.grid.place for file, one in read.items()}
    try:
        settings, as_of, assumed = _fill_dates(settings, checked)
    except FleetError as error:
        raise FleetError(located(error.findings, places)) from None
    findings += assumed
    boats = check_boats(checked[BOATS.file], as_of)
    lives, merged = check_parts(checked[PARTS.file], boats, settings, as_of)
    rows = {BOATS.file: list(boats.rows.values()), PARTS.file: lives}
    for table in TABLES:
        if table.file not in rows:
            part = checked[table.file]
            names_boats = "boat" in table.needed
            rows[table.file] = check_boat_rows(part, boats, as_of) if names_boats else part.rows
    findings += [finding for part in checked.values() for finding in part.findings]
    findings += [*sources.findings, *_missing_tables(read)]
    from_files = set(sources.read) | ({own_settings.outer} if own_settings else set())
    return Records(
        tables={table.file: _frame(table, rows[table.file]) for table in TABLES},
        settings=settings,
        findings=tuple(findings),
        counts=_counts(read, checked, rows, merged),
        rejected=_rejected(checked),
        fingerprint=fingerprint({name: files[name] for name in from_files}),
        files=files_table(read, checked, sources.left_alone),
        places=places,
    )


def _check_tables(
    sources: Sources,
) -> tuple[dict[str, TableRows], dict[str, CheckedRows]]:
    read: dict[str, TableRows] = {}
    checked: dict[str, CheckedRows] = {}
    stopped = list(sources.stopped)
    for table in TABLES:
        try:
            if table.file in sources.grids:
                read[table.file] = read_rows(table, sources.grids[table.file])
                checked[table.file] = check_rows(table, read[table.file])
            elif table in (BOATS, PARTS) and not sources.tells_of(table):
                stopped.append(
                    Finding(
                        table.file,
                        None,
                        "",
                        "no such file",
                        f"a file or sheet with {', '.join(table.needed)}",
                        "stopped",
                        f"Add {table.file}, or a sheet named {table.stem}; the README shows its "
                        f"columns. Without it, {table.without}.",
                    )
                )
            else:
                checked[table.file] = CheckedRows.none(table)
        except FleetError as error:
            stopped += error.findings
    if stopped:
        raise FleetError(sorted(stopped, key=_in_order_of_tables))
    return read, checked


def _in_order_of_tables(finding: Finding) -> int:
    table = table_named(finding.file)
    return len(TABLES) if table is None else TABLES.index(table)


def _fill_dates(
    settings: Settings, checked: Mapping[str, CheckedRows]
) -> tuple[Settings, date, list[Finding]]:
    """The last day watched and the day the records began, assumed aloud where not given."""
    findings: list[Finding] = []

    def say(key: str, found: object, expected: str, done: Done, remedy: str) -> None:
        findings.append(Finding(SETTINGS_FILE, None, key, str(found), expected, done, remedy))

    as_of = settings.as_of
    if as_of is None:
        as_of = _latest_day(checked)
        say(
            "as_of",
            "",
            "the last day on which the records were watched",
            "assumed",
            f"The latest date in the files, {as_of}, stands in: "
            "set as_of if the records were kept longer.",
        )
    records_from = settings.records_from
    if records_from and records_from > as_of:
        say(
            "records_from",
            records_from,
            f"a day up to {as_of}, the last one watched",
            "ignored",
            "Correct records_from or as_of.",
        )
        records_from = None
    removals = [row["removed_on_lo"] for row in checked[PARTS.file].rows if row["removed_on_lo"]]
    earliest = min(removals, default=as_of)
    if records_from is None and removals and earliest <= as_of:
        # The day before: the earliest removal was itself written down.
        records_from = earliest - timedelta(days=1)
        say(
            "records_from",
            "",
            "the day from which removals were written down",
            "assumed",
            f"The earliest removal in the files, {earliest}, stands in: parts fitted before it "
            "count from then on. Set records_from if every removal was written down from an "
            "earlier day.",
        )
    return replace(settings, as_of=as_of, records_from=records_from), as_of, findings


def _latest_day(checked: Mapping[str, CheckedRows]) -> date:
    """The latest day of fitting, removal or reading: the last of its year where that is all."""
    dated = [(PARTS.file, "fitted_on"), (PARTS.file, "removed_on"), (HOURS.file, "read_on")]
    days: list[date] = []
    for file, name in dated:
        for row in checked[file].rows:
            first, last = row[f"{name}_lo"], row[f"{name}_hi"]
            if first:
                # A window of years says little of how long anybody watched.
                days.append(last if last - first <= timedelta(days=366) else first)
    if not days:
        raise FleetError.because(
            PARTS.file,
            found="no dated row",
            expected="at least one life with a date",
            remedy="Add rows with fitted_on or removed_on; headers alone tell nothing.",
        )
    return max(days)


def _missing_tables(read: Mapping[str, TableRows]) -> list[Finding]:
    return [
        Finding(
            table.file,
            None,
            "",
            "no such file",
            f"a file in which each row is {table.row_is}",
            "noted",
            f"Without it: {table.without}.",
        )
        for table in TABLES
        if table.file not in read
    ]


def _frame(table: Table, rows: list[Row]) -> pd.DataFrame:
    columns: dict[str, str] = {"row": "int64"}
    for column in table.columns:
        if column.holds == "window":
            columns |= {
                f"{column.name}_lo": "datetime64[ns]",
                f"{column.name}_hi": "datetime64[ns]",
            }
        else:
            columns[column.name] = "float64" if column.holds == "number" else "object"
    return pd.DataFrame(rows, columns=list(columns)).astype(columns)


def _counts(
    read: Mapping[str, TableRows],
    checked: Mapping[str, CheckedRows],
    rows: Mapping[str, list[Row]],
    merged: Mapping[int, Finding],
) -> pd.DataFrame:
    lines = [
        (
            name,
            len(part.texts),
            len(rows[name]),
            len(merged) if name == PARTS.file else 0,
            len(part.rejected),
            len(part.ignored),
        )
        for name, part in checked.items()
        if name in read
    ]
    counts = pd.DataFrame(lines, columns=COUNT_COLUMNS)
    parts = counts[["used", "merged", "rejected", "ignored"]].sum(axis=1)
    if not (parts == counts["rows_read"]).all():
        raise AssertionError(f"rows were lost while reading:\n{counts}")
    return counts


def _rejected(checked: Mapping[str, CheckedRows]) -> pd.DataFrame:
    lines = []
    for part in checked.values():
        for line, finding in sorted(part.rejected.items()):
            cells = io.StringIO()
            csv.writer(cells).writerow(part.texts[line].values())
            lines.append(
                (
                    finding.file,
                    line,
                    finding.field,
                    finding.found,
                    finding.expected,
                    finding.remedy,
                    cells.getvalue().removesuffix("\r\n"),
                )
            )
    return pd.DataFrame(lines, columns=REJECTED_COLUMNS)
