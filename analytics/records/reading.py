"""From the files of a fleet folder to checked records; nothing is lost on the way."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import pandas as pd

from analytics.records.cells import CheckedRows, check_rows
from analytics.records.csv_rows import read_rows
from analytics.records.findings import Finding, FleetError, findings_table
from analytics.records.parts import check_parts
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings, read_settings
from analytics.records.tables import BOATS, HOURS, PARTS, TABLES, Table

Row = dict[str, Any]

COUNT_COLUMNS = ["file", "rows_read", "used", "merged", "rejected", "ignored"]
REJECTED_COLUMNS = ["file", "row", "field", "found", "expected", "remedy", "cells"]


@dataclass(frozen=True)
class Records:
    """The checked content of one fleet folder.

    Attributes
    ----------
    tables : mapping of str to DataFrame
        Typed rows by file name; `row` is the line of the file, a date is a pair
        of columns `_lo` and `_hi` (datetime64, NaT where unknown). Empty with
        its columns where the file is missing.
    settings : Settings
        With `as_of` and `records_from` filled in.
    findings : tuple of Finding
        All of them.
    counts : DataFrame
        Columns `COUNT_COLUMNS`; in each row the last four add up to the second.
    rejected : DataFrame
        Columns `REJECTED_COLUMNS`; `cells` is the row as it stood.
    fingerprint : str
        SHA-256 of the names and bytes of the files read.
    """

    tables: Mapping[str, pd.DataFrame]
    settings: Settings
    findings: tuple[Finding, ...]
    counts: pd.DataFrame
    rejected: pd.DataFrame
    fingerprint: str

    @property
    def as_of(self) -> date:
        """Last day on which the records were watched."""
        assert self.settings.as_of is not None  # read_fleet fills it in
        return self.settings.as_of

    def findings_table(self) -> pd.DataFrame:
        """All findings as rows, see `findings.findings_table`."""
        return findings_table(self.findings)


def folder_files(folder: Path) -> dict[str, bytes]:
    """The files of a fleet folder that Tideworn reads, as bytes by name.

    Raises
    ------
    FleetError
        If the folder is missing, or holds none of them.
    """
    wanted = [table.file for table in TABLES] + [SETTINGS_FILE]
    if not folder.is_dir():
        raise FleetError([
            Finding(str(folder), None, "", "no such folder" if not folder.exists() else "a file",
                    "a fleet folder", "stopped", "Check the name; 'tideworn sample FOLDER' writes an example.")
        ])  # fmt: skip
    try:
        files = {name: (folder / name).read_bytes() for name in wanted if (folder / name).is_file()}
    except OSError as error:
        raise FleetError([
            Finding(str(folder), None, "", error.strerror or "unreadable", "files that can be read", "stopped",
                    "Check the permissions of the folder and its files.")
        ]) from None  # fmt: skip
    if not files.keys() & {table.file for table in TABLES}:
        there = sorted(path.name for path in folder.iterdir())[:5]
        raise FleetError([
            Finding(str(folder), None, "", ", ".join(there) or "an empty folder", "boats.csv and parts.csv",
                    "stopped", "Put the two files there; the README shows their columns and "
                    "'tideworn sample FOLDER' writes an example.")
        ])  # fmt: skip
    return files


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
    settings_bytes = files.get(SETTINGS_FILE)
    settings, findings = read_settings(
        None if settings_bytes is None else settings_bytes.decode("utf-8-sig", errors="replace")
    )
    checked = _check_files(files)
    boats = _check_boats(checked[BOATS.file])
    settings, assumed = _fill_dates(settings, checked)
    findings += assumed
    assert settings.as_of is not None
    lives, merged = check_parts(
        checked[PARTS.file], boats, settings, settings.as_of, settings.records_from
    )
    rows = {name: part.rows for name, part in checked.items()}
    rows[PARTS.file] = lives
    rows[BOATS.file] = list(boats.values())
    for table in TABLES:
        if "boat" in table.needed and table not in (BOATS, PARTS):
            rows[table.file] = _of_known_boats(checked[table.file], boats)
    findings += [finding for part in checked.values() for finding in part.findings]
    findings += _missing_files(files)
    return Records(
        tables={table.file: _frame(table, rows[table.file]) for table in TABLES},
        settings=settings,
        findings=tuple(findings),
        counts=_counts(files, checked, rows, merged),
        rejected=_rejected(checked),
        fingerprint=fingerprint(files),
    )


def fingerprint(files: Mapping[str, bytes]) -> str:
    """SHA-256 over the names and bytes of the files, in the order of their names."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(f"{name}\0{len(files[name])}\0".encode())
        digest.update(files[name])
    return digest.hexdigest()


def _check_files(files: Mapping[str, bytes]) -> dict[str, CheckedRows]:
    checked: dict[str, CheckedRows] = {}
    stopped: list[Finding] = []
    for table in TABLES:
        try:
            if table.file in files:
                checked[table.file] = check_rows(table, read_rows(table, files[table.file]))
            elif table in (BOATS, PARTS):
                stopped.append(
                    Finding(table.file, None, "", "no such file", f"a file with {', '.join(table.needed)}", "stopped",
                            f"Add {table.file}; the README shows its columns. Without it, {table.without}.")
                )  # fmt: skip
            else:
                checked[table.file] = CheckedRows(table, [], [], {}, {}, {})
        except FleetError as error:
            stopped += error.findings
    if stopped:
        raise FleetError(stopped)
    return checked


def _check_boats(checked: CheckedRows) -> dict[str, Row]:
    boats: dict[str, Row] = {}
    # A name that stands twice keeps the same row whatever the order of the file.
    for row in sorted(
        checked.rows, key=lambda row: (row["boat"], str(sorted(row.items(), key=str)))
    ):
        if row["boat"] in boats:
            finding = Finding(
                checked.table.file, row["row"], "boat", row["boat"], "each boat once", "rejected",
                f"The name stands in row {boats[row['boat']]['row']} too: give each boat a name of its own, "
                "such as with its hull number.")  # fmt: skip
            checked.findings.append(finding)
            checked.rejected[row["row"]] = finding
            continue
        boats[row["boat"]] = row
    return boats


def _of_known_boats(checked: CheckedRows, boats: Mapping[str, Row]) -> list[Row]:
    kept = []
    for row in checked.rows:
        if row["boat"] in boats:
            kept.append(row)
            continue
        close = get_close_matches(row["boat"], boats, n=1, cutoff=0.75)
        hint = f"Did you mean '{close[0]}'? " if close else ""
        finding = Finding(
            checked.table.file, row["row"], "boat", row["boat"], "a boat of boats.csv", "rejected",
            f"{hint}Correct the name, or add the boat to boats.csv.")  # fmt: skip
        checked.findings.append(finding)
        checked.rejected[row["row"]] = finding
    return kept


def _fill_dates(
    settings: Settings, checked: Mapping[str, CheckedRows]
) -> tuple[Settings, list[Finding]]:
    """The last day watched and the day the records began, assumed aloud where not given."""
    findings = []
    removals = [row["removed_on_lo"] for row in checked[PARTS.file].rows if row["removed_on_lo"]]
    fittings = [row["fitted_on_lo"] for row in checked[PARTS.file].rows if row["fitted_on_lo"]]
    readings = [row["read_on_lo"] for row in checked[HOURS.file].rows if row["read_on_lo"]]
    if settings.as_of is None:
        latest = max([*removals, *fittings, *readings], default=None)
        if latest is None:
            raise FleetError([
                Finding(PARTS.file, None, "", "no dated row", "at least one life with a date", "stopped",
                        "Add rows with fitted_on or removed_on; headers alone tell nothing.")
            ])  # fmt: skip
        settings = replace(settings, as_of=latest)
        findings.append(
            Finding(SETTINGS_FILE, None, "as_of", "", "the last day on which the records were watched", "assumed",
                    f"The latest date in the files, {latest}, stands in: set as_of if the records were kept longer.")
        )  # fmt: skip
    if settings.records_from is None and removals:
        settings = replace(settings, records_from=min(removals))
        findings.append(
            Finding(SETTINGS_FILE, None, "records_from", "", "the day from which removals were written down", "assumed",
                    f"The earliest removal in the files, {min(removals)}, stands in: parts fitted before it count "
                    "from then on. Set records_from if every removal was written down from an earlier day.")
        )  # fmt: skip
    return settings, findings


def _missing_files(files: Mapping[str, bytes]) -> list[Finding]:
    return [
        Finding(table.file, None, "", "no such file", f"a file in which each row is {table.row_is}", "noted",
                f"Without it: {table.without}.")
        for table in TABLES
        if table.file not in files
    ]  # fmt: skip


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
    files: Mapping[str, bytes],
    checked: Mapping[str, CheckedRows],
    rows: Mapping[str, list[Row]],
    merged: Mapping[int, Finding],
) -> pd.DataFrame:
    lines = []
    for table in TABLES:
        if table.file not in files:
            continue
        part = checked[table.file]
        n_merged = len(merged) if table is PARTS else 0
        lines.append(
            [table.file, len(part.texts), len(rows[table.file]), n_merged, len(part.rejected), len(part.ignored)]
        )  # fmt: skip
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
            csv.writer(cells, lineterminator="").writerow(part.texts[line].values())
            lines.append(
                [finding.file, line, finding.field, finding.found, finding.expected, finding.remedy,
                 cells.getvalue()]
            )  # fmt: skip
    return pd.DataFrame(lines, columns=REJECTED_COLUMNS)
